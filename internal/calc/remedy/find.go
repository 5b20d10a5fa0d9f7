// Package remedy finds what to change in a plan so that no single failure loses its tank.
package remedy

import (
	"context"
	"slices"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/risk"
)

// UsualAbsences is how often a year the longest absence is taken, and untestedYears how long a hidden failure waits
// that nobody looks for; common practice, no source.
const (
	UsualAbsences = 3
	untestedYears = 2.0
)

// mostEvents is the [audit.Work] that a search may spend, some thirty audits of a household.
const mostEvents = 2_000_000

// mostTested is the work of an audit whose pairs are followed besides; for dearer ones plan-risk says what tests save.
const mostTested = 100_000

// A changed plan may take so many times the events of the plan as it is, or at least so many: beyond that something
// switches without end.
const (
	trialTimes       = 3
	leastTrialEvents = 20_000
)

// Candidates returns what might help against what a plan's audit found harmed, lost or saved by little, from what the
// plan has.
//
//	r     the plan's audit
//	sent  the plan as it was sent, not completed: what was assumed is in no document and cannot be edited
//
// Errors: none. Source: [CommonPractice] for the changes, [Derived] for their sizes.
func Candidates(r audit.Report, sent plan.Plan) []Change {
	return newCandidates(r, sent, (*audit.FaultReport).Ends,
		func(f *audit.FaultReport) string { return f.FirstHarm }).all()
}

// newCandidates begins a list of what might help against some kinds of harm of what ends badly.
func newCandidates(r audit.Report, sent plan.Plan, kinds ...func(f *audit.FaultReport) string) *candidates {
	c := &candidates{report: r, p: r.Plan, sent: sent, losses: map[string]bool{}, unsound: map[string]bool{}}
	for _, f := range r.Faults {
		if !f.Verdict.Sound() || f.Thin() {
			for _, kind := range kinds {
				c.losses[kind(&f)] = true
			}
			c.unsound[f.Fault.ID] = true
		}
	}
	for _, n := range r.Nominal {
		for _, x := range n.Crossings {
			if x.HarmH != nil {
				c.losses[x.Loss] = true
			}
		}
	}
	return c
}

// all returns what might help, first what is closest at hand.
func (c *candidates) all() []Change {
	c.answers()
	c.settings()
	c.overheated()
	c.sumpOverheated()
	c.chilled()
	c.tooWarm()
	c.freshWater()
	c.moreWater()
	c.reservoirs()
	c.spill()
	c.sump()
	c.gear()
	c.air()
	c.noDark()
	c.elements()
	c.dosing()
	c.otherCircuits()
	c.alarms()
	c.secondSensors()
	c.series()
	c.backups()
	c.reach()
	c.people()
	return c.list
}

// Result is what was found for a plan.
type Result struct {
	Report audit.Report // of the plan as it is
	Base   Score        // and what that comes to
	Found
	Tests   []risk.Oftener // of the plan as it is, what saves most first
	sent    plan.Plan
	changes []Change
}

// Candidates is how many single changes were considered.
//
// Errors: none. Source: [Derived].
func (r Result) Candidates() int { return len(r.changes) }

// Changes returns the changes of a set.
//
// Errors: none. Source: [Derived].
func (r Result) Changes(s Set) []Change {
	var out []Change
	for _, i := range s.Changes {
		out = append(out, r.changes[i])
	}
	return out
}

// Edited returns the plan as sent with the changes of a set.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (r Result) Edited(s Set) plan.Plan {
	p := r.sent.Clone()
	for _, i := range s.Changes {
		r.changes[i].Edit(&p)
	}
	return p
}

// Tested returns the plan as sent with a test made more often.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (r Result) Tested(o risk.Oftener) plan.Plan {
	p := r.sent.Clone()
	i := slices.IndexFunc(p.ProofTests, func(t plan.ProofTest) bool { return t.Element == o.Element })
	if i < 0 {
		i, p.ProofTests = len(p.ProofTests), append(p.ProofTests, plan.ProofTest{Element: o.Element})
	}
	p.ProofTests[i].EveryDays = o.EveryDays
	return p
}

// Reread tells what becomes of an edited plan that is written down and sent; not ok where it would be refused.
type Reread func(ctx context.Context, edited plan.Plan) (p plan.Plan, ok bool, err error)

