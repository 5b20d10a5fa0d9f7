package plan

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"strings"

	jsonpatch "github.com/evanphx/json-patch/v5"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/words"
	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/remedy"
	"saltwright/internal/calc/risk"
	"saltwright/internal/contract"
)

type patchOperation struct {
	Op    string `json:"op"`
	Path  string `json:"path"`
	Value any    `json:"value"`
}

type remedyChange struct {
	Code     string `json:"code"`
	Sentence string `json:"sentence"`
}

type remedySet struct {
	Changes []remedyChange   `json:"changes"`
	Sound   bool             `json:"sound"`
	Lost    int              `json:"lost"`
	Per100  float64          `json:"losses_per_100"`
	Patch   []patchOperation `json:"patch"`
	Plan    any              `json:"plan"`
}

type remedyNext struct {
	Code     string           `json:"code"`
	Sentence string           `json:"sentence"`
	Lost     int              `json:"lost"`
	Per100   float64          `json:"losses_per_100"`
	Avoided  float64          `json:"avoided_per_100"`
	Patch    []patchOperation `json:"patch"`
}

type planRemediesResponse struct {
	Sound      bool         `json:"sound"`
	Lost       int          `json:"lost"`
	Per100     float64      `json:"losses_per_100"`
	Sets       []remedySet  `json:"sets"`
	Best       []remedySet  `json:"best"`
	Next       []remedyNext `json:"next"`
	Candidates int          `json:"candidates"`
	Audits     int          `json:"audits"`
	LeftOut    bool         `json:"left_out"`
}

// patchOf writes edits as a JSON Patch (RFC 6902) on the document sent: a list or an object that it lacks is added first.
func patchOf(document map[string]any, edits []remedy.Edit) []patchOperation {
	var ops []patchOperation
	doc := clone(document).(map[string]any)
	for _, e := range edits {
		if e.List != "" {
			if _, ok := doc[e.List].([]any); !ok {
				ops = append(ops, patchOperation{"add", "/" + e.List, []any{}})
				doc[e.List] = []any{}
			}
			ops = append(ops, patchOperation{"add", "/" + e.List + "/-", e.Append})
			continue
		}
		at, here := "", any(doc)
		for _, token := range e.Path[:len(e.Path)-1] {
			at += "/" + token
			switch x := here.(type) {
			case map[string]any:
				if x[token] == nil {
					ops = append(ops, patchOperation{"add", at, map[string]any{}})
					x[token] = map[string]any{}
				}
				here = x[token]
			case []any:
				n := 0
				if _, err := fmt.Sscan(token, &n); err == nil && n < len(x) {
					here = x[n]
				}
			}
		}
		ops = append(ops, patchOperation{"add", at + "/" + e.Path[len(e.Path)-1], e.Value}) // adding a member replaces it
	}
	return ops
}

func clone(v any) any {
	switch x := v.(type) {
	case map[string]any:
		out := map[string]any{}
		for k, m := range x {
			out[k] = clone(m)
		}
		return out
	case []any:
		out := make([]any, len(x))
		for i, m := range x {
			out[i] = clone(m)
		}
		return out
	}
	return v
}

// remedies tries changes on the document that was sent.
type remedies struct {
	asked      *contract.Request
	document   map[string]any
	candidates []remedy.Change
}

// apply returns the patch of some changes and the document they make.
func (r remedies) apply(set []int) ([]patchOperation, []byte, error) {
	var edits []remedy.Edit
	for _, i := range set {
		edits = append(edits, r.candidates[i].Edits...)
	}
	ops := patchOf(r.document, edits)
	raw, err := json.Marshal(ops)
	if err != nil {
		return nil, nil, err
	}
	patch, err := jsonpatch.DecodePatch(raw)
	if err != nil {
		return nil, nil, fmt.Errorf("our own patch: %w", err)
	}
	doc, err := patch.Apply(r.asked.Raw())
	if err != nil {
		return nil, nil, fmt.Errorf("our own patch: %w", err)
	}
	return ops, doc, nil
}

