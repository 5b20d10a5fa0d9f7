// Package light answers questions of daily light programmes.
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
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

type lightChannel struct {
	ID        string           `json:"id"`
	Points    []schedule.Point `json:"points"`
	OnAt      *plan.ClockTime  `json:"on_at,omitempty"`
	OffAt     *plan.ClockTime  `json:"off_at,omitempty"`
	RampMin   float64          `json:"ramp_min"`
	PeakPPFD  *float64         `json:"peak_ppfd,omitempty"`
	PowerW    float64          `json:"power_w"`
	HeatShare float64          `json:"heat_share"`
}

type lightScoreRequest struct {
	Channels         []lightChannel `json:"channels"`
	Livestock        string         `json:"livestock"`
	MoonlightPercent float64        `json:"moonlight_percent"`
}

type lightPart struct {
	Code     string    `json:"code"`
	Points   float64   `json:"points"`
	Possible float64   `json:"possible"`
	Reason   text.Text `json:"reason"`
	Raise    text.Text `json:"raise,omitzero"`
}

type lightChannelResult struct {
	ID         string   `json:"id"`
	DLI        *float64 `json:"dli_mol_m2_d,omitempty"`
	LitHours   float64  `json:"lit_h"`
	EnergyKWhD float64  `json:"energy_kwh_d"`
}

type lightStep struct {
	At          string  `json:"at"`
	FromPercent float64 `json:"from_percent"`
	ToPercent   float64 `json:"to_percent"`
}

type lightScoreResponse struct {
	Score         float64              `json:"score"`
	Parts         []lightPart          `json:"parts"`
	PhotoperiodH  float64              `json:"photoperiod_h"`
	DarkH         float64              `json:"dark_h"`
	LongestDarkH  float64              `json:"longest_dark_h"`
	ShortestRampH *float64             `json:"shortest_ramp_h,omitempty"`
	Steps         []lightStep          `json:"steps"`
	DLI           *float64             `json:"dli_mol_m2_d,omitempty"`
	EnergyKWhD    float64              `json:"energy_kwh_d"`
	MeanHeatW     float64              `json:"mean_heat_w"`
	PeakHeatW     float64              `json:"peak_heat_w"`
	Channels      []lightChannelResult `json:"channels"`
}

// schedule returns the channel's programme; what conflicts is named as the contract names it.
func (c lightChannel) schedule(at string) (light.Schedule, error) {
	s := schedule.Schedule{Points: c.Points, OnAt: c.OnAt, OffAt: c.OffAt, RampMin: c.RampMin}
	in := s.Input()
	if err := in.Check(strings.TrimSuffix(at, ".")); err != nil {
		return light.Schedule{}, err
	}
	out, err := light.NewSchedule(in.Corners())
	return out, calc.Within(at, err)
}

func (r lightScoreRequest) input() (light.ScoreInput, error) {
	in := light.ScoreInput{Livestock: r.Livestock, MoonlightPercent: r.MoonlightPercent}
	for i, c := range r.Channels {
		s, err := c.schedule(fmt.Sprintf("channels[%d].", i))
		if err != nil {
			return in, err
		}
		in.Channels = append(in.Channels, light.Channel{ID: c.ID, Schedule: s, PeakPPFD: c.PeakPPFD, PowerW: c.PowerW,
			HeatShare: c.HeatShare})
	}
	return in, nil
}

func newLightScoreResponse(s light.ScoreResult) lightScoreResponse {
	out := lightScoreResponse{
		Score: s.Score, Parts: []lightPart{}, PhotoperiodH: s.PhotoperiodH, DarkH: s.DarkH,
		LongestDarkH:  s.LongestDarkH,
		ShortestRampH: unlessNone(s.ShortestRampH), Steps: []lightStep{}, DLI: s.DLI, EnergyKWhD: s.EnergyKWhDay,
		MeanHeatW: s.MeanHeatW, PeakHeatW: s.PeakHeatW, Channels: []lightChannelResult{},
	}
	for _, p := range s.Parts {
		out.Parts = append(out.Parts, lightPart(p))
	}
	for _, x := range s.Steps {
		out.Steps = append(out.Steps, lightStep{At: light.Clock(x.Hour), FromPercent: x.From, ToPercent: x.To})
	}
	for _, c := range s.Channels {
		out.Channels = append(out.Channels, lightChannelResult{ID: c.ID, DLI: c.DLI, LitHours: c.LitHours,
			EnergyKWhD: c.EnergyKWhDay})
	}
	return out
}

