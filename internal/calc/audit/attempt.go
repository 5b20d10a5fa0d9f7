package audit

import (
	"context"
	"slices"

	"saltwright/internal/calc/plan"
)

// Attempt is the audit of a changed plan that may end early: it follows some faults first, and the rest when asked.
type Attempt struct {
	study *study
	place map[string]int // of a fault in the whole list, by its id
	rest  []Fault
}

// Begin follows a plan with nothing broken, and those faults that first names by their ids.
//
//	most  events that it may take, with those of Whole: 1 … MaxEvents
//
// Accuracy: as Single. Errors: as Single. Source: [Derived].
func Begin(ctx context.Context, in plan.Plan, most int, first func(fault string) bool) (*Attempt, error) {
	p, assumptions, err := plan.Complete(in)
	if err != nil {
		return nil, err
	}
	st, faults, err := begun(ctx, p, assumptions, most)
	if err != nil {
		return nil, err
	}
	a := &Attempt{study: st, place: map[string]int{}}
	var list []Fault
	for i, f := range faults {
		a.place[f.ID] = i
		if first(f.ID) {
			list = append(list, f)
		} else {
			a.rest = append(a.rest, f)
		}
	}
	return a, st.singles(ctx, list)
}

// Report is what has been followed so far, without findings.
//
// Accuracy: as Single. Errors: none. Source: [Derived].
func (a *Attempt) Report() Report { return a.study.report }

// Whole follows the rest, and returns what Single returns of that plan, without findings.
//
// Accuracy: as Single. Errors: as Single. Source: [Derived].
func (a *Attempt) Whole(ctx context.Context) (Report, error) {
	if err := a.study.singles(ctx, a.rest); err != nil {
		return Report{}, err
	}
	a.rest = nil
	r := a.study.report
	slices.SortFunc(r.Faults, func(x, y FaultReport) int { return a.place[x.Fault.ID] - a.place[y.Fault.ID] })
	return r, nil
}

// Findings returns what is found of a plan that has been followed whole.
//
// Accuracy: as Single. Errors: none. Source: [Derived].
func (a *Attempt) Findings() []Finding { return findings(a.study.report, a.study.rooms) }

// Glimpse follows some faults of a changed plan through one absence in some rooms, after one with nothing broken. What
// ends badly there does so in the whole audit, so that a change which does not help is known for little.
//
//	most    events that it may take: 1 … MaxEvents
//	rooms   one or more
//	faults  ids; those that the changed plan does not have are left out
//
// Returns how these faults end, and the events it took. Accuracy: as Single, of these rooms. Errors: as Single.
// Source: [Derived].
func Glimpse(ctx context.Context, in plan.Plan, most int, rooms []RoomName, faults []string) ([]FaultReport, int,
	error) {
	p, _, err := plan.Complete(in)
	if err != nil {
		return nil, 0, err
	}
	st := &study{p: p, report: Report{Plan: p, HorizonH: *p.Attendance.LongestAbsenceH, most: most}}
	if st.rooms, err = prepareRooms(ctx, p, &st.report, st.report.HorizonH, rooms...); err != nil {
		return nil, st.report.Events, err
	}
	for range st.rooms {
		st.harmless = append(st.harmless, map[string]bool{})
	}
	list := append(faultsOf(p, st.rooms[0].system), boxFaults(p, st.rooms[0].system)...)
	list = slices.DeleteFunc(list, func(f Fault) bool { return !slices.Contains(faults, f.ID) })
	err = st.singles(ctx, list)
	return st.report.Faults, st.report.Events, err
}