// lostEverything is the score of changes that contradict each other or the plan.
func lostEverything(events int) remedy.Score {
	return remedy.Score{Lost: map[string]bool{"impossible": true}, Per100: 1e6, Events: events}
}

func (r remedies) try(ctx context.Context, set []int) (remedy.Score, error) {
	_, doc, err := r.apply(set)
	if err != nil {
		return remedy.Score{}, err
	}
	changed, err := r.asked.Operation.Read(doc, "")
	if err != nil {
		return lostEverything(1), nil
	}
	var q Request
	if err := changed.Into(&q); err != nil {
		return remedy.Score{}, err
	}
	p, err := q.input()
	if err != nil {
		return lostEverything(1), nil
	}
	report, err := audit.Single(ctx, p)
	if err != nil {
		if ctx.Err() != nil {
			return remedy.Score{}, ctx.Err()
		}
		return lostEverything(audit.Work(audit.MaxEvents, p)), nil
	}
	return scoreOf(report), nil
}

// usualAbsences is how often a year the longest absence is taken; common practice, no source.
const usualAbsences = 3

func scoreOf(r audit.Report) remedy.Score {
	s := remedy.Score{Lost: map[string]bool{}, Per100: risk.SinglesPer100(r, usualAbsences), Events: audit.Work(r.Events, r.Plan)}
	for _, f := range r.Faults {
		if f.Verdict == audit.Lost {
			s.Lost[f.Fault.ID] = true
		}
	}
	if len(s.Lost) == 0 && !r.Sound() {
		s.Lost["nominal"] = true
	} else if !r.Sound() {
		for _, n := range r.Nominal {
			for _, c := range n.Crossings {
				if c.HarmH != nil {
					s.Lost["nominal"] = true
				}
			}
		}
	}
	return s
}

// givenIn counts the elements that the document itself names.
func givenIn(p plan.Plan) map[string]int {
	return map[string]int{
		"heaters": len(p.Heaters), "pumps": len(p.Pumps), "top_off_pumps": len(p.TopOffPumps), "reservoirs": len(p.Reservoirs), "lights": len(p.Lights),
		"controls": len(p.Controls), "alarms": len(p.Alarms), "power.circuits": len(p.Power.Circuits),
	}
}

// remedyEvents is the [audit.Work] that a search may spend, some thirty audits of a household; the answer says when it ends there.
const remedyEvents = 2_000_000

// RemedyPlan finds the smallest sets of changes that leave no single fault lost, and the best next change.
func RemedyPlan(ctx context.Context, asked *contract.Request, r Request) (envelope.Answer[planRemediesResponse], error) {
	in, err := r.input()
	if err != nil {
		return envelope.Answer[planRemediesResponse]{}, err
	}
	report, err := audit.Single(ctx, in)
	if err != nil {
		return envelope.Answer[planRemediesResponse]{}, err
	}
	base := scoreOf(report)
	x := remedies{asked: asked}
	document, err := decodeJSON(asked.Raw())
	if err != nil {
		return envelope.Answer[planRemediesResponse]{}, err
	}
	x.document = document.(map[string]any) // the contract has seen that it is an object
	var found remedy.Found
	if !report.Sound() {
		x.candidates = remedy.Candidates(report, givenIn(in))
		if found, err = remedy.Search(ctx, len(x.candidates), base, remedyEvents, x.try); err != nil {
			return envelope.Answer[planRemediesResponse]{}, err
		}
	}
	out, err := x.response(report, base, found)
	if err != nil {
		return envelope.Answer[planRemediesResponse]{}, err
	}
	warnings := []envelope.Warning{}
	if !out.Sound {
		warnings = append(warnings, envelope.Warning{Code: "rates_are_orders_of_magnitude", Message: fmt.Sprintf("losses_per_100 rests on failure rates of common practice and on %d longest absences a year, both assumed: read its order, not the figure. plan-risk takes rates and absences of your own.", usualAbsences)})
	}
	return envelope.Answer[planRemediesResponse]{
		Warnings: warnings,
		Result:   out, Assumptions: planAssumptions(report.Assumptions, "#"), Cautions: append(planCautions(report), envelope.LicensedTrades), Sources: []string{"CommonPractice", "Derived", "IEC60812", "NUREG0492"},
		Summary: func(words.Units) string { return remedySummary(out) },
	}, nil
}

