package water

import (
	"context"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/mixing"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
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
	TopOffD       *float64       `json:"top_off_d,omitempty"`
	TopOffPSUD    *float64       `json:"top_off_psu_d,omitempty"`
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
		Source: "CommonPractice", Note: text.Of("assumed_fresh_water_to_lower", nil)}
	if in.New = mixing.UsualNewWater(in.From, in.To); in.New > 0 {
		assumed.Value = float64(in.New)
		assumed.Note = text.Of("assumed_brine_to_raise", text.Params{"above": float64(mixing.UsualBrinePSU)})
	}
	return in, []envelope.Assumption{assumed}
}

func newSalinityAdjustmentResponse(a mixing.AdjustResult, newPSU float64) salinityAdjustmentResponse {
	out := salinityAdjustmentResponse{
		NewWaterPSU: newPSU, Changes: []salinityStep{}, ChangePercent: 100 * a.ShareEach, TotalL: a.TotalL,
		Days: a.Days, FastestPSUD: a.FastestPSUD, WithinPace: a.WithinPace,
		ContinuousL: a.ContinuousL, ContinuousLD: a.ContinuousLD, ContinuousD: a.ContinuousD, AddedL: a.GrowingL,
		TopOffD:    onlyIf(a.TopOffD > 0, a.TopOffD),
		TopOffPSUD: onlyIf(a.TopOffD > 0, a.TopOffPace), SaltKg: a.SaltMovedKg,
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
		Cautions: []envelope.Caution{envelope.HeavyWater}, Headline: adjustmentHeadline(r, in, m),
		Details: adjustmentDetails(m), KeyFigures: adjustmentFigures(m), Actions: adjustmentActions(in, m),
	}
	a.Charts = func(u catalogue.Reader) ([]chart.Chart, error) {
		return []chart.Chart{adjustmentChart(u, a.Headline, r.FromPSU, m)}, nil
	}
	if in.New > 0 {
		a.Cautions = append([]envelope.Caution{envelope.FreshMix}, a.Cautions...)
	}
	if !m.WithinPace {
		a.Warnings = append(a.Warnings, envelope.Warn(text.Of("faster_than_pace",
			text.Params{"fastest": m.FastestPSUD, "pace": r.PacePSUD}), "#/changes"))
	}
	if m.TopOffPace > r.PacePSUD {
		a.Warnings = append(a.Warnings, envelope.Warn(text.Of("top_off_faster_than_pace",
			text.Params{"fastest": m.TopOffPace}), "#/evaporation_l_d"))
	}
	return a, nil
}

// onlyIf leaves out a number that means nothing.
func onlyIf(means bool, x float64) *float64 {
	if !means {
		return nil
	}
	return &x
}

func adjustmentHeadline(r salinityAdjustmentRequest, in mixing.AdjustInput, m mixing.AdjustResult) text.Text {
	p := text.Params{"count": len(m.Steps), "each": m.Steps[0].ChangeL, "every": r.DaysBetween, "from": r.FromPSU,
		"to": r.ToPSU}
	if in.New == 0 {
		return text.Of("adjust_by_fresh_water", p)
	}
	p["fresh"] = float64(in.New)
	return text.Of("adjust_by_changes", p)
}

func adjustmentDetails(m mixing.AdjustResult) text.Text {
	said := text.Of("adjust_otherwise", text.Params{"total": m.TotalL, "continuous": m.ContinuousL,
		"flow": m.ContinuousLD, "added": m.GrowingL})
	if m.TopOffD == 0 {
		return said
	}
	return text.Sentences(said, text.Of("adjust_by_top_off", text.Params{"time": m.TopOffD}))
}

func adjustmentFigures(m mixing.AdjustResult) []envelope.KeyFigure {
	out := []envelope.KeyFigure{
		{Label: text.Of("adjust_each_figure", nil), Value: m.Steps[0].ChangeL, Quantity: "volume"},
		{Label: text.Of("adjust_total_figure", nil), Value: m.TotalL, Quantity: "volume"},
		{Label: text.Of("adjust_first_move_figure", nil), Value: m.Steps[0].MovePSU, Quantity: "salinity"},
	}
	if m.Days > 0 {
		out = append(out, envelope.KeyFigure{Label: text.Of("adjust_days_figure", nil), Value: m.Days,
			Quantity: "duration_days"})
	}
	return out
}

func adjustmentActions(in mixing.AdjustInput, m mixing.AdjustResult) []text.Text {
	prepare := text.Of("adjust_have_fresh_water", text.Params{"total": m.TotalL})
	if in.New > 0 {
		prepare = text.Of("adjust_mix_new_water", text.Params{"total": m.TotalL, "fresh": float64(in.New)})
	}
	return []text.Text{prepare, text.Of("adjust_warm_it", nil), text.Of("adjust_measure", nil)}
}
