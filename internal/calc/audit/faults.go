package audit

import (
	"maps"
	"math"
	"slices"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
	"saltwright/internal/calc/text"
)

// Fault is one way in which one element of the plan fails.
type Fault struct {
	ID      string // element.mode, or element.mode.output
	Element string // id in the plan, or "mains" or "network"; empty for a common cause
	// heater, chiller, fan, pump, top_off_pump, reservoir, light, sensor, control, circuit, mains, network, alarm,
	// contactor, path, person, box
	Kind     string
	Mode     string
	Sentence text.Text // what happens, to be read after "if"
	PerYear  float64   // how often it usually comes about, 1/year; 0 for a common cause
	Basis    string    // of that, a key of the bibliography
	Contact  bool      // that rate follows from the starts of a contact
	Output   string    // id of what the output that fails drives; empty for none

	// Members are the faults that come at once from one cause, and Beta the share of their rates that does; none: it
	// comes by itself.
	Members []string
	Beta    float64

	injections []sim.Injection
	noticed    bool   // a look at the tank shows it at once
	likeness   string // sort and mode: faults of one likeness happen to like parts
	elements   []string
	try        *test
}

// Elements returns the ids of the elements that fail.
//
// Errors: none. Source: [Derived].
func (f Fault) Elements() []string { return f.elements }

// breaks tells whether something of the fault is this.
func (f Fault) breaks(what sim.Fault) bool {
	return slices.ContainsFunc(f.injections, func(in sim.Injection) bool { return in.Fault == what })
}

// injectionsIn returns what to inject in a room: a probe out of the water reads that room.
func (f Fault) injectionsIn(s *sim.System) []sim.Injection {
	list := slices.Clone(f.injections)
	for i := range list {
		if f.knowsRoom() {
			list[i].Value = s.RoomTempC
		}
	}
	return list
}

// knowsRoom tells whether what to inject differs by room.
func (f Fault) knowsRoom() bool { return f.Mode == outOfWater }

// faultsOf derives every single fault from the plan's own elements. The indices
// are the same in every room, since the system of each is compiled from one plan.
func faultsOf(p plan.Plan, s *sim.System) []Fault {
	b := &faultList{p: p, s: s}
	for i := range s.Devices {
		b.device(i)
	}
	for i, r := range s.Reservoirs {
		b.add("reservoir", r.ID, func(m mode) (sim.Injection, bool) {
			return sim.Injection{Fault: m.fault, Index: i}, m.fault != sim.BreakBlocked || r.Break && r.Siphons()
		}, element(r.ID))
	}
	for i := range s.Sensors {
		b.sensor(i)
	}
	for i, k := range s.Controls {
		sort := "control"
		switch k.Kind {
		case sim.Cutout:
			sort = "supervisor"
		case sim.Contactor:
			sort = "contactor"
		}
		b.add(sort, k.ID, at(i), element(k.ID))
	}
	for i, r := range s.Relays {
		if s.Controls[r.Control].Kind != sim.Contactor { // its contacts fail together
			b.output(i, r)
		}
	}
	for i, c := range s.Circuits {
		b.add("circuit", c.ID, at(i), element(c.ID))
	}
	b.add("mains", "mains", at(0), text.Params{"time": s.OutageS / secondsPerHour})
	b.add("network", "network", at(0), nil)
	for i, a := range s.Alarms {
		sort := "alarm"
		if a.Watch != nil {
			sort = "alarm on running"
		}
		b.add(sort, a.ID, at(i), element(a.ID))
	}
	return b.list
}

type faultList struct {
	p    plan.Plan
	s    *sim.System
	list []Fault
}

