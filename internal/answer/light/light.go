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
	"saltwright/internal/catalogue"
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
	Code     string  `json:"code"`
	Points   float64 `json:"points"`
	Possible float64 `json:"possible"`
	Reason   string  `json:"reason"`
	Raise    string  `json:"raise"`
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
	ShortestRampH float64              `json:"shortest_ramp_h"`
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
		ShortestRampH: s.ShortestRampH, Steps: []lightStep{}, DLI: s.DLI, EnergyKWhD: s.EnergyKWhDay,
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
		Cautions: []envelope.Caution{envelope.MainsNearWater},
		Summary: func(u catalogue.Units) string {
			var b strings.Builder
			fmt.Fprintf(&b, "This day of light scores %.0f of 100: %.1f h of light and %.1f h of true dark.", s.Score,
				s.PhotoperiodH, s.DarkH)
			if s.DLI != nil {
				fmt.Fprintf(&b, " Its light integral is %.1f mol/m² a day.", *s.DLI)
			}
			for _, p := range s.Parts {
				if p.Raise != "" {
					b.WriteString(" " + p.Raise)
				}
			}
			return b.String()
		},
	}
	for _, n := range s.Notes {
		a.Warnings = append(a.Warnings, envelope.Warning{Code: n.Code, Message: n.Sentence, Pointer: "#/channels"})
	}
	return a, nil
}
