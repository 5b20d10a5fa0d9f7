package remedy

import (
	"context"
	"math"
	"reflect"
	"slices"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// What advice may cost beside the audit itself.
const (
	cureShare   = 1      // times its events, for what cures the worst
	answerShare = 2      // and for what answers the others
	mostAdvised = 40_000 // events of an audit that is dearer are left to a search of its own
	worthEnergy = 0.98   // of the energy: less than that is told
)

// Advise makes, one by one, the changes that answer what an audit found, and for what is harmed or lost first those
// that may cure it; each is audited. Findings whose change comes out well say so, with what came out; the others are
// as they were.
//
//	r     a plan's audit
//	sent  the plan as it was sent, not completed
//
// It follows no more than three times the events of the audit, and two attempts; an audit of more than 40,000 is left
// as it is.
// Accuracy: that of the audit. Errors: the context's. Source: [Derived].
func Advise(ctx context.Context, r audit.Report, sent plan.Plan) ([]audit.Finding, error) {
	out := slices.Clone(r.Findings)
	work := audit.Work(r.Events, r.Plan)
	if work > mostAdvised {
		return out, nil
	}
	x := adviser{r: r, sent: sent, left: cureShare * work, base: scoreOf(r, nil)}
	for i, f := range out {
		if f.Severity == audit.Fatal && len(f.Faults) > 0 {
			if err := x.cure(ctx, &out[i]); err != nil {
				return nil, err
			}
			break // the worst; what cures the others is left to a search
		}
	}
	x.left = answerShare * work
	for i := range out {
		if a := out[i].Answer; a != nil {
			if _, err := x.make(ctx, &out[i], *a, nil); err != nil {
				return nil, err
			}
		}
	}
	return out, nil
}

type adviser struct {
	r    audit.Report
	sent plan.Plan
	base Score
	left int // events
}

// cure tries what may help against the faults of a finding until one of the changes helps against all of them.
func (x *adviser) cure(ctx context.Context, f *audit.Finding) error {
	only := x.r
	only.Nominal, only.Findings, only.Faults = nil, nil, nil
	for _, fault := range x.r.Faults {
		if slices.Contains(f.Faults, fault.Fault.ID) {
			only.Faults = append(only.Faults, fault)
		}
	}
	for _, c := range Candidates(withNominal(only, x.r), x.sent) {
		cured, err := x.make(ctx, f, c, f.Faults)
		if err != nil || cured {
			return err
		}
	}
	return nil
}

// withNominal lends an audit the runs that sizes are taken from, without what goes wrong in them.
func withNominal(r, from audit.Report) audit.Report {
	for _, n := range from.Nominal {
		n.Crossings = nil
		r.Nominal = append(r.Nominal, n)
	}
	return r
}

// make makes one change and tells whether it is told as what answers a finding: it makes some of these faults end well
// (all of them where there are several), or takes the finding away, and makes nothing worse.
func (x *adviser) make(ctx context.Context, f *audit.Finding, c Change, faults []string) (told bool, err error) {
	if x.left <= 0 {
		return false, nil
	}
	edited := x.sent.Clone()
	c.Edit(&edited)
	if reflect.DeepEqual(edited, x.sent) {
		return false, nil
	}
	if _, _, err := plan.Complete(edited); err != nil {
		return false, nil // it cannot be built into this plan
	}
	attempt, err := audit.Begin(ctx, edited, func(id string) bool {
		return faults == nil || slices.Contains(faults, id)
	})
	if ctx.Err() != nil {
		return false, ctx.Err()
	}
	if err != nil { // it contradicts the plan, or something switches without end
		x.left -= audit.Work(audit.MaxEvents, edited)
		return false, nil
	}
	if !allWell(attempt.Report(), faults) {
		x.left -= audit.Work(attempt.Report().Events, edited)
		return false, nil
	}
	after, err := attempt.Whole(ctx)
	if ctx.Err() != nil {
		return false, ctx.Err()
	}
	x.left -= audit.Work(after.Events, edited)
	if err != nil {
		return false, nil
	}
	s := scoreOf(after, &x.r)
	gone := faults != nil || takenAway(*f, attempt.Findings())
	if s.Worse || !gone && s.Idle || added(s, x.base) || discomforts(after, x.r) {
		return false, nil
	}
	proof := setOf(nil, s).Proof()
	if s.Idle {
		proof = x.measured(*f, after)
	}
	f.Change = text.Of("change_proved", text.Params{"change": c.Sentence, "proof": proof})
	return true, nil
}

// allWell tells whether some faults are held or rescued with time to spare.
func allWell(r audit.Report, faults []string) bool {
	for _, f := range r.Faults {
		if slices.Contains(faults, f.Fault.ID) && (!f.Verdict.Sound() || f.Thin()) {
			return false
		}
	}
	return true
}

// added tells whether a change adds faults that end badly.
func added(s, base Score) bool {
	for id := range s.Unsound {
		if !base.Unsound[id] {
			return true
		}
	}
	return false
}

func takenAway(f audit.Finding, after []audit.Finding) bool {
	return !slices.ContainsFunc(after, func(x audit.Finding) bool {
		return x.Code == f.Code && slices.Equal(x.Elements, f.Elements)
	})
}

// discomforts tells whether a tank leaves its comfort with nothing broken where it did not before.
func discomforts(after, before audit.Report) bool {
	crossed := map[string]bool{}
	for _, n := range before.Nominal {
		for _, c := range n.Crossings {
			crossed[string(n.Room)+c.Loss] = true
		}
	}
	for _, n := range after.Nominal {
		for _, c := range n.Crossings {
			if !crossed[string(n.Room)+c.Loss] {
				return true
			}
		}
	}
	return false
}

// measured says what a change does where no failure ends better by it: how long a contact lasts, or what energy it
// saves.
func (x *adviser) measured(f audit.Finding, after audit.Report) text.Text {
	if f.Code == "contact_wears_out" {
		for _, c := range after.Contacts {
			if c.Element == f.Elements[0] && !math.IsInf(c.LifeY, 1) {
				return text.Of("change_lasts", text.Params{"starts": c.StartsPerDay, "years": c.LifeY})
			}
		}
	}
	for k, n := range after.Nominal {
		if was := x.r.Nominal[k].KWhPerDay; n.KWhPerDay < worthEnergy*was {
			return text.Of("change_saves_energy",
				text.Params{"energy": n.KWhPerDay, "before": was, "room": string(n.Room)})
		}
	}
	return text.Of("change_takes_it_away", nil)
}
