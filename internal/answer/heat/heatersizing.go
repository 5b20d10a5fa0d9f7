package heat

import (
	"context"
	"fmt"
	"math"
	"strings"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/tank"
	"saltwright/internal/answer/words"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/quantity"
)

type heaterSizingRequest struct {
	tank.Request
	RoomC                float64  `json:"room_c"`
	ColdestC             *float64 `json:"coldest_c,omitempty"`
	WarmestC             *float64 `json:"warmest_c,omitempty"`
	SetpointC            float64  `json:"setpoint_c"`
	HarmLowC             float64  `json:"harm_low_c"`
	HarmHighC            float64  `json:"harm_high_c"`
	MarginPercent        float64  `json:"margin_percent"`
	ResponseH            float64  `json:"response_h"`
	WarmUpFromC          float64  `json:"warm_up_from_c"`
	HysteresisK          float64  `json:"hysteresis_k"`
	ThermostatC          *float64 `json:"thermostat_c,omitempty"`
	ThermostatToleranceK float64  `json:"thermostat_tolerance_k"`
}

type heaterWindow struct {
	Heaters           int     `json:"heaters"`
	OneDeadHolds      bool    `json:"one_dead_holds"`
	MinW              float64 `json:"min_w"`
	MaxW              float64 `json:"max_w"`
	MaxByReactionW    float64 `json:"max_by_reaction_w"`
	Exists            bool    `json:"exists"`
	ExistsByReaction  bool    `json:"exists_by_reaction"`
	SuggestedW        float64 `json:"suggested_w"`
	ReactionSuggested float64 `json:"suggested_by_reaction_w"`
	Reason            string  `json:"reason"`
	Remedy            string  `json:"remedy"`
}

type backstopResponse struct {
	Verdict      string  `json:"verdict"`
	SwitchOffC   float64 `json:"switch_off_c"`
	BandExists   bool    `json:"band_exists"`
	BandLowC     float64 `json:"band_low_c"`
	BandHighC    float64 `json:"band_high_c"`
	RecommendedC float64 `json:"recommended_c"`
	ThermostatC  float64 `json:"thermostat_c"`
}

type ruleOfThumbResponse struct {
	WattsPerLitre float64 `json:"watts_per_litre"`
	Low           float64 `json:"low_watts_per_litre"`
	High          float64 `json:"high_watts_per_litre"`
	Verdict       string  `json:"verdict"`
}

type heaterSizingResponse struct {
	NeededW       float64             `json:"needed_w"`
	RecommendedW  float64             `json:"recommended_w"`
	UsualW        float64             `json:"usual_w"`
	UsualDuty     float64             `json:"usual_duty_share"`
	EnergyKWhD    float64             `json:"energy_kwh_d"`
	WarmsUp       bool                `json:"warms_up"`
	WarmUpH       float64             `json:"warm_up_h"`
	CoolingW      float64             `json:"cooling_w"`
	CoolingHarmW  float64             `json:"cooling_at_harm_w"`
	WarmestStartC float64             `json:"warmest_start_c"`
	UAWK          float64             `json:"ua_w_k"`
	TimeConstantH float64             `json:"time_constant_h"`
	VolumeL       float64             `json:"volume_l"`
	Windows       []heaterWindow      `json:"windows"`
	Backstop      backstopResponse    `json:"backstop"`
	RuleOfThumb   ruleOfThumbResponse `json:"rule_of_thumb"`
}

var backstopNote = fmt.Sprintf("%.1f K (%.0f °F) above the set-point",
	heat.UsualBackstopK, quantity.FahrenheitDifference(heat.UsualBackstopK))

