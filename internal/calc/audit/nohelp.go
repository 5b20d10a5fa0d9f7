package audit

import (
	"cmp"
	"slices"

	"saltwright/internal/calc/numeric"
	"saltwright/internal/calc/sim"
	"saltwright/internal/calc/text"
)

// silences are the words for why an alarm was not raised.
var silences = map[sim.Silence]WhyNoHelp{
	sim.AlarmBroken: AlarmBroken, sim.SensorLies: SensorLies, sim.TooShort: TooShort, sim.ThresholdNotMet: NotReached,
	sim.AlarmWithoutFeed: NoPower, sim.BatteryFlat: BatteryFlat, sim.NetworkDown: NetworkDown, sim.WayDown: WayDown,
}

// sayWhyNoHelp keeps, where the verdict is not sound, why no alarm brings help in time.
func (r *FaultReport) sayWhyNoHelp(rm *room, c *sim.Course, injections []sim.Injection,
	calls [][]float64) {
	end := r.EndsH()
	if r.Verdict.Sound() || end == nil {
		return
	}
	if len(rm.system.Alarms) == 0 {
		r.NoHelp = []NoHelp{{Why: NoAlarmAtAll}}
		return
	}
	raised := firstOf(calls)
	type caller struct {
		id string
		at float64 // when it is raised, or would be
	}
	callers := map[WhyNoHelp][]caller{}
	for i, silent := range c.Silences(injections) {
		a, at := rm.system.Alarms[i], silent.AtS
		why, quiet := silences[silent.Why]
		switch {
		case quiet:
		case !rm.raisedByFault(i, raised[i]):
			why = StandsAnyway
		case !rm.reaches(i, calls[i], injections) && onlyHeard(rm.system, a):
			why = OnlyInRoom
		case !rm.reaches(i, calls[i], injections):
			why = NobodyCalled
		default:
			why, at = TooLate, raised[i]
		}
		callers[why] = append(callers[why], caller{a.ID, at})
	}
	for _, why := range whysNoHelp {
		list := callers[why]
		if len(list) == 0 {
			continue
		}
		slices.SortStableFunc(list, func(a, b caller) int {
			return cmp.Compare(numeric.Rounded(a.at), numeric.Rounded(b.at))
		})
		n := NoHelp{Why: why}
		for _, x := range list {
			n.Alarms = append(n.Alarms, x.id)
		}
		if why == TooLate {
			raisedH := list[0].at / secondsPerHour
			lateH := r.Alarm.ActH - *end
			n.RaisedH, n.LateH = &raisedH, &lateH
		}
		r.NoHelp = append(r.NoHelp, n)
	}
}

// Sentence says why an alarm brings no help in time.
//
// Errors: none. Source: [Derived].
func (n NoHelp) Sentence() text.Text {
	switch n.Why {
	case NoAlarmAtAll:
		return text.Of("no_alarm_in_plan", nil)
	case NotReached:
		return text.Of("no_alarm_watches", text.Params{"count": len(n.Alarms)})
	case TooLate:
		return text.Of("alarm_too_late", text.Params{"alarm": n.Alarms[0], "time": *n.RaisedH, "late": *n.LateH})
	}
	return text.Of("no_help_by", text.Params{"alarm": n.Alarms[0], "why": string(n.Why)})
}
