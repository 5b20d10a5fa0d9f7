package audit

import (
	"context"

	"saltwright/internal/calc/sim"
)

// shared keeps runs by their effect, in each room.
type shared []map[string]course

// course is a run in which the water goes as it goes with some faults, and what moved its comparators.
type course struct {
	out     *sim.Outcome
	applied sim.Applied
}

// courses starts with the runs of single faults.
func (st *study) courses() shared {
	runs := make(shared, len(st.rooms))
	for r := range runs {
		runs[r] = map[string]course{}
		s := st.rooms[r].system
		for i := range st.faults {
			if key := sim.EffectOf(s, st.faults[i].injectionsIn(s)).Key(); runs[r][key].out == nil {
				runs[r][key] = st.trials[i][r].course
			}
		}
	}
	return runs
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

// shared returns the run of faults with this effect, made where there is none yet.
func (st *study) shared(ctx context.Context, r int, injections []sim.Injection, c *Combined, runs shared) (course, error) {
	rm := &st.rooms[r]
	e := sim.EffectOf(rm.system, injections)
	if way, ok := runs[r][e.Key()]; ok {
		return way, nil
	}
	out, err := sim.RunEffect(ctx, rm.system, &rm.start, e, *st.p.Attendance.LongestAbsenceH*secondsPerHour)
	if err != nil {
		return course{}, err
	}
	// Only this is asked again; a large plan has thousands of such runs.
	kept := sim.Outcome{EndS: out.EndS, Truncated: out.Truncated, Limits: out.Limits, Peaks: out.Peaks, Alarms: out.Alarms, Called: out.Called}
	way := course{&kept, e.Applied()}
	runs[r][e.Key()] = way
	return way, st.accountPair(out, c)
}
