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