// ScoreLight is a daily light programme's figures and score.
func ScoreLight(_ context.Context, r lightScoreRequest) (envelope.Answer[lightScoreResponse], error) {
	in, err := r.input()
	if err != nil {
		return envelope.Answer[lightScoreResponse]{}, err
	}
	s, err := light.Score(in)
	if err != nil {
		return envelope.Answer[lightScoreResponse]{}, err
	}
	a := envelope.Answer[lightScoreResponse]{
		Result: newLightScoreResponse(s), Sources: []string{"CommonPractice", "Derived", "DiPerna2018"},
		Cautions: []envelope.Caution{envelope.MainsNearWater}, Headline: scoreHeadline(s),
		Details: lightOfADay(s), KeyFigures: scoreFigures(s),
	}
	a.Charts = func(u catalogue.Reader) ([]chart.Chart, error) {
		return []chart.Chart{programmeChart(u, a.Headline, in, s)}, nil
	}
	for _, p := range s.Parts {
		if !p.Raise.IsZero() {
			a.Actions = append(a.Actions, p.Raise)
		}
	}
	if s.DLI == nil {
		a.Actions = append(a.Actions, text.Of("light_measure_ppfd", nil))
	}
	for _, n := range s.Notes {
		a.Warnings = append(a.Warnings, envelope.Warn(n, "#/channels"))
	}
	return a, nil
}

// scoreHeadline says the score, that of the strength left out where it was not judged.
func scoreHeadline(s light.ScoreResult) text.Text {
	code := "light_score"
	if s.DLI == nil {
		code = "light_score_without_strength"
	}
	return text.Of(code, text.Params{"score": s.Score})
}

// lightOfADay says how long and how strong a day of light is.
func lightOfADay(s light.ScoreResult) text.Text {
	said := text.Of("light_of_a_day", text.Params{"lit": s.PhotoperiodH, "dark": s.DarkH})
	switch {
	case s.DarkH == 0:
		said = text.Of("light_never_goes_out", nil)
	case s.PhotoperiodH == 0:
		said = text.Of("light_never_goes_on", nil)
	}
	if s.DLI == nil {
		return said
	}
	return text.Sentences(said, text.Of("light_brings", text.Params{"light": *s.DLI}))
}

func scoreFigures(s light.ScoreResult) []envelope.KeyFigure {
	out := []envelope.KeyFigure{
		{Label: text.Of("light_score_figure", nil), Value: s.Score, Quantity: "number"},
		{Label: text.Of("light_lit_figure", nil), Value: s.PhotoperiodH, Quantity: "hours_and_minutes"},
	}
	if s.LongestDarkH > 0 {
		out = append(out, envelope.KeyFigure{Label: text.Of("light_longest_night_figure", nil), Value: s.LongestDarkH,
			Quantity: "hours_and_minutes"})
	}
	return append(out, strengthFigures(s)...)
}

// strengthFigures are the light integral, where it is known, and the energy of a day.
func strengthFigures(s light.ScoreResult) []envelope.KeyFigure {
	var out []envelope.KeyFigure
	if s.DLI != nil {
		out = append(out, envelope.KeyFigure{Label: text.Of("light_integral_figure", nil), Value: *s.DLI,
			Quantity: "light_integral"})
	}
	if s.EnergyKWhDay > 0 {
		out = append(out, envelope.KeyFigure{Label: text.Of("light_energy_figure", nil), Value: s.EnergyKWhDay,
			Quantity: "energy_a_day"})
	}
	return out
}

// unlessNone leaves out a number that is 0 where there is none.
func unlessNone(x float64) *float64 {
	if x == 0 {
		return nil
	}
	return &x
}
