package plan

import (
	"context"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/remedy"
	"saltwright/internal/calc/text"
	"saltwright/internal/contract"
)

type remedyChange struct {
	Code     string    `json:"code"`
	Sentence text.Text `json:"sentence"`
}

// remedyOutcome is a fault that ends better in a changed plan than it did.
type remedyOutcome struct {
	Fault   string   `json:"fault"`
	Was     string   `json:"was"`
	Verdict string   `json:"verdict"`
	MarginH *float64 `json:"margin_h,omitempty"`
}

type remedySet struct {
	Changes  []remedyChange   `json:"changes"`
	Sound    bool             `json:"sound"`
	Proof    text.Text        `json:"proof"`
	Outcomes []remedyOutcome  `json:"outcomes"`
	Harmed   int              `json:"harmed"`
	Lost     int              `json:"lost"`
	Per100   float64          `json:"losses_per_100"`
	Harms    float64          `json:"harms_per_100"`
	Patch    []patchOperation `json:"patch"`
	Plan     any              `json:"plan"`
}

type remedyNext struct {
	Code     string           `json:"code"`
	Sentence text.Text        `json:"sentence"`
	Proof    text.Text        `json:"proof"`
	Outcomes []remedyOutcome  `json:"outcomes"`
	Harmed   int              `json:"harmed"`
	Lost     int              `json:"lost"`
	Per100   float64          `json:"losses_per_100"`
	Harms    float64          `json:"harms_per_100"`
	Avoided  float64          `json:"avoided_per_100"`
	Patch    []patchOperation `json:"patch"`
}

type planRemediesResponse struct {
	Sound      bool          `json:"sound"`
	Harmed     int           `json:"harmed"`
	Lost       int           `json:"lost"`
	Per100     float64       `json:"losses_per_100"`
	Harms      float64       `json:"harms_per_100"`
	Sets       []remedySet   `json:"sets"`
	Best       []remedySet   `json:"best"`
	Next       []remedyNext  `json:"next"`
	Worth      []remedyWorth `json:"worth"`
	Tests      []remedyTest  `json:"tests"`
	Candidates int           `json:"candidates"`
	Audits     int           `json:"audits"`
	LeftOut    bool          `json:"left_out"`
}

// RemedyPlan finds the smallest sets of changes that leave nothing harmed or lost, and the best next change.
func RemedyPlan(
	ctx context.Context, asked *contract.Request, r Request,
) (envelope.Answer[planRemediesResponse], error) {
	in := r.Plan()
	document, err := newPlanDocument(asked.Raw(), in)
	if err != nil {
		return envelope.Answer[planRemediesResponse]{}, err
	}
	found, err := remedy.Find(ctx, in, document.reread(asked.Operation))
	if err != nil {
		return envelope.Answer[planRemediesResponse]{}, err
	}
	out, err := newPlanRemediesResponse(document, found)
	if err != nil {
		return envelope.Answer[planRemediesResponse]{}, err
	}
	reached, err := films(found.Report.Plan)
	if err != nil {
		return envelope.Answer[planRemediesResponse]{}, err
	}
	a := envelope.Answer[planRemediesResponse]{
		Reached: reached,
		Result:  out, Assumptions: planAssumptions(found.Report.Assumptions, "#"),
		Cautions: append(planCautions(found.Report), envelope.LicensedTrades),
		Sources:  []string{"CommonPractice", "Derived", "IEC60812", "NUREG0492"},
		Headline: remedyHeadline(out), Details: remedyDetails(out),
		KeyFigures: remedyFigures(out), Actions: remedyActions(out),
	}
	if !out.Sound {
		a.Warnings = append(a.Warnings, envelope.Warn(text.Of("remedy_rates_are_orders_of_magnitude",
			text.Params{"absences": float64(remedy.UsualAbsences)}), ""))
	}
	return a, nil
}

