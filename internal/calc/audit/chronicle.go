package audit

import (
	"cmp"
	"context"
	"slices"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/sim"
	"saltwright/internal/calc/text"
)

// MomentKind says what happens at a moment of a fault's run.
type MomentKind string

// The kinds, in the order in which they are told where they come at once.
const (
	FaultMoment  MomentKind = "fault"
	ComfortLeft  MomentKind = "comfort_left"
	SteppedIn    MomentKind = "stepped_in"    // a guard, an empty reservoir, the flow, a circuit
	AlarmReaches MomentKind = "alarm"         // it is raised, and reaches somebody who is away
	AlarmUnheard MomentKind = "alarm_unheard" // it is raised, or would be, and reaches nobody
	HelpMoment   MomentKind = "help"          // hands on the tank; what follows is what would without them
	HarmMoment   MomentKind = "harm"
	LossMoment   MomentKind = "loss"
	AbsenceEnds  MomentKind = "end"
)

// MomentKinds lists them in that order.
var MomentKinds = []MomentKind{
	FaultMoment, ComfortLeft, SteppedIn, AlarmReaches, AlarmUnheard, HelpMoment, HarmMoment, LossMoment, AbsenceEnds,
}

// Moment is one thing that happens.
type Moment struct {
	Kind    MomentKind
	AtH     float64
	Element string    // whose id it is, of a fault and an alarm
	Why     WhyNoHelp // of an alarm that reaches nobody
	Said    text.Text
}

// Chronicle is a fault's run as it can be told: how the water stands, and what happens when.
type Chronicle struct {
	Timeline
	DisplayMM []float64 // by sample, the water of the display over its normal line
	Moments   []Moment  // in the order of time
}

// Chronicle follows the fault of an id once more, in the room that makes it worst. Nil: the plan has no such fault.
//
// Accuracy: as Single. Errors: as Single. Source: [Derived].
func (a *Audited) Chronicle(ctx context.Context, id string) (*Chronicle, error) {
	st := a.study
	i := slices.IndexFunc(st.report.Faults, func(f FaultReport) bool { return f.Fault.ID == id })
	if i < 0 {
		return nil, nil
	}
	again, err := st.again(ctx, i, toldHours(st.report.Faults[i], *st.p.Attendance.LongestAbsenceH))
	if err != nil {
		return nil, err
	}
	out := &Chronicle{Timeline: again.Timeline}
	areaM2 := *st.p.Display.LengthMM * *st.p.Display.WidthMM /
		(quantity.MillimetresPerMetre * quantity.MillimetresPerMetre)
	for _, s := range again.Samples {
		out.DisplayMM = append(out.DisplayMM, s.DisplayL/areaM2) // a litre over a square metre is a millimetre
	}
	out.Moments = again.moments(st.p)
	return out, nil
}

// toldHours is for how long a fault is told: past its end, and past help where that does not come so late that nothing
// of the rest could be seen beside it.
func toldHours(f FaultReport, absenceH float64) float64 {
	const lateHelp = 4.0 // times the end; common practice, no source
	end := f.EndsH()
	var until float64
	switch {
	case end == nil && f.Alarm == nil:
		return absenceH
	case end == nil:
		until = f.Alarm.ActH * pastTheEnd
	default:
		until = *end * pastTheEnd
		if f.Alarm != nil && f.Alarm.ActH <= lateHelp**end {
			until = max(until, f.Alarm.ActH*1.05)
		}
	}
	return min(absenceH, max(until, leastDrawnH))
}

// moments lists what happens in a run.
func (x followed) moments(p plan.Plan) []Moment {
	f, s := x.Fault, x.room.system
	out := []Moment{{Kind: FaultMoment, Element: f.Fault.Element,
		Said: text.Of("moment_fault", text.Params{"fault": f.Fault.Sentence})}}
	unheard := func(atH *float64, alarm string, why WhyNoHelp, said text.Text) {
		if atH != nil && *atH <= x.HoursH {
			out = append(out, Moment{AlarmUnheard, *atH, alarm, why, said})
		}
	}
	add := func(kind MomentKind, atH *float64, element string, said text.Text) {
		if atH != nil && *atH <= x.HoursH {
			out = append(out, Moment{Kind: kind, AtH: *atH, Element: element, Said: said})
		}
	}
	for _, c := range f.Crossings {
		kind := text.Params{"kind": c.Loss}
		add(ComfortLeft, c.ComfortH, "", text.Of("moment_comfort_left", kind))
		add(HarmMoment, c.HarmH, "", text.Of("moment_harm", kind))
		add(LossMoment, c.LossH, "", text.Of("moment_loss", kind))
	}
	for _, m := range x.course.Marks(x.injections) {
		if !x.room.marked(m) {
			add(SteppedIn, hours(m.AtS), "", markMoment(m, s))
		}
	}
	quiets := x.course.Silences(x.injections)
	calls := x.course.Calls(x.injections)
	for i, at := range firstOf(calls) {
		id, why := s.Alarms[i].ID, quiets[i]
		reason, quiet := silences[why.Why]
		switch {
		case quiet:
			unheard(hours(why.AtS), id, reason, text.Of("moment_alarm_silent",
				text.Params{"alarm": id, "why": string(reason)}))
		case !x.room.raisedByFault(i, at):
		case !x.room.reaches(i, calls[i], x.injections) && onlyHeard(s, s.Alarms[i]):
			unheard(hours(at), id, OnlyInRoom, text.Of("moment_alarm_in_room", text.Params{"alarm": id}))
		case !x.room.reaches(i, calls[i], x.injections):
			unheard(hours(at), id, NobodyCalled, text.Of("moment_alarm_silent",
				text.Params{"alarm": id, "why": string(NobodyCalled)}))
		default:
			add(AlarmReaches, hours(at), id, text.Of("moment_alarm", text.Params{"alarm": id}))
		}
	}
	if f.Alarm != nil {
		help := text.Of("moment_help", nil)
		if end := f.EndsH(); end != nil && f.Alarm.ActH > *end {
			help = text.Of("moment_help_late", text.Params{"late": f.Alarm.ActH - *end})
		}
		add(HelpMoment, &f.Alarm.ActH, "", help)
	}
	if back := *p.Attendance.LongestAbsenceH; x.HoursH >= back {
		add(AbsenceEnds, &back, "", text.Of("moment_end", nil))
	}
	slices.SortStableFunc(out, func(a, b Moment) int {
		return cmp.Or(cmp.Compare(a.AtH, b.AtH),
			cmp.Compare(slices.Index(MomentKinds, a.Kind), slices.Index(MomentKinds, b.Kind)))
	})
	return out
}

// markMoment says what stepped in.
func markMoment(m sim.Mark, s *sim.System) text.Text {
	of := func(code, id string) text.Text { return text.Of(code, text.Params{"id": id}) }
	switch m.Kind {
	case sim.ReservoirRanEmpty:
		return of("moment_reservoir_empty", s.Reservoirs[m.Index].ID)
	case sim.RunLimitReached:
		return of("moment_run_limit", s.Controls[m.Index].ID)
	case sim.CutoutTripped:
		return of("moment_cuts", s.Controls[m.Index].ID)
	case sim.ThermostatTookOver:
		return of("moment_own_thermostat", s.Devices[m.Index].ID)
	case sim.FlowStopped:
		return text.Of("moment_flow_stops", nil)
	default:
		return of("moment_circuit_dead", s.Circuits[m.Index].ID)
	}
}