// add adds the modes of a sort of element that apply to one of them.
//
//	injection  what to inject for a mode, and whether it applies
//	named      what the sentence names, besides what is injected
func (b *faultList) add(sort, element string, injection func(mode) (sim.Injection, bool), named text.Params) {
	for _, m := range modes {
		if m.sort != sort {
			continue
		}
		in, applies := injection(m)
		if !applies {
			continue
		}
		params := maps.Clone(named)
		if m.injected != "" {
			params[m.injected] = math.Abs(in.Value)
		}
		b.list = append(b.list, Fault{
			ID: element + "." + m.name, Element: element, Kind: m.kind, Mode: m.name,
			Sentence: text.Of(m.sentence, params),
			PerYear:  m.perYear, Basis: m.basis, injections: []sim.Injection{in}, noticed: m.noticed, try: m.try,
			likeness: m.sort + "." + m.name, elements: []string{element},
		})
	}
}

// element is what most sentences name.
func element(id string) text.Params { return text.Params{"element": id} }

// at injects each mode of an element by its own number.
func at(i int) func(mode) (sim.Injection, bool) {
	return func(m mode) (sim.Injection, bool) { return sim.Injection{Fault: m.fault, Index: i}, true }
}

func (b *faultList) device(i int) {
	sorts := map[sim.DeviceKind]string{
		sim.Heater: "heater", sim.Chiller: "chiller", sim.Fan: "fan", sim.ReturnPump: "return pump",
		sim.CirculationPump: "circulation pump", sim.TopOffPump: "top-off pump", sim.Light: "light",
	}
	d := b.s.Devices[i]
	b.add(sorts[d.Kind], d.ID, func(m mode) (sim.Injection, bool) {
		switch m.fault {
		case sim.CircuitLost:
			return sim.Injection{Fault: m.fault, Index: d.Circuit}, true
		case sim.ThermostatClosed, sim.ThermostatOpen:
			return sim.Injection{Fault: m.fault, Index: i}, d.Thermostat >= 0
		case sim.ProgrammeOn, sim.ProgrammeOff:
			return sim.Injection{Fault: m.fault, Index: i}, d.Programme >= 0
		}
		return sim.Injection{Fault: m.fault, Index: i}, true
	}, element(d.ID))
}

// frozenBeyondK is how far beyond its switching point a frozen reading stands, K.
const frozenBeyondK = 0.05

func (b *faultList) sensor(i int) {
	sorts := map[sim.SensorKind]string{
		sim.TemperatureSensor: "temperature sensor", sim.LevelSensor: "level sensor", sim.FlowSensor: "flow sensor",
		sim.LeakSensor: "leak sensor", sim.PowerSensor: "power sensor",
	}
	low, high := b.readBand(i)
	values := map[string]float64{
		"reads_high": b.p.ProbeDriftK, "reads_low": -b.p.ProbeDriftK, "frozen_low": low, "frozen_high": high,
	}
	x := b.s.Sensors[i]
	b.add(sorts[x.Kind], x.ID, func(m mode) (sim.Injection, bool) {
		return sim.Injection{Fault: m.fault, Index: i, Value: values[m.name]}, true
	}, element(x.ID))
}

// readBand returns readings just outside the band in which the controls that
// read the probe hold the water: frozen there, each keeps calling or never calls.
func (b *faultList) readBand(sensor int) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, k := range b.s.Controls {
		if k.Kind != sim.Regulator {
			continue
		}
		for _, c := range b.s.Leaves(k.Condition) {
			if c.Sensor == sensor {
				x := b.s.Comparators[c.Index]
				low, high = math.Min(low, x.Low), math.Max(high, x.High)
			}
		}
	}
	if low > high { // nothing regulates by it: it freezes in the middle of the comfort band
		low, high = b.s.TempStartC, b.s.TempStartC
	}
	return low - frozenBeyondK, high + frozenBeyondK
}

func (b *faultList) output(i int, r sim.Relay) {
	target := ""
	if r.Device >= 0 {
		target = b.s.Devices[r.Device].ID
	} else {
		target = b.s.Controls[r.Target].ID
	}
	n := len(b.list)
	control := b.s.Controls[r.Control].ID
	b.add("output", control, at(i), text.Params{"element": control, "output": target})
	for k := n; k < len(b.list); k++ {
		f := &b.list[k]
		f.Output = target
		f.ID, f.Mode = f.ID+"."+target, f.Mode+"."+target
	}
}
