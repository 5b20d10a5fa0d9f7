package light

import (
	"context"
	"fmt"
	"strings"

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
			Reason: text.Plain("every channel needs its peak_ppfd, measured " +
				"where the corals are; without it there is no light integral")}
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
		Source: "Derived", Note: text.Plain("the programme at full strength")}}
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
		Charts: func(u catalogue.Units) ([]chart.Chart, error) {
			return []chart.Chart{acclimationChart(u, c)}, nil
		},
		Result: newLightAcclimationResponse(c, s), Assumptions: assumed,
		Cautions: []envelope.Caution{envelope.MainsNearWater},
		Sources:  []string{"CommonPractice", "Derived", "DiPerna2018"},
		Summary: func(catalogue.Units) string {
			first := c.Steps[0]
			return fmt.Sprintf("From %.1f to %.1f mol/m² a day in %d weeks: begin at %.0f %% of the programme and "+
				"raise it by %.1f %% a week, in steps of %.1f %%. Watch the corals and stay on a step, or go back "+
				"one, when they pale.",
				in.StartDLI, in.GoalDLI, c.Weeks, first.ScalePercent, c.RisePerWeek, c.Steps[1].RisePercent)
		},
	}
	if !c.WithinRise {
		a.Warnings = append(a.Warnings, envelope.Warning{Code: "fast_rise", Pointer: "#/weeks",
			Message: fmt.Sprintf("The light rises by %.0f %% a week, more than the %.0f %% asked for: take more "+
				"weeks.",
				c.RisePerWeek, in.MostRisePercentWeek)})
	}
	if in.GoalDLI > light.PhotoinhibitingDLI {
		a.Warnings = append(a.Warnings, envelope.Warning{Code: light.NotePhotoinhibition,
			Pointer: "#/goal_dli_mol_m2_d", Message: fmt.Sprintf("A laboratory study of two reef corals took %g "+
				"mol/(m² d) as potentially too much.", light.PhotoinhibitingDLI)})
	}
	return a, nil
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
			Reason: text.Plain("give a scale or a goal, not both")}
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
			Reason: text.Plain("a dark programme has no light to scale")}
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
				Reason: text.Plain(fmt.Sprintf("channel %s would have to reach %.0f %%; lengthen the day or use "+
					"more light",
					c.ID,
					peak)),
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
		Sources: []string{"CommonPractice", "Derived"},
		Summary: func(u catalogue.Units) string {
			var b strings.Builder
			switch {
			case r.ShiftMin > 0:
				fmt.Fprintf(&b, "The day of light is %d minutes later", r.ShiftMin)
			case r.ShiftMin < 0:
				fmt.Fprintf(&b, "The day of light is %d minutes earlier", -r.ShiftMin)
			default:
				b.WriteString("The day of light keeps its times")
			}
			fmt.Fprintf(&b, " and runs at %.0f %% of its strength: %.1f h of light, %.2f kWh a day", 100*factor,
				s.PhotoperiodH, s.EnergyKWhDay)
			if s.DLI != nil {
				fmt.Fprintf(&b, ", a light integral of %.1f mol/m²", *s.DLI)
			}
			fmt.Fprintf(&b, ". On average %s of heat end in the water.", catalogue.Number(s.MeanHeatW, "W", u))
			return b.String()
		},
	}, nil
}
