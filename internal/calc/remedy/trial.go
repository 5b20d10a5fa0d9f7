package remedy

import (
	"context"
	"math"
	"slices"
	"strings"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// trial is a change that has been audited whole.
type trial struct {
	change   Change
	edited   plan.Plan
	after    audit.Report
	findings []audit.Finding
	score    Score
	clean    bool // it makes nothing worse, and adds nothing that ends badly
	helps    bool // it makes nothing worse, and leaves less harm than the plan as it is
	refused  bool // by whoever reads plans that are sent
}

// grade is how well a change mends what a finding is about.
type grade int

// leastMarginH is a rescue too close to be told, h; common practice, no source.
const leastMarginH = 0.5

const (
	no     grade = iota
	barely       // with too little time to count on, or at the price of something else
	well
)

// glimpse tells how the faults of a finding end with a change, in the rooms that were worst for them.
func (x *adviser) glimpse(ctx context.Context, edited plan.Plan, f *audit.Finding) (grade, error) {
	faults := f.Faults
	var rooms []audit.RoomName
	for _, r := range x.r.Faults {
		if slices.Contains(faults, r.Fault.ID) && !slices.Contains(rooms, r.Room) {
			rooms = append(rooms, r.Room)
		}
	}
	share := x.times(glimpseShare)
	ends, events, err := audit.Glimpse(ctx, edited, max(1, audit.Events(share, edited)), rooms, faults)
	if ctx.Err() != nil {
		return no, ctx.Err()
	}
	x.left -= audit.Work(events, edited)
	if err != nil { // it contradicts the plan, or would take more than its share
		return no, nil
	}
	return gradeOf(ends, f), nil
}

// tried is the whole audit of a change; nil: none yet.
func (x *adviser) tried(c Change) *trial {
	for _, t := range x.trials {
		if t.change.Sentence.String() == c.Sentence.String() {
			return t
		}
	}
	return nil
}

// try audits a change whole, as far as it goes on promising to mend a finding; nil: it does not.
func (x *adviser) try(ctx context.Context, c Change, edited plan.Plan, f *audit.Finding, answer bool) (*trial, error) {
	share := x.times(trialShare)
	attempt, err := audit.Begin(ctx, edited, audit.Events(share, edited), func(id string) bool {
		return slices.Contains(f.Faults, id)
	})
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil { // it contradicts the plan, or would take more than its share
		x.left -= share
		return nil, nil
	}
	begun := attempt.Report()
	if !answer && gradeOf(begun.Faults, f) == no || len(f.Faults) == 0 && !takenAway(*f, attempt.Findings()) {
		x.left -= audit.Work(begun.Events, edited)
		return nil, nil
	}
	t := &trial{change: c, edited: edited}
	t.after, err = attempt.Whole(ctx)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		x.left -= share
		return nil, nil
	}
	x.left -= audit.Work(t.after.Events, edited)
	t.findings, t.score = attempt.Findings(), scoreOf(t.after, &x.r)
	kept := !t.score.Worse && !discomforts(t.after, x.r)
	t.clean, t.helps = kept && !added(t.score, x.base), kept && setOf(nil, t.score).Helps(x.base)
	x.trials = append(x.trials, t)
	return t, nil
}

// mends tells how well a trial mends what a finding is about.
func (x *adviser) mends(t *trial, f *audit.Finding) grade {
	switch {
	case len(f.Faults) > 0 && f.Answer == nil:
		return gradeOf(t.after.Faults, f)
	case takenAway(*f, t.findings):
		return well
	}
	return no
}

// tell writes a trial into a finding, unless the changed plan is refused where plans are sent to.
func (x *adviser) tell(ctx context.Context, f *audit.Finding, t *trial) (told bool, err error) {
	if t.refused {
		return false, nil
	}
	// Reading it as the service does costs as much as some audits, so that only what is told is read.
	_, ok, err := x.reread(ctx, t.edited)
	if t.refused = !ok; err != nil || !ok {
		return false, err
	}
	proof := x.proof(t, *f)
	if end := x.brings(t.after); !end.IsZero() {
		proof = text.Sentences(proof, text.Of("change_brings", text.Params{"end": end}))
	}
	f.Change = text.Of("change_proved", text.Params{"change": t.change.Sentence, "proof": proof})
	f.Proved = &t.edited
	return true, nil
}

// proof says what came out of a trial: first for the faults that a finding is about.
func (x *adviser) proof(t *trial, f audit.Finding) text.Text {
	said := setOf(nil, t.score)
	own := said
	own.Outcomes = slices.DeleteFunc(slices.Clone(said.Outcomes),
		func(o Outcome) bool { return !slices.Contains(f.Faults, o.Was.Fault.ID) })
	own.Mended = said.Mended && strings.HasPrefix(f.Code, "nominal_")
	switch {
	case own.improves():
		return own.Proof()
	case said.improves():
		return said.Proof()
	}
	return x.measured(f, t.after)
}

// brings says how the worst of what a change adds ends that ends badly, the soonest first; empty: nothing does.
func (x *adviser) brings(after audit.Report) text.Text {
	only := after
	only.Faults = slices.DeleteFunc(slices.Clone(after.Faults), func(f audit.FaultReport) bool {
		return f.Verdict.Sound() || x.base.Unsound[f.Fault.ID]
	})
	if worst := only.Worst(); worst != nil {
		return worst.End()
	}
	return text.Text{}
}

// gradeOf tells how well those of some faults end that a finding is about.
func gradeOf(list []audit.FaultReport, about *audit.Finding) grade {
	got := well
	for _, f := range list {
		switch {
		case !slices.Contains(about.Faults, f.Fault.ID):
		case !f.Verdict.Sound(), f.Thin() && about.Code == "thin_rescue":
			return no
		case f.Thin() && *f.MarginH < leastMarginH:
			return no
		case f.Thin():
			got = barely
		}
	}
	return got
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
