package audit

import (
	"math"

	"saltwright/internal/calc/numeric"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
	"saltwright/internal/calc/text"
)

// judge says how a fault ends in a room whose water it took this course.
func (rm *room) judge(p plan.Plan, f Fault, o outcome) FaultReport {
	injections := f.injectionsIn(rm.system)
	r := FaultReport{
		Fault: f, Verdict: Held, Room: rm.name, Extremes: o.extremes, Oxygen: o.oxygen, Truncated: o.course.Truncated,
		NearestK: math.Min(o.extremes.TempMinC-*p.Limits.HarmLowC, *p.Limits.HarmHighC-o.extremes.TempMaxC),
		NearestPSU: math.Min(o.extremes.SalinityMin-*p.Limits.HarmLowPSU,
			*p.Limits.HarmHighPSU-o.extremes.SalinityMax),
	}
	for _, c := range o.crossings {
		c.WithoutFault = rm.nominal.happensAnyway(c)
		r.Crossings = append(r.Crossings, c)
	}
	raised, marks := o.course.Calls(injections), o.course.Marks(injections)
	alarms, calls := firstOf(raised), rm.calls(raised, injections)
	if call, acts, ok := plan.Help(rm.crew.people, calls); ok {
		r.Alarm = &AlarmReport{ID: call.Alarm, RaisedH: call.AtH, ActH: acts, Person: rm.crew.people[call.Person].ID}
	}
	r.decide()
	r.sayWhyNoHelp(rm, o.course, injections, raised)
	r.reveal(rm, alarms, marks, o.course.Devices)
	for _, m := range marks { // what stepped in, with the hour
		if !rm.marked(m) && m.Kind != sim.FlowStopped && m.Kind != sim.CircuitDied {
			r.StoppedBy = append(r.StoppedBy, text.Of("stepped_in",
				text.Params{"what": markName(m, rm.system), "time": m.AtS / secondsPerHour}))
		}
	}
	return r
}

// MarginH returns the hours between hands on the tank and harm, negative when they come too late: what decides
// whether an alarm rescues. Nil where no alarm reaches anybody.
//
//	harm - acted
//
// Accuracy: exact. Errors: none. Source: [Derived].
func MarginH(harmH float64, actsH *float64) *float64 {
	if actsH == nil {
		return nil
	}
	margin := harmH - *actsH
	return &margin
}

// decide finds the first harm, the first loss and the verdict.
func (r *FaultReport) decide() {
	var acts *float64
	if r.Alarm != nil {
		acts = &r.Alarm.ActH
	}
	beaten := func(atH *float64) bool {
		return atH == nil || acts != nil && *MarginH(*atH, acts) >= 0
	}
	var charged []Crossing // damage that the plan does by itself is no fault's
	for _, c := range r.Crossings {
		if Damages(c.Loss) && c.WithoutFault {
			continue
		}
		charged = append(charged, c)
		if Damages(c.Loss) && !beaten(c.HarmH) {
			r.Damage = append(r.Damage, c.Loss)
		}
	}
	r.FirstHarm, r.HarmH = first(charged, HarmStep, beaten)
	r.FirstLoss, r.LossH = first(charged, LossStep, beaten)
	if r.HarmH != nil {
		r.MarginH = MarginH(*r.HarmH, acts)
	}
	switch {
	case r.Truncated, !beaten(r.LossH): // never call a run that was cut short safe
		r.Verdict = Lost
	case !beaten(r.HarmH):
		r.Verdict = Harmed
	case r.HarmH != nil:
		r.Verdict = Rescued
	}
}

// first returns the kind of crossing that first came to a step, and when: of those that no alarm beats if there are
// any, and of those that the fault brings before those that come without it.
func first(crossings []Crossing, step Step, beaten func(*float64) bool) (loss string, atH *float64) {
	best := 0
	for _, c := range crossings {
		at, weight := c.step(step), 1
		if at == nil {
			continue
		}
		if !beaten(at) {
			weight += 2
		}
		if !c.WithoutFault {
			weight++
		}
		if weight > best || weight == best && *at < *atH {
			loss, atH, best = c.Loss, at, weight
		}
	}
	return loss, atH
}

// visibleLightShare is how much more or less than usual a lamp must give to be seen to; common practice, no source.
const visibleLightShare = 0.02

// reveal lists what would tell somebody, at home or away, that something is wrong.
func (r *FaultReport) reveal(rm *room, alarms []float64, marks []sim.Mark, devices []sim.DeviceUse) {
	add := func(code string, params text.Params) { r.RevealedBy = append(r.RevealedBy, text.Of(code, params)) }
	for i, at := range alarms {
		if rm.raisedByFault(i, at) {
			add("revealed_by_alarm", text.Params{"alarm": rm.system.Alarms[i].ID})
		}
	}
	if r.Fault.noticed {
		add("revealed_by_look", nil)
	}
	for _, m := range marks {
		if !rm.marked(m) && m.Kind != sim.ThermostatTookOver && m.Kind != sim.StoodDry {
			r.RevealedBy = append(r.RevealedBy, markName(m, rm.system))
		}
	}
	for _, c := range r.Crossings {
		if !c.WithoutFault {
			add("revealed_by_comfort", text.Params{"kind": c.Loss})
		}
	}
	for i, d := range rm.system.Devices {
		usual, now := rm.devices[i].EnergyJ, devices[i].EnergyJ
		if d.Kind == sim.Light && !r.Fault.noticed && math.Abs(now-usual) > visibleLightShare*math.Max(usual, now) {
			add("revealed_by_light", text.Params{"light": d.ID})
		}
	}
	r.Hidden = len(r.RevealedBy) == 0
}

func markName(m sim.Mark, s *sim.System) text.Text {
	of := func(code, id string) text.Text { return text.Of(code, text.Params{"id": id}) }
	switch m.Kind {
	case sim.ReservoirRanEmpty:
		return of("mark_reservoir_empty", s.Reservoirs[m.Index].ID)
	case sim.RunLimitReached:
		return of("mark_run_limit", s.Controls[m.Index].ID)
	case sim.CutoutTripped:
		return of("mark_cuts", s.Controls[m.Index].ID)
	case sim.ThermostatTookOver:
		return of("mark_own_thermostat", s.Devices[m.Index].ID)
	case sim.CupFilled:
		return of("mark_cup_full", s.Devices[m.Index].ID)
	case sim.StoodDry:
		return of("mark_stands_dry", s.Devices[m.Index].ID)
	case sim.FlowStopped:
		return text.Of("mark_flow_stops", nil)
	default:
		return of("mark_circuit_dead", s.Circuits[m.Index].ID)
	}
}

// worse tells whether a ends worse than b: verdict, then earlier harm or loss, then the nearer limit.
// What differs by rounding alone is the same.
func worse(a, b FaultReport) bool {
	if a.Verdict.rank() != b.Verdict.rank() {
		return a.Verdict.rank() > b.Verdict.rank()
	}
	switch x, y := a.EndsH(), b.EndsH(); {
	case x != nil && y != nil && *x != *y:
		return sooner(*x, *y)
	case (x == nil) != (y == nil):
		return x != nil
	}
	return numeric.Rounded(math.Min(a.NearestK, a.NearestPSU)) < numeric.Rounded(math.Min(b.NearestK, b.NearestPSU))
}
