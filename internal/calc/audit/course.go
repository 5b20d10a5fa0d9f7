package audit

import (
	"context"

	"saltwright/internal/calc/sim"
)

// shared keeps runs by their effect, in each room.
type shared []map[string]course

// course is a run in which the water goes as it goes with some faults, and the effect that it was run with.
type course struct {
	out    *sim.Outcome
	effect sim.Effect
}

// nominalCourses starts with the runs with nothing broken.
func (st *study) nominalCourses() shared {
	runs := make(shared, len(st.rooms))
	for r := range runs {
		rm := &st.rooms[r]
		e := sim.EffectOf(rm.system, nil)
		runs[r] = map[string]course{e.Key(): {&rm.nominal.first, e}}
	}
	return runs
}

// outcome finds how one fault ends in one room.
//
// Where the watch on the run with nothing broken shows that the fault forces only what was so anyway, that run is its
// own; so it is, but for when alarms are raised, where nothing but alarms can notice the fault, or where it leaves both
// water and marks alone. Else faults of one effect share a run, from which alarms and marks of each are taken; what that
// run does not tell is run in full.
func (st *study) outcome(ctx context.Context, i, in int) (trial, error) {
	rm := &st.rooms[in]
	s, nominal := rm.system, &rm.nominal.first
	injections := st.faults[i].injectionsIn(s)
	if !st.runAll {
		nothing := course{nominal, sim.EffectOf(s, nil)}
		if st.alarmsOnly(i) || st.unmarked(i, in) && st.ineffective(i, in) {
			if heard, known := sim.Heard(s, nominal, nothing.effect.Applied(), injections); known {
				out := *nominal
				out.Alarms = heard
				return trial{out: &out, way: nothing}, nil
			}
		}
		if st.inert(i, in, *nominal) {
			return trial{out: nominal, way: nothing}, nil
		}
	}
	e := sim.EffectOf(s, injections)
	way, err := st.shared(ctx, in, e, st.runs, st.watch, func(out sim.Outcome) error {
		if restless(s, out) { // it tells nothing, and is run in full by each fault
			return st.report.conserves(out)
		}
		return st.report.account(out)
	})
	if err != nil {
		return trial{}, err
	}
	if out, known := told(s, way, injections); known && !st.runAll {
		return trial{out: &out, way: way}, nil
	}
	out, err := sim.Run(ctx, s, &rm.start, injections, *st.p.Attendance.LongestAbsenceH*secondsPerHour)
	if err != nil {
		return trial{}, err
	}
	st.ran++
	return trial{out: &out, way: way}, st.report.account(out)
}

// restless tells whether a run may be cut short; then events that move nothing, such as an alarm's, decide when.
func restless(s *sim.System, out sim.Outcome) bool { return out.Events > s.MaxEvents/2 }

// told returns how faults end from the run of their effect, if it tells. One that may be cut short does not.
func told(s *sim.System, way course, injections []sim.Injection) (out sim.Outcome, known bool) {
	if restless(s, *way.out) {
		return out, false
	}
	out = *way.out
	if out.Alarms, known = sim.Heard(s, way.out, way.effect.Applied(), injections); known {
		out.Marks, known = sim.Marked(s, way.out, way.effect, injections)
	}
	return out, known
}

// both runs two faults together, alarms and all.
func (st *study) both(ctx context.Context, rm *room, injections []sim.Injection, c *Combined) (sim.Outcome, error) {
	out, err := sim.Run(ctx, rm.system, &rm.start, injections, *st.p.Attendance.LongestAbsenceH*secondsPerHour)
	if err != nil {
		return out, err
	}
	return out, st.accountPair(out, c)
}

func (st *study) accountPair(out sim.Outcome, c *Combined) error {
	c.Events += out.Events
	return st.report.conserves(out)
}

// shared returns the run of faults with this effect, made and accounted for where there is none yet.
func (st *study) shared(ctx context.Context, r int, e sim.Effect, runs shared, watch bool, account func(sim.Outcome) error) (course, error) {
	rm := &st.rooms[r]
	if way, ok := runs[r][e.Key()]; ok {
		return way, nil
	}
	out, err := sim.RunEffect(ctx, rm.system, &rm.start, e, *st.p.Attendance.LongestAbsenceH*secondsPerHour, watch)
	if err != nil {
		return course{}, err
	}
	way := course{&out, e}
	if !watch { // Only this is asked again; a large plan has thousands of such runs.
		way.out = &sim.Outcome{
			EndS: out.EndS, Events: out.Events, Truncated: out.Truncated, Limits: out.Limits, Peaks: out.Peaks, Called: out.Called,
			Marks: out.Marks, Devices: out.Devices, Balance: out.Balance,
		}
	}
	runs[r][e.Key()] = way
	return way, account(out)
}
