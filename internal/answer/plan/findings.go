package plan

import (
	"slices"
	"strings"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

type planFinding struct {
	Code     string    `json:"code"`
	Severity string    `json:"severity"`
	Message  text.Text `json:"message"`
	Change   text.Text `json:"change"`
	Faults   []string  `json:"faults"`
	Elements []string  `json:"elements"`
	// Patch makes the change that Change says, which has been audited; nil: none has.
	Patch []patchOperation `json:"patch,omitempty"`
}

func newPlanFindings(in []audit.Finding) []planFinding {
	return envelope.Each(in, func(f audit.Finding) planFinding {
		return planFinding{
			Code: f.Code, Severity: string(f.Severity), Message: f.Message, Change: f.Change,
			Faults: envelope.List(f.Faults), Elements: envelope.List(f.Elements),
		}
	})
}

// newProvedFindings besides gives the patches of the changes that were audited.
func newProvedFindings(document planDocument, in []audit.Finding) ([]planFinding, error) {
	out := newPlanFindings(in)
	for i, f := range in {
		if f.Proved == nil {
			continue
		}
		patched, err := document.with(*f.Proved)
		if err != nil {
			return nil, err
		}
		if out[i].Patch, err = document.patch(patched); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// planAssumptions writes what a plan's completion assumed, below a pointer.
func planAssumptions(in []plan.Assumption, below string) []envelope.Assumption {
	return envelope.Each(in, func(s plan.Assumption) envelope.Assumption {
		return envelope.Assumption{
			Pointer: below + strings.TrimPrefix(envelope.Pointer(s.Param), "#"),
			Value:   s.Value, Unit: s.Unit, Why: string(s.Why), Source: s.Source, Note: s.Note,
		}
	})
}

// planCautions are for the people beside the tank.
func planCautions(r audit.Report) []envelope.Caution {
	out := []envelope.Caution{envelope.MainsNearWater}
	if len(r.Plan.Heaters) > 0 {
		out = append(out, envelope.HotGlass)
	}
	if slices.ContainsFunc(r.Faults, func(f audit.FaultReport) bool {
		return f.Extremes.SumpMaxC >= *r.Plan.Limits.HarmSumpC
	}) {
		out = append(out, envelope.HotSump)
	}
	if r.Tank.DisplayL+r.Tank.SumpL > plan.HeavyTankL {
		out = append(out, envelope.HeavyWater)
	}
	return append(out, dosingCautions(r.Plan)...)
}

// mostActions is how many changes are said to come first.
const mostActions = 3

// firstChanges returns what to do first, by the worst findings, each change once.
func firstChanges(in []audit.Finding, severities ...audit.Severity) []text.Text {
	var out []text.Text
	for _, severity := range severities {
		for _, f := range in {
			same := func(t text.Text) bool { return t.String() == f.Change.String() }
			if f.Severity == severity && len(out) < mostActions && !slices.ContainsFunc(out, same) {
				out = append(out, f.Change)
			}
		}
	}
	return out
}

// count is a key figure that counts.
func count(code string, n int) envelope.KeyFigure {
	return envelope.KeyFigure{Label: text.Of(code, nil), Value: float64(n), Quantity: "number"}
}

// counted returns a text about some things; nothing for none.
func counted(code string, n int) text.Text {
	if n == 0 {
		return text.Text{}
	}
	return text.Of(code, text.Params{"count": n})
}
