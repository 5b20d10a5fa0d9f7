package light

import (
	"context"
	"fmt"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/schedule"
	"saltwright/internal/calc"
	"saltwright/internal/calc/light"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

type lightAcclimationRequest struct {
	Channels       []lightChannel `json:"channels"`
	StartDLI       float64        `json:"start_dli_mol_m2_d"`
	GoalDLI        *float64       `json:"goal_dli_mol_m2_d,omitempty"`
	Weeks          int            `json:"weeks"`
	StepsPerWeek   int            `json:"steps_per_week"`
	MostRisePctWk  float64        `json:"most_rise_percent_week"`
	MoonlightLevel float64        `json:"moonlight_percent"`
}

type acclimationStep struct {
	Day          int     `json:"day"`
	ScalePercent float64 `json:"scale_percent"`
	DLI          float64 `json:"dli_mol_m2_d"`
	RisePercent  float64 `json:"rise_percent"`
	EnergyKWhD   float64 `json:"energy_kwh_d"`
	MeanHeatW    float64 `json:"mean_heat_w"`
}

type lightAcclimationResponse struct {
	Weeks       int               `json:"weeks"`
	RisePerWeek float64           `json:"rise_percent_week"`
	WithinRise  bool              `json:"within_rise"`
	FullDLI     float64           `json:"full_dli_mol_m2_d"`
	Steps       []acclimationStep `json:"steps"`
}

// scored returns the day's figures of some channels.
func scored(channels []lightChannel, moonlight float64) (light.ScoreInput, light.ScoreResult, error) {
	in, err := lightScoreRequest{Channels: channels, Livestock: "mixed_reef", MoonlightPercent: moonlight}.input()
	if err != nil {
		return in, light.ScoreResult{}, err
	}
	s, err := light.Score(in)
	return in, s, err
}

// needPPFD refuses channels whose light integral is not known.
func needPPFD(s light.ScoreResult) error {
	if s.DLI == nil {
		return &calc.ConflictError{Params: []string{"channels"},
			Reason: text.Of("light_needs_ppfd", nil)}
	}
	return nil
}

func (r lightAcclimationRequest) input(full float64) (light.AcclimationInput, []envelope.Assumption) {
	in := light.AcclimationInput{
		StartDLI: r.StartDLI, FullDLI: full, GoalDLI: full, Weeks: r.Weeks, StepsPerWeek: r.StepsPerWeek,
		MostRisePercentWeek: r.MostRisePctWk,
	}
	if r.GoalDLI != nil {
		in.GoalDLI = *r.GoalDLI
		return in, nil
	}
	return in, []envelope.Assumption{{Pointer: "#/goal_dli_mol_m2_d", Value: full, Unit: "mol/(m2 d)", Why: "derived",
		Source: "Derived", Note: text.Of("assumed_full_strength", nil)}}
}

func newLightAcclimationResponse(a light.AcclimationResult, s light.ScoreResult) lightAcclimationResponse {
	out := lightAcclimationResponse{Weeks: a.Weeks, RisePerWeek: a.RisePerWeek, WithinRise: a.WithinRise,
		FullDLI: *s.DLI, Steps: []acclimationStep{}}
	for _, x := range a.Steps {
		out.Steps = append(out.Steps, acclimationStep{
			Day: x.Day, ScalePercent: x.ScalePercent, DLI: x.DLI, RisePercent: x.RisePercent,
			EnergyKWhD: s.EnergyKWhDay * x.ScalePercent / 100, MeanHeatW: s.MeanHeatW * x.ScalePercent / 100,
		})
	}
	return out
}

// Acclimate is the way from a safe light to the goal.
func Acclimate(_ context.Context, r lightAcclimationRequest) (envelope.Answer[lightAcclimationResponse], error) {
	_, s, err := scored(r.Channels, r.MoonlightLevel)
	if err != nil {
		return envelope.Answer[lightAcclimationResponse]{}, err
	}
	if err := needPPFD(s); err != nil {
		return envelope.Answer[lightAcclimationResponse]{}, err
	}
	in, assumed := r.input(*s.DLI)
	c, err := light.Acclimate(in)
	if err != nil {
		return envelope.Answer[lightAcclimationResponse]{}, err
	}
	a := envelope.Answer[lightAcclimationResponse]{
		Charts: func(u catalogue.Reader) ([]chart.Chart, error) {
			return []chart.Chart{acclimationChart(u, c)}, nil
		},
		Result: newLightAcclimationResponse(c, s), Assumptions: assumed,
		Cautions: []envelope.Caution{envelope.MainsNearWater},
		Sources:  []string{"CommonPractice", "Derived", "DiPerna2018"},
		Headline: text.Of("light_acclimation", text.Params{"count": c.Weeks,
			"first": c.Steps[0].ScalePercent, "last": c.Steps[len(c.Steps)-1].ScalePercent}),
		Details: text.Of("light_rise", text.Params{"start": in.StartDLI, "goal": in.GoalDLI, "rise": c.RisePerWeek,
			"step": c.Steps[1].RisePercent}),
		KeyFigures: acclimationFigures(c), Actions: acclimationActions(c),
	}
	if !c.WithinRise {
		a.Warnings = append(a.Warnings, envelope.Warn(text.Of("fast_rise",
			text.Params{"rise": c.RisePerWeek, "most": in.MostRisePercentWeek}), "#/weeks"))
	}
	if in.GoalDLI > light.PhotoinhibitingDLI {
		a.Warnings = append(a.Warnings, envelope.Warn(light.TooMuchLight(in.GoalDLI), "#/goal_dli_mol_m2_d"))
	}
	return a, nil
}

func acclimationFigures(c light.AcclimationResult) []envelope.KeyFigure {
	return []envelope.KeyFigure{
		{Label: text.Of("light_first_setting_figure", nil), Value: c.Steps[0].ScalePercent, Quantity: "percent"},
		{Label: text.Of("light_weeks_figure", nil), Value: float64(c.Weeks), Quantity: "number"},
		{Label: text.Of("light_rise_figure", nil), Value: c.RisePerWeek, Quantity: "percent"},
	}
}

func acclimationActions(c light.AcclimationResult) []text.Text {
	return []text.Text{
		text.Of("light_begin_at", text.Params{"first": c.Steps[0].ScalePercent}),
		text.Of("light_raise_every", text.Params{"step": c.Steps[1].RisePercent, "count": c.Steps[1].Day}),
		text.Of("light_watch_corals", nil),
	}
}

type lightAdjustmentRequest struct {
	Channels     []lightChannel `json:"channels"`
	ShiftMin     int            `json:"shift_min"`
	ScalePercent *float64       `json:"scale_percent,omitempty"`
	GoalDLI      *float64       `json:"goal_dli_mol_m2_d,omitempty"`
}

type adjustedChannel struct {
	ID         string           `json:"id"`
	Points     []schedule.Point `json:"points"`
	DLI        *float64         `json:"dli_mol_m2_d,omitempty"`
	EnergyKWhD float64          `json:"energy_kwh_d"`
}

// lightsForHeat is a day of light as the heat balance takes it.
type lightsForHeat struct {
	LightsW     float64 `json:"lights_w"`
	HeatShare   float64 `json:"lights_heat_share"`
	HoursPerDay float64 `json:"lights_hours_per_day"`
}

type lightAdjustmentResponse struct {
	ScalePercent float64           `json:"scale_percent"`
	Channels     []adjustedChannel `json:"channels"`
	DLI          *float64          `json:"dli_mol_m2_d,omitempty"`
	PhotoperiodH float64           `json:"photoperiod_h"`
	DarkH        float64           `json:"dark_h"`
	EnergyKWhD   float64           `json:"energy_kwh_d"`
	MeanHeatW    float64           `json:"mean_heat_w"`
	PeakHeatW    float64           `json:"peak_heat_w"`
	HeatBalance  lightsForHeat     `json:"heat_balance"`
}

// factor is what the levels are multiplied with.
func (r lightAdjustmentRequest) factor(s light.ScoreResult) (float64, error) {
	switch {
	case r.ScalePercent != nil && r.GoalDLI != nil:
		return 0, &calc.ConflictError{Params: []string{"scale_percent", "goal_dli_mol_m2_d"},
			Reason: text.Of("light_scale_or_goal", nil)}
	case r.ScalePercent != nil:
		return *r.ScalePercent / 100, nil
	case r.GoalDLI == nil:
		return 1, nil
	}
	if err := needPPFD(s); err != nil {
		return 0, err
	}
	if *s.DLI == 0 {
		return 0, &calc.ConflictError{Params: []string{"channels", "goal_dli_mol_m2_d"},
			Reason: text.Of("light_dark_programme", nil)}
	}
	return *r.GoalDLI / *s.DLI, nil
}

// forHeat returns the lamp of constant power and some hours with the same energy and heat in a day.
func forHeat(in light.ScoreInput, s light.ScoreResult) lightsForHeat {
	var peakW, heatW float64
	for _, c := range in.Channels {
		peakW += c.PowerW * c.Schedule.Peak() / 100
		heatW += c.PowerW * c.HeatShare * c.Schedule.Mean() / 100
	}
	if peakW == 0 || s.EnergyKWhDay == 0 {
		return lightsForHeat{}
	}
	meanW := s.EnergyKWhDay * quantity.WattsPerKilowatt / quantity.HoursPerDay
	return lightsForHeat{LightsW: peakW, HeatShare: heatW / meanW, HoursPerDay: quantity.HoursPerDay * meanW / peakW}
}

func newLightAdjustmentResponse(in light.ScoreInput, s light.ScoreResult, factor float64) lightAdjustmentResponse {
	out := lightAdjustmentResponse{
		ScalePercent: 100 * factor, Channels: []adjustedChannel{}, DLI: s.DLI, PhotoperiodH: s.PhotoperiodH,
		DarkH: s.DarkH, EnergyKWhD: s.EnergyKWhDay,
		MeanHeatW: s.MeanHeatW, PeakHeatW: s.PeakHeatW, HeatBalance: forHeat(in, s),
	}
	for i, c := range s.Channels {
		x := adjustedChannel{ID: c.ID, Points: []schedule.Point{}, DLI: c.DLI, EnergyKWhD: c.EnergyKWhDay}
		for _, p := range in.Channels[i].Schedule.Points() {
			x.Points = append(x.Points, schedule.Point{At: plan.ClockTime(light.Clock(p.Hour)), Percent: p.Level})
		}
		out.Channels = append(out.Channels, x)
	}
	return out
}

// AdjustLight is the same day of light, later or earlier, stronger or weaker.
func AdjustLight(_ context.Context, r lightAdjustmentRequest) (envelope.Answer[lightAdjustmentResponse], error) {
	in, before, err := scored(r.Channels, 0)
	if err != nil {
		return envelope.Answer[lightAdjustmentResponse]{}, err
	}
	factor, err := r.factor(before)
	if err != nil {
		return envelope.Answer[lightAdjustmentResponse]{}, err
	}
	for i := range in.Channels {
		c := &in.Channels[i]
		if c.Schedule, err = c.Schedule.Scaled(factor); err == nil {
			c.Schedule, err = c.Schedule.Shifted(float64(r.ShiftMin))
		}
		if err != nil {
			return envelope.Answer[lightAdjustmentResponse]{}, err
		}
		const full = 100
		if peak := c.Schedule.Peak(); peak > full*(1+1e-9) {
			return envelope.Answer[lightAdjustmentResponse]{}, &calc.ConflictError{
				Params: []string{"scale_percent", "goal_dli_mol_m2_d", fmt.Sprintf("channels[%d]", i)},
				Reason: text.Of("light_channel_over_full", text.Params{"channel": c.ID, "percent": peak}),
			}
		} else if peak > full { // a rounding above
			if c.Schedule, err = c.Schedule.Scaled(full / peak); err != nil {
				return envelope.Answer[lightAdjustmentResponse]{}, err
			}
		}
	}
	s, err := light.Score(in)
	if err != nil {
		return envelope.Answer[lightAdjustmentResponse]{}, err
	}
	return envelope.Answer[lightAdjustmentResponse]{
		Result: newLightAdjustmentResponse(in, s, factor), Cautions: []envelope.Caution{envelope.MainsNearWater},
		Sources:  []string{"CommonPractice", "Derived"},
		Headline: adjustmentHeadline(r.ShiftMin, factor),
		Details:  text.Sentences(lightOfADay(s), warmthOf(s)),
		KeyFigures: append([]envelope.KeyFigure{
			{Label: text.Of("light_strength_figure", nil), Value: 100 * factor, Quantity: "percent"},
			{Label: text.Of("light_lit_figure", nil), Value: s.PhotoperiodH, Quantity: "hours_and_minutes"},
		}, strengthFigures(s)...),
		Actions: adjustmentActions(r.ShiftMin, factor),
	}, nil
}

// warmthOf says what the lamps use and how they warm the water; nothing of lamps whose power is not known.
func warmthOf(s light.ScoreResult) text.Text {
	if s.EnergyKWhDay == 0 {
		return text.Text{}
	}
	return text.Of("light_warms", text.Params{"energy": s.EnergyKWhDay, "heat": s.MeanHeatW})
}

func adjustmentHeadline(shiftMin int, factor float64) text.Text {
	p := text.Params{"percent": 100 * factor}
	switch {
	case shiftMin > 0:
		p["shift"] = float64(shiftMin) / quantity.MinutesPerHour
		return text.Of("light_later", p)
	case shiftMin < 0:
		p["shift"] = float64(-shiftMin) / quantity.MinutesPerHour
		return text.Of("light_earlier", p)
	}
	return text.Of("light_same_times", p)
}

// adjustmentActions say what to watch for: livestock stands a stronger light, or a shifted night, only by and by.
func adjustmentActions(shiftMin int, factor float64) []text.Text {
	out := []text.Text{text.Of("light_set_corners", nil)}
	if factor > 1 {
		out = append(out, text.Of("light_raise_by_and_by", nil))
	}
	const muchMin = 60
	if shiftMin > muchMin || shiftMin < -muchMin {
		out = append(out, text.Of("light_shift_by_and_by", nil))
	}
	return out
}