func (r remedies) response(report audit.Report, base remedy.Score, f remedy.Found) (planRemediesResponse, error) {
	out := planRemediesResponse{
		Sound: report.Sound(), Lost: report.Count(audit.Lost), Per100: base.Per100, Sets: []remedySet{}, Best: []remedySet{}, Next: []remedyNext{},
		Candidates: len(r.candidates), Audits: f.Audits + 1, LeftOut: f.Left,
	}
	whole := func(s remedy.Set) (remedySet, error) {
		ops, doc, err := r.apply(s.Changes)
		if err != nil {
			return remedySet{}, err
		}
		patched, err := decodeJSON(doc)
		if err != nil {
			return remedySet{}, err
		}
		set := remedySet{Changes: []remedyChange{}, Sound: s.Sound, Lost: s.Lost, Per100: s.Per100, Patch: envelope.List(ops), Plan: patched}
		for _, i := range s.Changes {
			set.Changes = append(set.Changes, remedyChange{r.candidates[i].Code, r.candidates[i].Sentence})
		}
		return set, nil
	}
	for _, s := range f.Sets {
		set, err := whole(s)
		if err != nil {
			return out, err
		}
		out.Sets = append(out.Sets, set)
	}
	if f.Best != nil && f.Best.Per100 < base.Per100 {
		set, err := whole(*f.Best)
		if err != nil {
			return out, err
		}
		out.Best = append(out.Best, set)
	}
	const mostNext = 10
	for _, s := range f.Next {
		if s.Per100 >= base.Per100 || len(out.Next) == mostNext {
			break // the rest helps nothing
		}
		ops, _, err := r.apply(s.Changes)
		if err != nil {
			return out, err
		}
		c := r.candidates[s.Changes[0]]
		out.Next = append(out.Next, remedyNext{c.Code, c.Sentence, s.Lost, s.Per100, base.Per100 - s.Per100, envelope.List(ops)})
	}
	return out, nil
}

func remedySummary(r planRemediesResponse) string {
	trouble := "This tank fails with nothing broken."
	if r.Lost > 0 {
		trouble = fmt.Sprintf("%s this tank.", counted(r.Lost, "single failure loses", "single failures lose"))
	}
	if r.LeftOut {
		trouble += fmt.Sprintf(" The search ended at its budget after %d audits.", r.Audits)
	}
	otherwise := "Draft a new plan, or change the rooms, the absence or the response."
	switch {
	case r.Sound:
		return "No single failure loses this tank: nothing needs to be changed for that."
	case len(r.Sets) > 0:
		var parts []string
		for _, c := range r.Sets[0].Changes {
			parts = append(parts, c.Sentence)
		}
		return fmt.Sprintf("%s The smallest cure, audited: %s In %d audits %s found.", trouble, strings.Join(parts, " "), r.Audits, counted(len(r.Sets), "cure of that size was", "cures of that size were"))
	case len(r.Best) > 0:
		return fmt.Sprintf("%s No set of changes tried cures it; the best one leaves %s. %s", trouble, counted(r.Best[0].Lost, "loss", "losses"), otherwise)
	}
	return fmt.Sprintf("%s None of the changes tried helps. %s", trouble, otherwise)
}

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

func decodeJSON(data []byte) (any, error) {
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	var v any
	if err := dec.Decode(&v); err != nil {
		return nil, fmt.Errorf("decoding our own JSON: %w", err)
	}
	return v, nil
}
