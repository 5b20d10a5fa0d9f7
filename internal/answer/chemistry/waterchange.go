package chemistry

import (
	"context"
	"math"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/mixing"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

type waterChangeRequest struct {
	VolumeL         float64  `json:"volume_l"`
	ChangeL         float64  `json:"change_l"`
	Changes         int      `json:"changes"`
	DaysBetween     float64  `json:"days_between"`
	SalinityPSU     float64  `json:"salinity_psu"`
	NewWaterPSU     float64  `json:"new_water_psu"`
	Solute          *float64 `json:"solute,omitempty"`
	NewWaterSolute  float64  `json:"new_water_solute"`
	SolutePerDay    float64  `json:"solute_per_day"`
	MismatchPercent float64  `json:"pump_mismatch_percent"`
	EvaporationLD   *float64 `json:"evaporation_l_d,omitempty"`
	AllowedDriftPSU float64  `json:"allowed_drift_psu"`
}

type waterChangeResponse struct {
	ChangeShare         float64  `json:"change_share"`
	TotalL              float64  `json:"total_l"`
	LeftByChanges       float64  `json:"left_by_changes_share"`
	LeftByContinuous    float64  `json:"left_by_continuous_share"`
	ByChangesPSU        float64  `json:"by_changes_psu"`
	ByContinuousPSU     float64  `json:"by_continuous_psu"`
	SoluteByChanges     *float64 `json:"solute_by_changes,omitempty"`
	SoluteByContinuous  *float64 `json:"solute_by_continuous,omitempty"`
	SoluteSettlesBefore *float64 `json:"solute_settles_before,omitempty"`
	SoluteSettlesAfter  *float64 `json:"solute_settles_after,omitempty"`
	DriftPSU            *float64 `json:"drift_psu,omitempty"`
	CalibrateEveryD     *float64 `json:"calibrate_every_d,omitempty"`
	ExtraTopOffLD       *float64 `json:"extra_top_off_l_d,omitempty"`
	LevelRisesLD        *float64 `json:"level_rises_l_d,omitempty"`
}

// usualEvaporation is the share of the volume that a tank evaporates a day; common practice, no source.
const usualEvaporation = 0.01

func (r waterChangeRequest) input() (mixing.ChangeInput, []envelope.Assumption) {
	in := mixing.ChangeInput{
		VolumeL: r.VolumeL, ChangeL: r.ChangeL, Changes: r.Changes, DaysBetween: r.DaysBetween,
		MismatchPct: r.MismatchPercent, Tank: r.SalinityPSU, New: r.NewWaterPSU, AllowedPSU: r.AllowedDriftPSU,
	}
	if r.Solute != nil {
		in.Solute = &mixing.Solute{Tank: *r.Solute, New: r.NewWaterSolute, PerDay: r.SolutePerDay}
	}
	if r.EvaporationLD != nil {
		in.EvaporationLD = *r.EvaporationLD
		return in, nil
	}
	in.EvaporationLD = usualEvaporation * r.VolumeL
	return in, []envelope.Assumption{{Pointer: "#/evaporation_l_d", Value: in.EvaporationLD, Unit: "L/d",
		Why: "common_practice", Source: "CommonPractice", Note: text.Of("assumed_usual_evaporation", nil)}}
}

func newWaterChangeResponse(in mixing.ChangeInput, c mixing.ChangeResult) waterChangeResponse {
	out := waterChangeResponse{
		ChangeShare: c.Share, TotalL: c.TotalL, LeftByChanges: c.LeftBySeries, LeftByContinuous: c.LeftByContinuous,
		ByChangesPSU: c.PSUBySeries, ByContinuousPSU: c.PSUByContinuous,
	}
	if in.Solute != nil {
		out.SoluteByChanges, out.SoluteByContinuous = &c.SoluteBySeries, &c.SoluteByContinuous
		out.SoluteSettlesBefore, out.SoluteSettlesAfter = &c.SteadyBefore, &c.SteadyAfter
	}
	if in.MismatchPct != 0 {
		out.DriftPSU, out.ExtraTopOffLD = &c.DriftPSU, &c.ExtraTopOffLD
		if c.CalibrateEveryD > 0 {
			out.CalibrateEveryD = &c.CalibrateEveryD
		}
		if c.LevelRisesLD > 0 {
			out.LevelRisesLD = &c.LevelRisesLD
		}
	}
	return out
}

// ChangeWater is what water changes do to a tank.
func ChangeWater(_ context.Context, r waterChangeRequest) (envelope.Answer[waterChangeResponse], error) {
	in, assumed := r.input()
	c, err := mixing.Change(in)
	if err != nil {
		return envelope.Answer[waterChangeResponse]{}, err
	}
	headline := changeHeadline(in, c)
	a := envelope.Answer[waterChangeResponse]{
		Result: newWaterChangeResponse(in, c), Headline: headline, Details: changeDetails(in, c),
		Actions: changeActions(in, c), Assumptions: assumed, Sources: []string{"CommonPractice"},
		KeyFigures: []envelope.KeyFigure{
			{Label: text.Of("old_water_left_figure", nil), Value: c.LeftBySeries, Quantity: "share"},
			{Label: text.Of("old_water_left_continuous_figure", nil), Value: c.LeftByContinuous, Quantity: "share"},
			{Label: text.Of("salinity_after_changes_figure", nil), Value: c.PSUBySeries, Quantity: "salinity"},
			{Label: text.Of("new_water_figure", nil), Value: c.TotalL, Quantity: "volume"},
		},
		Cautions: []envelope.Caution{envelope.FreshMix},
		Charts: func(u catalogue.Reader) ([]chart.Chart, error) {
			return []chart.Chart{changeChart(u, headline, in, c)}, nil
		},
	}
	if in.MismatchPct != 0 {
		a.KeyFigures = append(a.KeyFigures, envelope.KeyFigure{Label: text.Of("salinity_drift_figure", nil),
			Value: c.DriftPSU, Quantity: "salinity"})
		a.Cautions = append(a.Cautions, envelope.HeavyWater)
	}
	return a, nil
}

func changeHeadline(in mixing.ChangeInput, c mixing.ChangeResult) text.Text {
	mismatch := math.Abs(in.MismatchPct)
	switch {
	case c.LevelRisesLD > 0:
		return text.Of("change_level_rises", text.Params{"rise": c.LevelRisesLD, "mismatch": mismatch})
	case c.CalibrateEveryD > 0:
		return text.Of("change_calibrate", text.Params{"time": c.CalibrateEveryD, "mismatch": mismatch,
			"allowed": in.AllowedPSU})
	case in.MismatchPct != 0:
		return text.Of("change_mismatch_harmless", text.Params{"mismatch": mismatch, "drift": math.Abs(c.DriftPSU)})
	}
	return text.Of("change_leaves", text.Params{"count": in.Changes, "volume": in.ChangeL, "left": c.LeftBySeries,
		"salinity": c.PSUBySeries})
}

func changeDetails(in mixing.ChangeInput, c mixing.ChangeResult) text.Text {
	out := []text.Text{
		text.Of("change_continuous", text.Params{"volume": c.TotalL, "left": c.LeftByContinuous}),
	}
	if in.Solute != nil && in.Solute.PerDay != 0 {
		out = append(out, text.Of("change_solute_settles", text.Params{
			"before": text.Amount{Value: c.SteadyBefore, Unit: "1"},
			"after":  text.Amount{Value: c.SteadyAfter, Unit: "1"},
		}))
	}
	switch {
	case c.LevelRisesLD > 0: // the level shows it
	case in.MismatchPct > 0:
		out = append(out, text.Of("change_drifts_up", text.Params{"ends": in.New + c.DriftPSU}))
	case in.MismatchPct < 0:
		out = append(out, text.Of("change_drifts_down", text.Params{"ends": in.New + c.DriftPSU}))
	}
	return text.Sentences(out...)
}

func changeActions(in mixing.ChangeInput, c mixing.ChangeResult) []text.Text {
	var out []text.Text
	if c.LevelRisesLD > 0 {
		out = append(out, text.Of("change_stop_when_high", nil))
	}
	if in.MismatchPct != 0 {
		out = append(out, text.Of("change_measure_both_pumps", nil), text.Of("change_watch_salinity", nil))
	}
	if in.New != in.Tank {
		out = append(out, text.Of("change_match_salinity", text.Params{"salinity": in.New}))
	}
	return out
}
