package plan

import (
	"context"
	"fmt"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
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
}

// CheckPlan reads a plan without simulating it; what is impossible in it is an answer here, not a refusal.
func CheckPlan(_ context.Context, r Request) (envelope.Answer[planCheckResponse], error) {
	out := planCheckResponse{
		Valid: true, Violations: []planCheckViolation{}, Weaknesses: []planFinding{},
		Elements: plan.Elements(r.Plan()),
	}
	s, err := audit.Check(r.Plan())
	if err != nil {
		violations := envelope.Violations(err)
		if len(violations) == 0 {
			return envelope.Answer[planCheckResponse]{}, err
		}
		out.Valid = false
		at := map[string]int{}
		for _, v := range violations {
			if i, ok := at[v.Said.String()]; ok {
				out.Violations[i].Pointers = append(out.Violations[i].Pointers, v.Pointer)
				continue
			}
			at[v.Said.String()] = len(out.Violations)
			out.Violations = append(out.Violations, planCheckViolation{Pointers: []string{v.Pointer}, Detail: v.Said})
		}
	}
	out.Weaknesses, out.Assumed = newPlanFindings(s.Weaknesses), len(s.Assumptions)
	return envelope.Answer[planCheckResponse]{
		Result: out, Assumptions: planAssumptions(s.Assumptions, "#"),
		Cautions: []envelope.Caution{envelope.MainsNearWater}, Sources: []string{"CommonPractice", "IEC61025"},
		Summary: func(catalogue.Units) string {
			if !out.Valid {
				return fmt.Sprintf("This plan cannot be built as it stands: %d things contradict each other.",
					len(out.Violations))
			}
			return fmt.Sprintf("This plan of %d elements can be built; %d values are assumed and %d weaknesses show "+
				"without simulating it.", out.Elements, out.Assumed, len(out.Weaknesses))
		},
	}, nil
}
