package remedy

import (
	"slices"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/text"
)

// Outcome is how a fault ends in a changed plan that ended badly, or well by little, in the plan as it is.
type Outcome struct {
	Was  audit.FaultReport
	Then audit.FaultReport
}

// Better tells whether it ends better than it did: by its verdict, or with time enough for help.
//
// Errors: none. Source: [Derived].
func (o Outcome) Better() bool {
	return o.Then.Verdict.Better(o.Was.Verdict) || o.Was.Thin() && o.Then.Verdict.Sound() && !o.Then.Thin()
}

// Score is what a plan with some changes comes to.
type Score struct {
	Unsound      map[string]bool // harmed and lost faults, and "nominal" when it fails with nothing broken
	Left         map[string]bool // these, and the rescues that leave too little time
	Lost, Harmed int             // faults
	Per100       float64         // expected losses by single faults
	Harms100     float64         // how often single faults bring harm, damage or loss

	Thin       int       // rescues that leave too little time to count on
	Worse      bool      // something that ended well ends worse than in the plan as it is
	Impossible bool      // the changes cannot be made together
	Outcomes   []Outcome // of the faults that ended badly or by little in the plan as it is
	Mended     bool      // it failed with nothing broken, and does so no more
	Idle       bool      // it makes nothing end better
	Part       bool      // only the faults that ended badly before, and those of what is new, have been followed
	Events     int       // that it took to find out
}

// Set is some changes and what they come to.
type Set struct {
	Changes          []int // of the candidates
	Lost, Harmed     int
	Per100, Harms100 float64
	Sound            bool
	Thin             int  // rescues that leave too little time to count on
	Worse            bool // something that ended well ends worse
	Outcomes         []Outcome
	Mended           bool
}

// compare says of each fault how it ends beside the plan as it is.
func (s *Score) compare(r, base audit.Report) {
	was := map[string]audit.FaultReport{}
	for _, f := range base.Faults {
		was[f.Fault.ID] = f
	}
	anyway := map[string]bool{} // harms that came with nothing broken: no fault was charged with them
	for _, n := range base.Nominal {
		for _, c := range n.Crossings {
			anyway[c.Loss] = anyway[c.Loss] || c.HarmH != nil
		}
	}
	for _, f := range r.Faults {
		w, known := was[f.Fault.ID]
		switch firm := f.Verdict.Sound() && !f.Thin(); {
		case !known: // of what the changes add: it counts among what is left
		case w.Verdict.Sound() && anyway[f.Ends()]:
		case w.Verdict.Sound() && !w.Thin():
			s.Worse = s.Worse || !firm
		default:
			s.Worse = s.Worse || w.Verdict.Better(f.Verdict)
			s.Outcomes = append(s.Outcomes, Outcome{w, f})
		}
	}
	before, after := failsByItself(base), failsByItself(r)
	s.Mended = before && !after
	s.Worse = s.Worse || after && !before
	s.Idle = !s.Mended && !slices.ContainsFunc(s.Outcomes, Outcome.Better)
}

// failsByItself tells whether a plan harms or loses the tank with nothing broken.
func failsByItself(r audit.Report) bool {
	r.Faults = nil
	return !r.Sound()
}

func (s Set) improves() bool { return s.Mended || len(s.Better()) > 0 }

// Better lists the faults that end better than in the plan as it is.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (s Set) Better() []Outcome {
	var out []Outcome
	for _, o := range s.Outcomes {
		if o.Better() {
			out = append(out, o)
		}
	}
	return out
}

// Proof says how the fault ends that ends worst of those that the set makes better: its verdict and its margin.
//
// Errors: none. Source: [Derived].
func (s Set) Proof() text.Text {
	var said []text.Text
	if s.Mended {
		said = append(said, text.Of("remedy_then_by_itself", nil))
	}
	better := s.Better()
	if len(better) == 0 {
		return text.Sentences(said...)
	}
	worst := better[0]
	for _, o := range better[1:] {
		if worst.Then.Verdict.Better(o.Then.Verdict) ||
			o.Then.Verdict == worst.Then.Verdict && o.lessTime(worst) {
			worst = o
		}
	}
	said = append(said, worst.proof())
	if n := len(better) - 1; n > 0 {
		said = append(said, text.Of("remedy_then_others", text.Params{"count": n}))
	}
	return text.Sentences(said...)
}

func (o Outcome) lessTime(than Outcome) bool {
	a, b := o.Then.MarginH, than.Then.MarginH
	return a != nil && b != nil && *a < *b
}

func (o Outcome) proof() text.Text {
	f := o.Then
	switch {
	case f.Thin():
		return text.Of("remedy_then_thin", text.Params{
			"fault": f.Fault.Sentence, "alarm": f.Alarm.ID, "spare": *f.MarginH})
	case f.Verdict == audit.Rescued:
		return text.Of("remedy_then_rescued", text.Params{
			"fault": f.Fault.Sentence, "alarm": f.Alarm.ID, "spare": *f.MarginH})
	case f.Verdict == audit.Held:
		return text.Of("remedy_then_held", text.Params{"fault": f.Fault.Sentence, "how": o.reach()})
	}
	return text.Of("remedy_then_harmed", text.Params{"end": f.End()})
}

// reach says how far the water goes in what was a harm and is held.
func (o Outcome) reach() text.Text {
	e := o.Then.Extremes
	of := func(code string, peak float64) text.Text { return text.Of(code, text.Params{"peak": peak}) }
	switch o.Was.Ends() {
	case "overheated":
		return of("stays_below_temperature", e.TempMaxC)
	case "chilled":
		return of("stays_above_temperature", e.TempMinC)
	case "diluted":
		return of("stays_above_salinity", e.SalinityMin)
	case "concentrated":
		return of("stays_below_salinity", e.SalinityMax)
	case "sump_hot":
		return of("sump_stays_below", e.SumpMaxC)
	}
	return text.Of("stays_within_limits", nil)
}