func (r heaterSizingRequest) input() (heat.SizingInput, []envelope.Assumption, error) {
	in := heat.SizingInput{
		SetpointC: r.SetpointC, HarmLowC: r.HarmLowC, HarmHighC: r.HarmHighC, MarginPercent: r.MarginPercent,
		ResponseH: r.ResponseH, WarmUpFromC: r.WarmUpFromC,
	}
	var assumed []envelope.Assumption
	var err error
	if in.System, err = r.System(); err != nil {
		return in, nil, err
	}
	in.Coldest, in.Usual, in.Warmest, assumed, err = r.Rooms(r.RoomC, r.ColdestC, r.WarmestC)
	if err != nil {
		return in, nil, err
	}
	return in, assumed, nil
}

func (r heaterSizingRequest) backstop() (heat.BackstopInput, []envelope.Assumption) {
	in := heat.BackstopInput{SetpointC: r.SetpointC, HysteresisK: r.HysteresisK,
		ThermostatToleranceK: r.ThermostatToleranceK, HarmHighC: r.HarmHighC}
	if r.ThermostatC != nil {
		in.ThermostatC = *r.ThermostatC
		return in, nil
	}
	in.ThermostatC = r.SetpointC + heat.UsualBackstopK
	return in, []envelope.Assumption{{
		Pointer: "#/thermostat_c", Value: in.ThermostatC, Unit: "degC", Why: "common_practice",
		Source: "CommonPractice", Note: backstopNote,
	}}
}

func newHeaterSizingResponse(s heat.SizingResult, b heat.BackstopResult, thermostatC,
	volumeL float64) heaterSizingResponse {
	out := heaterSizingResponse{
		NeededW: s.NeededW, RecommendedW: s.RecommendedW, UsualW: s.UsualW, UsualDuty: s.UsualDuty,
		EnergyKWhD: s.EnergyKWhPerDay,
		WarmsUp:    s.WarmsUp, WarmUpH: s.WarmUpH, CoolingW: s.CoolingW, CoolingHarmW: s.CoolingAtLimitW,
		WarmestStartC: s.WarmestStartC,
		UAWK:          s.Usual.UAWPerK, TimeConstantH: s.Usual.TimeConstantH, VolumeL: volumeL,
		Windows: []heaterWindow{},
		Backstop: backstopResponse{
			Verdict: string(b.Verdict), SwitchOffC: b.SwitchOffC, BandExists: b.BandExists, BandLowC: b.BandLowC,
			BandHighC:    b.BandHighC,
			RecommendedC: b.RecommendedC, ThermostatC: thermostatC,
		},
		RuleOfThumb: ruleOfThumbResponse{WattsPerLitre: s.WattsPerLitre, Low: heat.RuleOfThumbLowWPerL,
			High: heat.RuleOfThumbHighWPerL, Verdict: string(s.RuleOfThumb)},
	}
	for _, w := range s.Windows {
		out.Windows = append(out.Windows, heaterWindow{
			Heaters: w.Heaters, OneDeadHolds: w.OneDeadHolds, MinW: w.PMinW, MaxW: w.EquilibriumMaxW,
			MaxByReactionW: w.ReactionMaxW,
			Exists:         w.Exists, ExistsByReaction: w.ExistsByReaction, SuggestedW: w.SuggestedW,
			ReactionSuggested: w.ReactionSuggested,
			Reason:            w.Reason, Remedy: w.Remedy,
		})
	}
	return out
}

// SizeHeater is the heating a tank needs and how to split it.
func SizeHeater(_ context.Context, r heaterSizingRequest) (envelope.Answer[heaterSizingResponse], error) {
	in, assumed, err := r.input()
	if err != nil {
		return envelope.Answer[heaterSizingResponse]{}, err
	}
	s, err := heat.SizeHeater(in)
	if err != nil {
		return envelope.Answer[heaterSizingResponse]{}, err
	}
	backstop, more := r.backstop()
	b, err := heat.Backstop(backstop)
	if err != nil {
		return envelope.Answer[heaterSizingResponse]{}, err
	}
	damp, err := tank.DampOf(in.Coldest.Air, s.Coldest)
	if err != nil {
		return envelope.Answer[heaterSizingResponse]{}, err
	}
	reached, err := tank.Films(in.System, r.SetpointC, in.Coldest)
	if err != nil {
		return envelope.Answer[heaterSizingResponse]{}, err
	}
	return envelope.Answer[heaterSizingResponse]{
		Result:      newHeaterSizingResponse(s, b, backstop.ThermostatC, in.System.VolumeL),
		Assumptions: append(assumed, more...),
		Warnings:    append(tank.BalanceWarnings(s.Coldest, damp), sizingWarnings(s, b)...),
		Reached:     reached, Note: tank.Note,
		Cautions: []envelope.Caution{envelope.MainsNearWater, envelope.HotGlass}, Sources: tank.Sources,
		Summary: func(u words.Units) string { return sizingSummary(r, s, in, u) },
	}, nil
}

