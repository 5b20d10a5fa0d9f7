package plan

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/remedy"
	"saltwright/internal/catalogue"
	"saltwright/internal/contract"
)

type remedyChange struct {
	Code     string `json:"code"`
	Sentence string `json:"sentence"`
}

type remedySet struct {
	Changes []remedyChange   `json:"changes"`
	Sound   bool             `json:"sound"`
	Harmed  int              `json:"harmed"`
	Lost    int              `json:"lost"`
	Per100  float64          `json:"losses_per_100"`
	Harms   float64          `json:"harms_per_100"`
	Patch   []patchOperation `json:"patch"`
	Plan    any              `json:"plan"`
}

type remedyNext struct {
	Code     string           `json:"code"`
	Sentence string           `json:"sentence"`
	Harmed   int              `json:"harmed"`
	Lost     int              `json:"lost"`
	Per100   float64          `json:"losses_per_100"`
	Harms    float64          `json:"harms_per_100"`
	Avoided  float64          `json:"avoided_per_100"`
	Patch    []patchOperation `json:"patch"`
}

type planRemediesResponse struct {
	Sound      bool         `json:"sound"`
	Harmed     int          `json:"harmed"`
	Lost       int          `json:"lost"`
	Per100     float64      `json:"losses_per_100"`
	Harms      float64      `json:"harms_per_100"`
	Sets       []remedySet  `json:"sets"`
	Best       []remedySet  `json:"best"`
	Next       []remedyNext `json:"next"`
	Candidates int          `json:"candidates"`
	Audits     int          `json:"audits"`
	LeftOut    bool         `json:"left_out"`
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
	// What is audited is what the edited document says to the contract, so that the answer keeps its word.
	reread := func(_ context.Context, edited plan.Plan) (plan.Plan, bool, error) {
		d, err := document.with(edited)
		if err != nil {
			return plan.Plan{}, false, err
		}
		raw, err := json.Marshal(d)
		if err != nil {
			return plan.Plan{}, false, err
		}
		again, err := asked.Operation.Read(raw, "")
		if err != nil {
			return plan.Plan{}, false, nil // the contract refuses it
		}
		var q Request
		err = again.Into(&q)
		return q.Plan(), err == nil, err
	}
	found, err := remedy.Find(ctx, in, reread)
	if err != nil {
		return envelope.Answer[planRemediesResponse]{}, err
	}
	out, err := newPlanRemediesResponse(document, found)
	if err != nil {
		return envelope.Answer[planRemediesResponse]{}, err
	}
	a := envelope.Answer[planRemediesResponse]{
		Result: out, Assumptions: planAssumptions(found.Report.Assumptions, "#"),
		Cautions: append(planCautions(found.Report), envelope.LicensedTrades),
		Sources:  []string{"CommonPractice", "Derived", "IEC60812", "NUREG0492"},
		Summary:  func(catalogue.Units) string { return remedySummary(out) },
	}
	if !out.Sound {
		a.Warnings = append(a.Warnings, envelope.Warning{Code: "rates_are_orders_of_magnitude", Message: fmt.Sprintf(
			"losses_per_100 rests on failure rates of common practice and on %d longest absences a year, both "+
				"assumed: "+
				"read its order, not the figure. plan-risk takes rates and absences of your own.",
			remedy.UsualAbsences)})
	}
	return a, nil
}

// mostNext is how many single changes an answer lists.
const mostNext = 10

func newPlanRemediesResponse(document planDocument, f remedy.Result) (planRemediesResponse, error) {
	out := planRemediesResponse{
		Sound: f.Report.Sound(), Harmed: f.Base.Harmed, Lost: f.Base.Lost, Per100: f.Base.Per100,
		Harms: f.Base.Harms100,
		Sets:  []remedySet{}, Best: []remedySet{}, Next: []remedyNext{},
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
		return remedySet{changes, s.Sound, s.Harmed, s.Lost, s.Per100, s.Harms100, patch, patched}, err
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
	for _, s := range f.Next {
		if !s.Helps(f.Base) || len(out.Next) == mostNext {
			break // the rest helps nothing
		}
		set, err := whole(s)
		if err != nil {
			return out, err
		}
		c := set.Changes[0]
		out.Next = append(out.Next, remedyNext{c.Code, c.Sentence, s.Harmed, s.Lost, s.Per100, s.Harms100,
			f.Base.Per100 - s.Per100, set.Patch})
	}
	return out, nil
}

func remedySummary(r planRemediesResponse) string {
	trouble := "This tank fails with nothing broken."
	if n := r.Harmed + r.Lost; n > 0 {
		trouble = fmt.Sprintf("%s this tank.",
			counted(n, "single failure harms or loses", "single failures harm or lose"))
	}
	if r.LeftOut {
		trouble += fmt.Sprintf(" The search ended at its budget after %d audits.", r.Audits)
	}
	otherwise := "Draft a new plan, or change the rooms, the absence or the response."
	switch {
	case r.Sound:
		return "No single failure harms or loses this tank: nothing needs to be changed for that."
	case len(r.Sets) > 0:
		var parts []string
		for _, c := range r.Sets[0].Changes {
			parts = append(parts, c.Sentence)
		}
		return fmt.Sprintf("%s The smallest cure, audited: %s In %d audits %s found.", trouble,
			strings.Join(parts, " "),
			r.Audits, counted(len(r.Sets), "cure of that size was", "cures of that size were"))
	case len(r.Best) > 0:
		return fmt.Sprintf("%s No set of changes tried cures it; the best one leaves %s. %s", trouble,
			counted(r.Best[0].Harmed+r.Best[0].Lost, "failure", "failures"), otherwise)
	}
	return fmt.Sprintf("%s None of the changes tried helps. %s", trouble, otherwise)
}

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