func newPlanRemediesResponse(document planDocument, f remedy.Result) (planRemediesResponse, error) {
	out := planRemediesResponse{
		Sound: f.Report.Sound(), Harmed: f.Base.Harmed, Lost: f.Base.Lost, Per100: f.Base.Per100,
		Harms: f.Base.Harms100,
		Sets:  []remedySet{}, Best: []remedySet{}, Next: []remedyNext{}, Tests: []remedyTest{},
		Worth:      newRemedyWorths(f),
		Candidates: f.Candidates(), Audits: f.Audits + 1, LeftOut: f.LeftOut,
	}
	whole := func(s remedy.Set) (remedySet, error) {
		patched, err := document.with(f.Edited(s))
		if err != nil {
			return remedySet{}, err
		}
		patch, err := document.patch(patched)
		changes := envelope.Each(f.Changes(s),
			func(c remedy.Change) remedyChange { return remedyChange{c.Code, c.Sentence} })
		return remedySet{
			Changes: changes, Sound: s.Sound, Harmed: s.Harmed, Lost: s.Lost, Per100: s.Per100, Harms: s.Harms100,
			Proof: s.Proof(), Outcomes: newRemedyOutcomes(s), Patch: patch, Plan: patched,
		}, err
	}
	for _, s := range f.Sets {
		set, err := whole(s)
		if err != nil {
			return out, err
		}
		out.Sets = append(out.Sets, set)
	}
	if f.Best != nil && f.Best.Helps(f.Base) {
		set, err := whole(*f.Best)
		if err != nil {
			return out, err
		}
		out.Best = append(out.Best, set)
	}
	for _, o := range f.Tests[:min(len(f.Tests), mostNext)] {
		test, err := newRemedyTest(document, f, o)
		if err != nil {
			return out, err
		}
		out.Tests = append(out.Tests, test)
	}
	for _, s := range f.Next {
		if len(out.Next) == mostNext {
			break
		}
		set, err := whole(s)
		if err != nil {
			return out, err
		}
		c := set.Changes[0]
		out.Next = append(out.Next, remedyNext{
			Code: c.Code, Sentence: c.Sentence, Harmed: s.Harmed, Lost: s.Lost, Per100: s.Per100, Harms: s.Harms100,
			Proof: set.Proof, Outcomes: set.Outcomes, Avoided: max(0, f.Base.Per100-s.Per100), Patch: set.Patch,
		})
	}
	return out, nil
}

func newRemedyOutcomes(s remedy.Set) []remedyOutcome {
	return envelope.Each(s.Better(), func(o remedy.Outcome) remedyOutcome {
		return remedyOutcome{o.Then.Fault.ID, string(o.Was.Verdict), string(o.Then.Verdict), o.Then.MarginH}
	})
}

// ways are the sets of changes that cure, or else the one that helps most.
func (r planRemediesResponse) ways() []remedySet {
	if len(r.Sets) > 0 {
		return r.Sets
	}
	return r.Best
}

func (s remedySet) failing() int { return s.Harmed + s.Lost }

func remedyHeadline(r planRemediesResponse) text.Text {
	switch {
	case r.Sound:
		return text.Of("remedies_not_needed", nil)
	case len(r.Sets) > 0:
		return text.Of("remedies_found", text.Params{"count": len(r.Sets[0].Changes)})
	case len(r.Best) > 0:
		return text.Of("remedies_partly", text.Params{"count": r.Best[0].failing()})
	}
	return text.Of("remedies_none", nil)
}

func remedyDetails(r planRemediesResponse) text.Text {
	if r.Sound {
		return text.Sentences(bestInterval(r.Tests)...)
	}
	said := []text.Text{text.Of("remedies_trouble_by_itself", nil)}
	if n := r.Harmed + r.Lost; n > 0 {
		said = []text.Text{counted("remedies_trouble", n)}
	}
	for _, s := range r.ways()[:min(1, len(r.ways()))] {
		for _, c := range s.Changes {
			said = append(said, c.Sentence)
		}
		said = append(said, s.Proof)
	}
	said = append(said, counted("remedies_ways", len(r.Sets)))
	said = append(append(said, bestValue(r.Worth)...), bestInterval(r.Tests)...)
	if len(r.Sets) == 0 {
		said = append(said, text.Of("remedies_otherwise", nil))
	}
	if r.LeftOut {
		return text.Sentences(append(said, counted("remedies_stopped", r.Audits))...)
	}
	return text.Sentences(append(said, counted("remedies_proved", r.Audits))...)
}

func remedyFigures(r planRemediesResponse) []envelope.KeyFigure {
	out := []envelope.KeyFigure{count("remedies_failing_figure", r.Harmed+r.Lost)}
	if ways := r.ways(); len(ways) > 0 {
		out = append(out, count("remedies_left_figure", ways[0].failing()),
			count("remedies_changes_figure", len(ways[0].Changes)))
	}
	return append(out, count("remedies_tried_figure", r.Audits))
}

func remedyActions(r planRemediesResponse) []text.Text {
	var out []text.Text
	if ways := r.ways(); len(ways) > 0 {
		for _, c := range ways[0].Changes {
			out = append(out, c.Sentence)
		}
	}
	if !r.Sound && len(r.Sets) == 0 {
		out = append(out, text.Of("remedies_otherwise", nil))
	}
	if len(r.Tests) > 0 {
		out = append(out, r.Tests[0].Sentence)
	}
	return out
}
