package plan

import (
	"context"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/draft"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
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
	Loss     string    `json:"loss"`
	Message  text.Text `json:"message"`
	Change   text.Text `json:"change"`
	Elements []string  `json:"elements"`
}

type planDraftResponse struct {
	Sound    bool          `json:"sound"`
	Plan     any           `json:"plan"`
	Choices  []text.Text   `json:"choices"`
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
		Headline: draftHeadline(d), Details: draftDetails(d),
		KeyFigures: draftFigures(d), Actions: draftActions(d),
	}
	if !out.Sound {
		a.Warnings = append(a.Warnings, envelope.Warn(text.Of("not_sound", nil), ""))
	}
	return a, nil
}

func draftHeadline(d draft.Result) text.Text {
	if d.Sound {
		return text.Of("draft_sound", text.Params{"count": len(d.Report.Faults)})
	}
	return text.Of("draft_not_sound", text.Params{"count": failing(d.Report)})
}

// failing is how many single faults harm or lose a tank.
func failing(r audit.Report) int { return r.Count(audit.Harmed) + r.Count(audit.Lost) }

func draftDetails(d draft.Result) text.Text {
	said := []text.Text{text.Of("draft_held_and_rescued", text.Params{
		"held": float64(d.Report.Count(audit.Held)), "rescued": float64(d.Report.Count(audit.Rescued))})}
	if len(d.Limits) > 0 {
		said = append(said, text.Of("draft_obstacle",
			text.Params{"finding": d.Limits[0].Message, "change": d.Limits[0].Change}))
	}
	return text.Sentences(append(said, d.Choices...)...)
}

func draftFigures(d draft.Result) []envelope.KeyFigure {
	out := []envelope.KeyFigure{
		count("audit_followed_figure", len(d.Report.Faults)), count("draft_failing_figure", failing(d.Report)),
		{Label: text.Of("draft_heater_figure", nil), Value: d.Plan.Heaters[0].PowerW, Quantity: "power"},
		{Label: text.Of("draft_reservoir_figure", nil), Value: d.Plan.Reservoirs[0].VolumeL, Quantity: "volume"},
	}
	return out
}

func draftActions(d draft.Result) []text.Text {
	if !d.Sound {
		return append([]text.Text{text.Of("draft_allow_more", nil)}, firstChanges(d.Report.Findings, audit.Fatal)...)
	}
	return []text.Text{
		text.Of("draft_buy_heater", text.Params{"power": d.Plan.Heaters[0].PowerW}),
		text.Of("draft_use_reservoir", text.Params{"reservoir": d.Plan.Reservoirs[0].VolumeL}),
		text.Of("draft_build", nil),
	}
}
