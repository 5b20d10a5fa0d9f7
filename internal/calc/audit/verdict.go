package audit

import (
	"context"
	"fmt"
	"math"
	"slices"

	"saltwright/internal/calc/numeric"
	"saltwright/internal/calc/sim"
)

// follow finds what one fault does in one room and judges it.
func (st *study) follow(ctx context.Context, i, in int) (trial, error) {
	rm := &st.rooms[in]
	p, f, s := st.p, st.faults[i], rm.system
	t, err := st.outcome(ctx, i, in)
	if err != nil {
		return trial{}, err
	}
	out := *t.out
	r := &t.report
	*r = FaultReport{
		Fault: f, Verdict: Held, Room: rm.name, Crossings: crossings(out), Extremes: extremes(s, out),
		Events: out.Events, Truncated: out.Truncated,
	}
	for i := range r.Crossings {
		c := &r.Crossings[i]
		c.WithoutFault = happensAnyway(rm.nominal.Crossings, *c)
	}
	r.NearestK = math.Min(r.Extremes.TempMinC-*p.Limits.HarmLowC, *p.Limits.HarmHighC-r.Extremes.TempMaxC)
	r.NearestPSU = math.Min(r.Extremes.SalinityMin-*p.Limits.HarmLowPSU, *p.Limits.HarmHighPSU-r.Extremes.SalinityMax)
	r.judge(out, s, *p.Attendance.ResponseH)
	r.reveal(out, rm, f)
	r.stopped(out, rm)
	return t, nil
}

// injectionsIn returns what to inject in a room: a probe out of the water reads that room.
func (f Fault) injectionsIn(s *sim.System) []sim.Injection {
	if f.knowsRoom() {
		return []sim.Injection{{Fault: sim.SensorFixed, Index: f.injections[0].Index, Value: s.RoomTempC}}
	}
	return f.injections
}

// knowsRoom tells whether what to inject differs by room.
func (f Fault) knowsRoom() bool { return f.Kind == "sensor" && f.Mode == "out_of_water" }

// judge finds the first harm, the first alarm that reaches somebody, and the verdict.
func (r *FaultReport) judge(out sim.Outcome, s *sim.System, responseH float64) {
	for i, a := range out.Alarms {
		if a.RaisedS == sim.Never || s.Alarms[i].Path == sim.Audible {
			continue
		}
		if at := a.RaisedS / secondsPerHour; r.Alarm == nil || sooner(at, r.Alarm.RaisedH) {
			r.Alarm = &AlarmReport{ID: s.Alarms[i].ID, RaisedH: at, ActH: at + responseH}
		}
	}
	for _, c := range r.Crossings {
		if c.HarmH != nil && !c.WithoutFault && (r.HarmH == nil || *c.HarmH < *r.HarmH) {
			r.FirstHarm, r.HarmH = c.Loss, c.HarmH
		}
	}
	if r.HarmH == nil {
		if out.Truncated { // never call a run that was cut short safe
			r.Verdict = Lost
		}
		return
	}
	r.Verdict = Lost
	if r.Alarm != nil {
		margin := *r.HarmH - r.Alarm.ActH
		r.MarginH = &margin
		if margin >= 0 && !out.Truncated {
			r.Verdict = Rescued
		}
	}
}

// reveal lists what would tell somebody, at home or away, that something is wrong.
func (r *FaultReport) reveal(out sim.Outcome, rm *room, f Fault) {
	add := func(s string) { r.RevealedBy = append(r.RevealedBy, s) }
	for i, a := range out.Alarms {
		if a.RaisedS != sim.Never && rm.nominal.first.Alarms[i].RaisedS == sim.Never {
			add("alarm " + rm.system.Alarms[i].ID)
		}
	}
	if f.noticed {
		add("a look at the tank")
	}
	for _, m := range out.Marks {
		if !marked(rm.nominal.first, m) && m.Kind != sim.ThermostatTookOver {
			add(markName(m, rm.system))
		}
	}
	for _, c := range r.Crossings {
		if !c.WithoutFault {
			add("the tank leaving its comfort band (" + c.Loss + ")")
		}
	}
	for i, d := range rm.system.Devices {
		usual := rm.nominal.energy[i]
		if d.Kind == sim.Light && !f.noticed && math.Abs(out.Devices[i].EnergyJ-usual) > visibleLightShare*math.Max(usual, out.Devices[i].EnergyJ) {
			add("the light of " + d.ID)
		}
	}
	r.Hidden = len(r.RevealedBy) == 0
}

// sameHourH is how much earlier than without it a fault must bring a crossing to be charged with it, h.
const sameHourH = 1.0

// happensAnyway tells whether the tank crosses the same limit as far and about
// as early with nothing broken; then the plan is at fault, not the element.
func happensAnyway(nominal []Crossing, c Crossing) bool {
	for _, n := range nominal {
		if n.Loss != c.Loss {
			continue
		}
		if c.HarmH != nil {
			return n.HarmH != nil && *n.HarmH <= *c.HarmH+sameHourH
		}
		return n.ComfortH != nil && *n.ComfortH <= *c.ComfortH+sameHourH
	}
	return false
}

func marked(o sim.Outcome, m sim.Mark) bool {
	return slices.ContainsFunc(o.Marks, func(n sim.Mark) bool { return n.Kind == m.Kind && n.Index == m.Index })
}

func markName(m sim.Mark, s *sim.System) string {
	switch m.Kind {
	case sim.ReservoirRanEmpty:
		return s.Reservoirs[m.Index].ID + " running empty"
	case sim.RunLimitReached:
		return "the run limit of " + s.Controls[m.Index].ID
	case sim.CutoutTripped:
		return s.Controls[m.Index].ID + " cutting"
	case sim.ThermostatTookOver:
		return "the own thermostat of " + s.Devices[m.Index].ID
	case sim.FlowStopped:
		return "the return flow stopping"
	default:
		return "the circuit " + s.Circuits[m.Index].ID + " going dead"
	}
}

// stopped lists what stepped in, in the order it did, with the hour.
func (r *FaultReport) stopped(out sim.Outcome, rm *room) {
	for _, m := range out.Marks {
		if marked(rm.nominal.first, m) || m.Kind == sim.FlowStopped || m.Kind == sim.CircuitDied {
			continue
		}
		r.StoppedBy = append(r.StoppedBy, fmt.Sprintf("%s after %.1f h", markName(m, rm.system), m.AtS/secondsPerHour))
	}
}

// worse tells whether a ends worse than b: verdict, then earlier harm, then the nearer limit.
// What differs by rounding alone is the same.
func worse(a, b FaultReport) bool {
	if a.Verdict.rank() != b.Verdict.rank() {
		return a.Verdict.rank() > b.Verdict.rank()
	}
	switch {
	case a.HarmH != nil && b.HarmH != nil:
		return sooner(*a.HarmH, *b.HarmH)
	case a.HarmH != nil || b.HarmH != nil:
		return a.HarmH != nil
	}
	return numeric.Rounded(math.Min(a.NearestK, a.NearestPSU)) < numeric.Rounded(math.Min(b.NearestK, b.NearestPSU))
}

// sooner tells whether one instant comes before another; a rounding apart they are the same.
func sooner(a, b float64) bool { return numeric.Rounded(a) < numeric.Rounded(b) }
