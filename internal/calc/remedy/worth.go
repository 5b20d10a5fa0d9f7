package remedy

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"saltwright/internal/calc/plan"
)

// Worth is what one change saves and costs, in the currency of the plan.
type Worth struct {
	Set          Set
	SavesPerYear float64
	Cost         *float64    // nil: one of its parts has no cost in the plan
	Unpriced     []plan.Part // such parts
}

// PaysBackY returns the years in which a change has saved what it costs; nil: its cost is not known.
//
// Accuracy: that of the losses. Errors: none. Source: [Derived].
func (w Worth) PaysBackY() *float64 {
	if w.Cost == nil {
		return nil
	}
	years := *w.Cost / w.SavesPerYear
	return &years
}

// Worths returns the single changes that avoid losses by what they save for their cost, best first, those without a
// known cost last by what they save; none where the plan names no worth of its livestock.
//
//	saves = (losses now - losses with it)/100 · worth of the livestock
//
// Accuracy: that of the losses by single faults. Errors: none. Source: [Derived].
func (r Result) Worths() []Worth {
	money := r.sent.Worth
	if money == nil || money.Livestock == nil {
		return nil
	}
	var out []Worth
	for _, s := range r.Next {
		w := Worth{Set: s, SavesPerYear: (r.Base.Per100 - s.Per100) / 100 * *money.Livestock}
		if !(w.SavesPerYear > 0) || !s.Helps(r.Base) {
			continue
		}
		w.Cost, w.Unpriced = costOf(money, r.sent, r.Edited(s))
		out = append(out, w)
	}
	slices.SortStableFunc(out, func(a, b Worth) int {
		if a.Cost != nil && b.Cost != nil && *a.Cost != *b.Cost {
			return cmp.Compare(b.SavesPerYear**a.Cost, a.SavesPerYear**b.Cost)
		}
		return cmp.Or(cmp.Compare(min(len(a.Unpriced), 1), min(len(b.Unpriced), 1)),
			cmp.Compare(b.SavesPerYear, a.SavesPerYear))
	})
	return out
}

// costOf returns what the parts cost that one plan has and another has not.
func costOf(money *plan.Worth, before, after plan.Plan) (*float64, []plan.Part) {
	sum, was := 0.0, partsOf(before)
	now := partsOf(after)
	var unpriced []plan.Part
	for _, part := range plan.Parts {
		more := newOnes(was[part], now[part])
		if more == 0 {
			continue
		}
		cost, ok := money.Of(part)
		if !ok {
			unpriced = append(unpriced, part)
			continue
		}
		sum += float64(more) * cost
	}
	if len(unpriced) > 0 {
		return nil, unpriced
	}
	return &sum, nil
}

// newOnes counts the things of one list that the other does not have.
func newOnes(before, now []string) int {
	left, more := slices.Clone(before), 0
	for _, id := range now {
		if k := slices.Index(left, id); k >= 0 {
			left = slices.Delete(left, k, k+1)
			continue
		}
		more++
	}
	return more
}

// partsOf lists a plan's parts by their ids; a heater, chiller or reservoir of another size is another part.
func partsOf(p plan.Plan) map[plan.Part][]string {
	out := map[plan.Part][]string{}
	add := func(part plan.Part, id string, sizes ...float64) {
		for _, x := range sizes {
			id += " " + strconv.FormatFloat(x, 'g', -1, 64)
		}
		out[part] = append(out[part], id)
	}
	for _, h := range p.Heaters {
		add(plan.HeaterPart, h.ID, h.PowerW)
	}
	for _, c := range p.Chillers {
		add(plan.ChillerPart, c.ID, c.CoolingW)
	}
	for _, f := range p.Fans {
		add(plan.FanPart, f.ID)
	}
	for _, x := range p.Pumps {
		add(plan.PumpPart, x.ID)
	}
	for _, x := range p.TopOffPumps {
		add(plan.TopOffPumpPart, x.ID, x.FlowLH)
	}
	for _, v := range p.Reservoirs {
		add(plan.ReservoirPart, v.ID, v.VolumeL)
		if v.SiphonBreak {
			add(plan.SiphonBreakPart, v.ID)
		}
		if v.CheckValve {
			add(plan.SiphonBreakPart, v.ID+" valve")
		}
	}
	for _, l := range p.Lights {
		add(plan.LightPart, l.ID)
	}
	for _, s := range p.Sensors {
		add(plan.SensorPart, s.ID)
	}
	for _, k := range p.Controls {
		add(plan.ControlPart, k.ID)
	}
	for _, a := range p.Alarms {
		add(plan.AlarmPart, a.ID)
		if a.Path == plan.CellularPath {
			add(plan.MobilePathPart, a.ID)
		}
		if a.OwnBattery {
			add(plan.BatteryPart, a.ID)
		}
	}
	for _, c := range p.Power.Circuits {
		add(plan.CircuitPart, c.ID)
		if c.BackupH > 0 {
			add(plan.BatteryPart, c.ID, math.Ceil(c.BackupH))
		}
	}
	return out
}
