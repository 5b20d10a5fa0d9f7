package water

import (
	"context"
	"fmt"
	"strings"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/mixing"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
)

type salinityAdjustmentRequest struct {
	VolumeL        float64  `json:"volume_l"`
	FromPSU        float64  `json:"from_psu"`
	ToPSU          float64  `json:"to_psu"`
	NewWaterPSU    *float64 `json:"new_water_psu,omitempty"`
	WaterC         float64  `json:"water_c"`
	PacePSUD       float64  `json:"pace_psu_d"`
	DaysBetween    float64  `json:"days_between"`
	Changes        int      `json:"changes"`
	LargestPercent float64  `json:"largest_change_percent"`
	EvaporationLD  float64  `json:"evaporation_l_d"`
}

type salinityStep struct {
	Day      float64 `json:"day"`
	ChangeL  float64 `json:"change_l"`
	AfterPSU float64 `json:"after_psu"`
	MovePSU  float64 `json:"move_psu"`
}

type salinityAdjustmentResponse struct {
	NewWaterPSU   float64        `json:"new_water_psu"`
	Changes       []salinityStep `json:"changes"`
	ChangePercent float64        `json:"change_percent"`
	TotalL        float64        `json:"total_l"`
	Days          float64        `json:"days"`
	FastestPSUD   float64        `json:"fastest_psu_d"`
	WithinPace    bool           `json:"within_pace"`
	ContinuousL   float64        `json:"continuous_l"`
	ContinuousLD  float64        `json:"continuous_l_d"`
	ContinuousD   float64        `json:"continuous_d"`
	AddedL        float64        `json:"added_l"`
	TopOffD       float64        `json:"top_off_d"`
	TopOffPSUD    float64        `json:"top_off_psu_d"`
	SaltKg        float64        `json:"salt_kg"`
}

func (r salinityAdjustmentRequest) input() (mixing.AdjustInput, []envelope.Assumption) {
	in := mixing.AdjustInput{
		VolumeL: r.VolumeL, From: quantity.PracticalSalinity(r.FromPSU), To: quantity.PracticalSalinity(r.ToPSU),
		Water:         quantity.Celsius(r.WaterC),
		PacePSUPerDay: r.PacePSUD, DaysBetween: r.DaysBetween, Changes: r.Changes, LargestChangePct: r.LargestPercent,
		EvaporatedLPerD: r.EvaporationLD,
	}
	if r.NewWaterPSU != nil {
		in.New = quantity.PracticalSalinity(*r.NewWaterPSU)
		return in, nil
	}
	assumed := envelope.Assumption{Pointer: "#/new_water_psu", Value: 0.0, Unit: "1", Why: "common_practice",
		Source: "CommonPractice", Note: text.Plain("fresh water, to lower the salinity")}
	if in.New = mixing.UsualNewWater(in.From, in.To); in.New > 0 {
		assumed.Value = float64(in.New)
		assumed.Note = text.Plain(fmt.Sprintf("salt water mixed %d above the target, to raise the salinity",
			mixing.UsualBrinePSU))
	}
	return in, []envelope.Assumption{assumed}
}

func newSalinityAdjustmentResponse(a mixing.AdjustResult, newPSU float64) salinityAdjustmentResponse {
	out := salinityAdjustmentResponse{
		NewWaterPSU: newPSU, Changes: []salinityStep{}, ChangePercent: 100 * a.ShareEach, TotalL: a.TotalL,
		Days: a.Days, FastestPSUD: a.FastestPSUD, WithinPace: a.WithinPace,
		ContinuousL: a.ContinuousL, ContinuousLD: a.ContinuousLD, ContinuousD: a.ContinuousD, AddedL: a.GrowingL,
		TopOffD: a.TopOffD, TopOffPSUD: a.TopOffPace, SaltKg: a.SaltMovedKg,
	}
	for _, s := range a.Steps {
		out.Changes = append(out.Changes, salinityStep{Day: s.Day, ChangeL: s.ChangeL, AfterPSU: s.Salinity,
			MovePSU: s.MovePSU})
	}
	return out
}

// AdjustSalinity is the ways from one salinity to another.
func AdjustSalinity(_ context.Context, r salinityAdjustmentRequest) (envelope.Answer[salinityAdjustmentResponse],
	error) {
	in, assumed := r.input()
	m, err := mixing.Adjust(in)
	if err != nil {
		return envelope.Answer[salinityAdjustmentResponse]{}, err
	}
	a := envelope.Answer[salinityAdjustmentResponse]{
		Result: newSalinityAdjustmentResponse(m, float64(in.New)), Assumptions: assumed,
		Sources:  []string{"CommonPractice"},
		Cautions: []envelope.Caution{envelope.FreshMix, envelope.HeavyWater},
		Summary: func(u catalogue.Units) string {
			var b strings.Builder
			n := len(m.Steps)
			fmt.Fprintf(&b, "From %.1f to %.1f: ", r.FromPSU, r.ToPSU)
			if n == 1 {
				fmt.Fprintf(&b, "one change of %s with water of %.1f.", catalogue.Number(m.TotalL, "L", u),
					float64(in.New))
			} else {
				fmt.Fprintf(&b, "%d changes of %s each with water of %.1f, one every %s, %s in all.",
					n, catalogue.Number(m.Steps[0].ChangeL, "L", u), float64(in.New), days(r.DaysBetween),
					catalogue.Number(m.TotalL, "L", u))
			}
			fmt.Fprintf(&b, " By continuous exchange it takes %s, no faster than %s; simply adding, with nothing "+
				"taken out, %s.",
				catalogue.Number(m.ContinuousL, "L", u), catalogue.Number(m.ContinuousLD, "L/d", u),
				catalogue.Number(m.GrowingL, "L", u))
			if m.TopOffD > 0 {
				fmt.Fprintf(&b, " Topped off with it in place of fresh water, the tank is there in %.1f days.",
					m.TopOffD)
			}
			return b.String()
		},
	}
	if !m.WithinPace {
		a.Warnings = append(a.Warnings, envelope.Warning{Code: "faster_than_pace", Pointer: "#/changes",
			Message: fmt.Sprintf("The first change moves the salinity by %.2f a day, more than the %.2f asked for; "+
				"leave changes out to have as many as it takes.", m.FastestPSUD, r.PacePSUD)})
	}
	if m.TopOffPace > r.PacePSUD {
		a.Warnings = append(a.Warnings, envelope.Warning{Code: "top_off_faster_than_pace",
			Pointer: "#/evaporation_l_d",
			Message: fmt.Sprintf("Topping off with this water raises the salinity by %.2f a day at first; use weaker "+
				"water.", m.TopOffPace)})
	}
	return a, nil
}

func days(n float64) string {
	if n == 1 {
		return "day"
	}
	return catalogue.Digits(n) + " days"
}