func sizingWarnings(s heat.SizingResult, b heat.BackstopResult) []envelope.Warning {
	var out []envelope.Warning
	if s.RuleOfThumb != heat.WithinRule {
		out = append(out, envelope.Warning{Code: "rule_of_thumb_disagrees", Message: fmt.Sprintf(
			"The usual rule of thumb is %.1f to %.1f W per litre; the heat balance of this tank says %.2f.",
			heat.RuleOfThumbLowWPerL, heat.RuleOfThumbHighWPerL, s.WattsPerLitre)})
	}
	if s.CoolingAtLimitW > 0 {
		out = append(out, envelope.Warning{Code: "overheats_without_heater", Message: fmt.Sprintf(
			"In the warmest room pumps and lights alone bring the water past the harm limit: about %.0f W of cooling "+
				"are missing.", s.CoolingAtLimitW)})
	}
	if b.Verdict != heat.BackstopFits {
		out = append(out, envelope.Warning{Code: "backstop_does_not_fit", Pointer: "#/thermostat_c",
			Message: map[heat.BackstopVerdict]string{
				heat.BackstopInterferes: "The heater's own thermostat may switch before the control does; set it " +
					"higher.",
				heat.BackstopTooFar: "The heater's own thermostat may open only beyond the harm limit; set it " +
					"lower.",
				heat.BackstopBoth: "Within its tolerance the heater's own thermostat may switch before the control " +
					"or beyond the harm limit; use a better one.",
			}[b.Verdict]})
	}
	return out
}

func sizingSummary(r heaterSizingRequest, s heat.SizingResult, in heat.SizingInput, u words.Units) string {
	var b strings.Builder
	fmt.Fprintf(&b, "Holding %s in a room of %s takes %s of heating, %s with the margin; in the usual room it runs "+
		"%.0f %% of the time and uses %.1f kWh a day.",
		words.Text(r.SetpointC, "degC", u), words.Text(float64(in.Coldest.Air.Temp), "degC", u),
		words.Text(s.NeededW, "W", u), words.Text(s.RecommendedW, "W", u), 100*s.UsualDuty, s.EnergyKWhPerDay)
	for _, w := range s.Windows {
		if w.Exists {
			fmt.Fprintf(&b, " %d heaters of %.0f to %.0f W each fail safe: one stuck on does no harm, one dead is "+
				"made up for.", w.Heaters, math.Ceil(w.PMinW), math.Floor(w.EquilibriumMaxW))
			if w.Heaters == 1 {
				return strings.Replace(b.String(), "1 heaters of", "One heater of", 1)
			}
			return b.String()
		}
	}
	for _, w := range s.Windows {
		if w.ExistsByReaction {
			fmt.Fprintf(&b, " No split is harmless for good, but with %d heaters of %.0f to %.0f W each a stuck one "+
				"leaves %.0f h to react.",
				w.Heaters, math.Ceil(w.PMinW), math.Floor(w.ReactionMaxW), r.ResponseH)
			return b.String()
		}
	}
	b.WriteString(" No split into one to four heaters is harmless when one sticks on: use a backstop in series and " +
		"an " +
		"alarm.")
	return b.String()
}
