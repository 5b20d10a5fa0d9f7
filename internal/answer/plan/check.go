package plan

import (
	"context"
	"errors"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc"
	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
	"saltwright/internal/contract"
)

type planCheckViolation struct {
	Pointers []string  `json:"pointers"`
	Detail   text.Text `json:"detail"`
}

type planCheckResponse struct {
	Valid      bool                 `json:"valid"`
	Violations []planCheckViolation `json:"violations"`
	Weaknesses []planFinding        `json:"weaknesses"`
	Assumed    int                  `json:"assumed"`
	Elements   int                  `json:"elements"`
	Containers []planHeldReady      `json:"containers,omitempty"`
}

// contradictions lists the conflicts that an error joins; not ok for anything else.
func contradictions(err error, asked *contract.Request) (list []planCheckViolation, ok bool) {
	joined := []error{err}
	if several, ok := err.(interface{ Unwrap() []error }); ok {
		joined = several.Unwrap()
	}
	for _, e := range joined {
		var conflict *calc.ConflictError
		if !errors.As(e, &conflict) {
			return nil, false
		}
		list = append(list, planCheckViolation{
			envelope.Sent(envelope.Each(conflict.Params, envelope.Pointer), asked), conflict.Reason})
	}
	return list, true
}

// CheckPlan reads a plan without simulating it; what is impossible in it is an answer here, not a refusal.
func CheckPlan(
	_ context.Context, asked *contract.Request, r Request,
) (envelope.Answer[planCheckResponse], error) {
	out := planCheckResponse{Violations: []planCheckViolation{}, Elements: plan.Elements(r.Plan())}
	s, err := audit.Check(r.Plan())
	if err != nil {
		list, ok := contradictions(err, asked)
		if !ok {
			return envelope.Answer[planCheckResponse]{}, err
		}
		out.Violations = list
	}
	out.Valid = err == nil
	out.Containers = newPlanContainers(s.Containers)
	out.Weaknesses, out.Assumed = newPlanFindings(s.Weaknesses), len(s.Assumptions)
	a := envelope.Answer[planCheckResponse]{
		Result: out, Headline: checkHeadline(out), Details: counted("plan_assumes", out.Assumed),
		KeyFigures: []envelope.KeyFigure{
			count("plan_elements_figure", out.Elements), count("plan_violations_figure", len(out.Violations)),
			count("plan_weak_figure", len(out.Weaknesses)), count("plan_assumed_figure", out.Assumed),
		},
		Assumptions: planAssumptions(s.Assumptions, "#"),
		Cautions:    append([]envelope.Caution{envelope.MainsNearWater}, dosingCautions(r.Plan())...),
		Sources:     []string{"CommonPractice", "IEC61025"},
	}
	for _, v := range out.Violations[:min(len(out.Violations), mostActions)] {
		a.Actions = append(a.Actions, text.Of("plan_correct_it", text.Params{"said": v.Detail}))
	}
	if out.Valid {
		a.Actions = append(firstChanges(s.Weaknesses, audit.Weak, audit.Note), text.Of("plan_audit_next", nil))
	}
	return a, nil
}

func checkHeadline(r planCheckResponse) text.Text {
	switch {
	case !r.Valid:
		return text.Of("plan_contradicts_itself", text.Params{"count": len(r.Violations)})
	case len(r.Weaknesses) > 0:
		return text.Of("plan_weak", text.Params{"count": len(r.Weaknesses)})
	}
	return text.Of("plan_clean", text.Params{"count": r.Elements})
}