// Find audits a plan and finds the smallest sets of changes that leave nothing harmed or lost, the best next change,
// and which tests made more often save most: those change no verdict, but the losses by pairs.
//
//	sent  the plan as it was sent, not completed
//
// Accuracy: that of the audit and of Search. Errors: those of audit.Single for the plan as sent, what
// reread returns, the context's. Source: [Derived].
func Find(ctx context.Context, sent plan.Plan, reread Reread) (Result, error) {
	r := Result{sent: sent}
	var err error
	if r.Report, err = audit.Single(ctx, sent); err != nil {
		return r, err
	}
	r.Base = scoreOf(r.Report, nil)
	if r.Base.Events <= mostTested {
		if r.Tests, err = risk.TestsOftener(ctx, risk.Input{Plan: sent, AbsencePerYr: UsualAbsences,
			UntestedYears: untestedYears}); err != nil {
			return r, err
		}
	}
	if r.Report.Sound() && r.Base.Thin == 0 {
		return r, nil
	}
	r.changes = Candidates(r.Report, sent)
	r.Found, err = Search(ctx, len(r.changes), r.Base, mostEvents, func(
		ctx context.Context, set []int, goOn func(Score) bool,
	) (Score, error) {
		p, ok, err := reread(ctx, r.Edited(Set{Changes: set}))
		if err != nil {
			return Score{}, err
		}
		if !ok {
			return lostEverything(1), nil
		}
		most := min(audit.MaxEvents, max(leastTrialEvents, trialTimes*r.Report.Events))
		s, err := try(ctx, p, most, &r.Report, goOn)
		if ctx.Err() != nil {
			return Score{}, ctx.Err()
		}
		if err != nil { // the changes contradict each other or the plan, or something switches without end
			return lostEverything(audit.Work(most, p)), nil
		}
		return s, nil
	})
	if r.Best != nil && !r.Best.improves() {
		r.Best = nil
	}
	r.Next = slices.DeleteFunc(r.Next, func(s Set) bool { return !s.improves() || !s.Helps(r.Base) })
	return r, err
}

// try audits a changed plan beside the plan as it is: first what ended badly or by little in that, and the faults of
// what is new; the rest where goOn says so of that part.
func try(ctx context.Context, changed plan.Plan, most int, base *audit.Report, goOn func(Score) bool) (Score, error) {
	ended := map[string]audit.FaultReport{}
	for _, f := range base.Faults {
		ended[f.Fault.ID] = f
	}
	attempt, err := audit.Begin(ctx, changed, most, func(id string) bool {
		f, known := ended[id]
		return !known || !f.Verdict.Sound() || f.Thin()
	})
	if err != nil {
		return Score{}, err
	}
	if part := scoreOf(attempt.Report(), base); !goOn(part) {
		part.Part = true
		return part, nil
	}
	report, err := attempt.Whole(ctx)
	if err != nil {
		return Score{}, err
	}
	return scoreOf(report, base), nil
}

// lostEverything is the score of changes that cannot be made together.
func lostEverything(events int) Score {
	return Score{
		Unsound: map[string]bool{"impossible": true}, Left: map[string]bool{"impossible": true},
		Impossible: true, Idle: true, Per100: 1e6, Harms100: 1e6, Events: events,
	}
}

// nominal stands among the faults for a plan that fails with nothing broken.
const nominal = "nominal"

// scoreOf says what a plan comes to, beside the audit of the plan as it is; nil: it is that plan.
func scoreOf(r audit.Report, base *audit.Report) Score {
	s := Score{
		Unsound: map[string]bool{}, Left: map[string]bool{}, Lost: r.Count(audit.Lost), Harmed: r.Count(audit.Harmed),
		Events: audit.Work(r.Events, r.Plan),
	}
	s.Per100, s.Harms100 = risk.SinglesPer100(r, UsualAbsences)
	for _, f := range r.Faults {
		if !f.Verdict.Sound() {
			s.Unsound[f.Fault.ID], s.Left[f.Fault.ID] = true, true
		}
		if f.Thin() {
			s.Left[f.Fault.ID] = true
			s.Thin++
		}
	}
	if failsByItself(r) {
		s.Unsound[nominal], s.Left[nominal] = true, true
	}
	if base != nil {
		s.compare(r, *base)
	}
	return s
}
