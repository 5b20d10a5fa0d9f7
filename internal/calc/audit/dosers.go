package audit

import (
	"maps"
	"math"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
	"saltwright/internal/calc/text"
)

const (
	twice = 2.0
	half  = 0.5
)

// doser adds the ways in which a pump that doses or changes water fails, or a valve that lets in gas.
func (b *faultList) doser(i int, sorts map[sim.DeviceKind]string) {
	d := b.s.Devices[i]
	sort := sorts[d.Kind]
	if d.Kind == sim.Doser {
		switch held := b.s.Reservoirs[d.Reservoir]; {
		case held.Gas:
			sort = "gas valve"
		case held.Holds.Salinity > 0:
			sort = "new water"
		default:
			sort = "dosing pump"
		}
	}
	times := map[string]float64{"delivers_double": twice, "delivers_half": half, "worn": 1 - plan.WornShare}
	other := b.otherContainer(d)
	named := text.Params{"element": d.ID}
	from := len(b.list)
	b.add(sort, d.ID, func(m mode) (sim.Injection, bool) {
		switch m.fault {
		case sim.FlowWrong:
			return sim.Injection{Fault: m.fault, Index: i, Value: times[m.name]}, true
		case sim.ProgrammeOn:
			return sim.Injection{Fault: m.fault, Index: i}, d.Programme >= 0
		case sim.ReservoirEmpty:
			return sim.Injection{Fault: m.fault, Index: d.Reservoir}, true
		case sim.ContentsWrong:
			return sim.Injection{Fault: m.fault, Index: d.Reservoir, Value: float64(other)}, other >= 0
		}
		return sim.Injection{Fault: m.fault, Index: i}, true
	}, named)
	for k := from; k < len(b.list); k++ {
		f := &b.list[k]
		switch f.Mode {
		case "wrong_container":
			params := maps.Clone(named)
			params["other"] = b.s.Reservoirs[other].ID
			f.Sentence = text.Of("fault_container_wrong", params)
		case "worn":
			f.Sentence = text.Of("fault_change_worn", text.Params{"element": d.ID, "share": plan.WornShare})
		}
	}
}

// otherContainer returns the number of the next container of a solution that is not what a pump's own holds, or -1.
func (b *faultList) otherContainer(d sim.Device) int {
	if d.Kind != sim.Doser {
		return -1
	}
	n := len(b.s.Reservoirs)
	own := b.s.Reservoirs[d.Reservoir]
	for step := range n {
		k := (d.Reservoir + step) % n
		x := b.s.Reservoirs[k]
		if x.Container && !x.Gas && x.Holds.Salinity == 0 && x.Holds != own.Holds {
			return k
		}
	}
	return -1
}

// chemicalBeyondHarm tells whether a threshold of pH or of salinity lies beyond harm, with that limit and the code that
// says so of an alarm.
func (w *writer) chemicalBeyondHarm(when plan.When, pH, psu *float64) (beyond bool, limit float64, code string) {
	l := w.p.Limits
	at, low, high, code := psu, l.HarmLowPSU, l.HarmHighPSU, "alarm_beyond_salinity"
	if pH != nil {
		at, low, high, code = pH, l.HarmLowPH, l.HarmHighPH, "alarm_beyond_ph"
	}
	if when == plan.Above {
		return *at >= *high, *high, code
	}
	return *at <= *low, *low, code
}

// chemicalGuard reports a supervisor that cuts at a pH or salinity beyond harm.
func (w *writer) chemicalGuard(k plan.Control) {
	if k.ThresholdPH == nil && k.ThresholdPSU == nil {
		return
	}
	beyond, limit, _ := w.chemicalBeyondHarm(*k.When, k.ThresholdPH, k.ThresholdPSU)
	if !beyond {
		return
	}
	code, at := "guard_beyond_salinity", k.ThresholdPSU
	if k.ThresholdPH != nil {
		code, at = "guard_beyond_ph", k.ThresholdPH
	}
	w.add(Finding{Code: "guard_beyond_harm", Severity: Weak, Elements: []string{k.ID},
		Message: text.Of(code, text.Params{"id": k.ID, "threshold": *at, "limit": limit}),
		Answer:  w.chemicalGuardAt(k)})
}

// chemicalGuardAt lets a supervisor on pH or salinity cut halfway between comfort and harm.
func (w *writer) chemicalGuardAt(k plan.Control) *Change {
	l, halfway := w.p.Limits, func(comfort, harm float64) float64 { return math.Round(50*(comfort+harm)) / 100 }
	sentence, from, to := "remedy_guard_salinity", k.ThresholdPSU, halfway(*l.ComfortHighPSU, *l.HarmHighPSU)
	if *k.When == plan.Below {
		to = halfway(*l.ComfortLowPSU, *l.HarmLowPSU)
	}
	if k.ThresholdPH != nil {
		sentence, from, to = "remedy_guard_ph", k.ThresholdPH, halfway(*l.ComfortHighPH, *l.HarmHighPH)
		if *k.When == plan.Below {
			to = halfway(*l.ComfortLowPH, *l.HarmLowPH)
		}
	}
	return &Change{"guard_threshold", text.Of(sentence, text.Params{"id": k.ID, "to": to, "from": *from}),
		func(p *plan.Plan) {
			for i := range p.Controls {
				switch x := &p.Controls[i]; {
				case x.ID != k.ID:
				case x.ThresholdPH != nil:
					x.ThresholdPH = &to
				default:
					x.ThresholdPSU = &to
				}
			}
		}}
}
