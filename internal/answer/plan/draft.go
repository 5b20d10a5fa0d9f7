package plan

import (
	"context"
	"fmt"
	"strings"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/draft"
	"saltwright/internal/calc/plan"
	"saltwright/internal/catalogue"
)

type draftBudget struct {
	Heaters  int  `json:"heaters"`
	Circuits int  `json:"circuits"`
	Battery  bool `json:"battery"`
	Cellular bool `json:"cellular"`
}

type planDraftRequest struct {
	Name           string         `json:"name"`
	Livestock      plan.Livestock `json:"livestock"`
	Display        planDisplay    `json:"display"`
	WithSump       *bool          `json:"with_sump,omitempty"`
	Room           planRoom       `json:"room"`
	LightsW        *float64       `json:"lights_w,omitempty"`
	LookEveryH     float64        `json:"look_every_h"`
	DaysAway       float64        `json:"days_away"`
	ResponseH      float64        `json:"response_h"`
	LongestOutageH float64        `json:"longest_outage_h"`
	Budget         draftBudget    `json:"budget"`
}

type draftLimit struct {
	Loss     string   `json:"loss"`
	Message  string   `json:"message"`
	Change   string   `json:"change"`
	Elements []string `json:"elements"`
}

type planDraftResponse struct {
	Sound    bool          `json:"sound"`
	Plan     any           `json:"plan"`
	Choices  []string      `json:"choices"`
	Limits   []draftLimit  `json:"limits"`
	Findings []planFinding `json:"findings"`
	Faults   int           `json:"faults_total"`
	Held     int           `json:"held"`
	Rescued  int           `json:"rescued"`
	Harmed   int           `json:"harmed"`
	Lost     int           `json:"lost"`
	Hidden   int           `json:"hidden"`
	Audits   int           `json:"audits"`
}

func (r planDraftRequest) input() draft.Input {
	return draft.Input{
		Name: r.Name, Livestock: r.Livestock, Display: plan.Vessel(r.Display), WithSump: r.WithSump,
		Room:    r.Room.input(),
		LightsW: r.LightsW, LookEveryH: r.LookEveryH, DaysAway: r.DaysAway, ResponseH: r.ResponseH,
		LongestOutageH: r.LongestOutageH, Budget: draft.Budget(r.Budget),
	}
}

func newPlanDraftResponse(d draft.Result) planDraftResponse {
	r := d.Report
	return planDraftResponse{
		Sound: d.Sound, Plan: NewRequest(d.Plan), Choices: envelope.List(d.Choices),
		Findings: newPlanFindings(r.Findings),
		Limits: envelope.Each(d.Limits, func(l draft.Limit) draftLimit {
			return draftLimit{l.Loss, l.Message, l.Change, envelope.List(l.Elements)}
		}),
		Faults: len(r.Faults), Held: r.Count(audit.Held), Rescued: r.Count(audit.Rescued),
		Harmed: r.Count(audit.Harmed), Lost: r.Count(audit.Lost), Hidden: r.HiddenCount(), Audits: d.Attempts,
	}
}

// DraftPlan designs a plan and proves it by its own audit.
func DraftPlan(ctx context.Context, r planDraftRequest) (envelope.Answer[planDraftResponse], error) {
	d, err := draft.Draft(ctx, r.input())
	if err != nil {
		return envelope.Answer[planDraftResponse]{}, err
	}
	out := newPlanDraftResponse(d)
	a := envelope.Answer[planDraftResponse]{
		Result: out, Assumptions: planAssumptions(d.Assumptions, "#"),
		Cautions: append(planCautions(d.Report), envelope.LicensedTrades),
		Sources:  []string{"ASHRAEApplications", "CommonPractice", "Derived", "IEC60812"},
		Summary:  func(catalogue.Units) string { return draftSummary(out) },
	}
	if !out.Sound {
		a.Warnings = append(a.Warnings, envelope.Warning{
			Code: "not_sound", Message: "Do not build this as it is: see what stands in the way, and allow a second " +
				"circuit, " +
				"a battery, a faster response or a warmer room.",
		})
	}
	return a, nil
}

func draftSummary(r planDraftResponse) string {
	var b strings.Builder
	if r.Sound {
		fmt.Fprintf(&b, "No single failure harms or loses this tank: of %d faults %d are held and %d are rescued "+
			"by an "+
			"alarm.", r.Faults, r.Held, r.Rescued)
	} else {
		fmt.Fprintf(&b, "Within these limits no plan was found that every single failure spares: of %d faults %d "+
			"still harm and %d lose the tank.", r.Faults, r.Harmed, r.Lost)
		if len(r.Limits) > 0 {
			b.WriteString(" What stands in the way: " + r.Limits[0].Message + " " + r.Limits[0].Change)
		}
	}
	for _, c := range r.Choices {
		b.WriteString(" " + c)
	}
	return b.String()
}
