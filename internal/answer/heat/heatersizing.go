package heat

import (
	"context"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/tank"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

type heaterSizingRequest struct {
	tank.Request
	RoomC                float64   `json:"room_c"`
	ColdestC             *float64  `json:"coldest_c,omitempty"`
	WarmestC             *float64  `json:"warmest_c,omitempty"`
	SetpointC            float64   `json:"setpoint_c"`
	HarmLowC             float64   `json:"harm_low_c"`
	HarmHighC            float64   `json:"harm_high_c"`
	MarginPercent        float64   `json:"margin_percent"`
	ResponseH            float64   `json:"response_h"`
	WarmUpFromC          float64   `json:"warm_up_from_c"`
	HysteresisK          float64   `json:"hysteresis_k"`
	ThermostatC          *float64  `json:"thermostat_c,omitempty"`
	ThermostatToleranceK float64   `json:"thermostat_tolerance_k"`
	StockSizesW          []float64 `json:"stock_sizes_w"`
}

type heaterWindow struct {
	Heaters           int       `json:"heaters"`
	OneDeadHolds      bool      `json:"one_dead_holds"`
	MinW              float64   `json:"min_w"`
	MaxW              float64   `json:"max_w"`
	MaxByReactionW    float64   `json:"max_by_reaction_w"`
	Exists            bool      `json:"exists"`
	ExistsByReaction  bool      `json:"exists_by_reaction"`
	SuggestedW        *float64  `json:"suggested_w,omitempty"`
	ReactionSuggested *float64  `json:"suggested_by_reaction_w,omitempty"`
	Reason            text.Text `json:"reason"`
	Remedy            text.Text `json:"remedy"`
}

type heaterChoice struct {
	Heaters    int     `json:"heaters"`
	EachW      float64 `json:"each_w"`
	ByReaction bool    `json:"by_reaction"`
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
	Choice        *heaterChoice       `json:"choice,omitempty"`
	Windows       []heaterWindow      `json:"windows"`
	Backstop      backstopResponse    `json:"backstop"`
	RuleOfThumb   ruleOfThumbResponse `json:"rule_of_thumb"`
}

func (r heaterSizingRequest) input() (heat.SizingInput, []envelope.Assumption, error) {
	in := heat.SizingInput{
		SetpointC: r.SetpointC, HarmLowC: r.HarmLowC, HarmHighC: r.HarmHighC, MarginPercent: r.MarginPercent,
		ResponseH: r.ResponseH, WarmUpFromC: r.WarmUpFromC, StockSizesW: r.StockSizesW,
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
		Source: "CommonPractice", Note: text.Of("assumed_backstop", text.Params{"difference": heat.UsualBackstopK}),
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
	if s.Choice != nil {
		out.Choice = &heaterChoice{s.Choice.Heaters, s.Choice.EachW, s.Choice.ByReaction}
	}
	for _, w := range s.Windows {
		out.Windows = append(out.Windows, heaterWindow{
			Heaters: w.Heaters, OneDeadHolds: w.OneDeadHolds, MinW: w.PMinW, MaxW: w.EquilibriumMaxW,
			MaxByReactionW: w.ReactionMaxW,
			Exists:         w.Exists, ExistsByReaction: w.ExistsByReaction, SuggestedW: unlessNone(w.SuggestedW),
			ReactionSuggested: unlessNone(w.ReactionSuggested),
			Reason:            w.Reason, Remedy: w.Remedy,
		})
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

// SizeHeater is the heating a tank needs and the heaters to buy for it.
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
	headline := sizingHeadline(r, s, in)
	return envelope.Answer[heaterSizingResponse]{
		Result:   newHeaterSizingResponse(s, b, backstop.ThermostatC, in.System.VolumeL),
		Headline: headline,
		Charts: func(u catalogue.Reader) ([]chart.Chart, error) {
			return []chart.Chart{rangesChart(u, headline, s, r.ResponseH)}, nil
		},
		Details: text.Sentences(
			text.Of("heater_needs", text.Params{"setpoint": r.SetpointC, "room": float64(in.Coldest.Air.Temp),
				"needed": s.NeededW, "margin": s.RecommendedW}),
			text.Of("heater_usual_use", text.Params{"duty": s.UsualDuty, "energy": s.EnergyKWhPerDay})),
		KeyFigures: sizingFigures(s), Actions: sizingActions(r, s, b),
		Assumptions: append(assumed, more...),
		Warnings:    append(tank.BalanceWarnings(s.Coldest, damp), sizingWarnings(r, s, b)...),
		Reached:     reached, Note: tank.Note,
		Cautions: []envelope.Caution{envelope.MainsNearWater, envelope.HotGlass}, Sources: tank.Sources,
	}, nil
}

func sizingHeadline(r heaterSizingRequest, s heat.SizingResult, in heat.SizingInput) text.Text {
	c := s.Choice
	switch {
	case s.NeededW == 0:
		return text.Of("heater_advice_not_needed",
			text.Params{"setpoint": r.SetpointC, "room": float64(in.Coldest.Air.Temp)})
	case c == nil:
		return text.Of("heater_advice_none", text.Params{"high": r.HarmHighC})
	case c.ByReaction:
		return text.Of("heater_advice_reaction",
			text.Params{"count": c.Heaters, "power": c.EachW, "high": r.HarmHighC, "time": r.ResponseH})
	}
	return text.Of("heater_advice_safe",
		text.Params{"count": c.Heaters, "power": c.EachW, "high": r.HarmHighC, "low": r.HarmLowC})
}

func sizingFigures(s heat.SizingResult) []envelope.KeyFigure {
	out := []envelope.KeyFigure{
		{Label: text.Of("heater_needed_figure", nil), Value: s.NeededW, Quantity: "power"},
		{Label: text.Of("heater_recommended_figure", nil), Value: s.RecommendedW, Quantity: "power"},
		{Label: text.Of("heater_usual_duty_figure", nil), Value: s.UsualDuty, Quantity: "share"},
		{Label: text.Of("heater_energy_figure", nil), Value: s.EnergyKWhPerDay, Quantity: "energy_a_day"},
	}
	if s.Choice != nil {
		each := envelope.KeyFigure{Label: text.Of("heater_each_figure", nil), Value: s.Choice.EachW, Quantity: "power"}
		out = append([]envelope.KeyFigure{each}, out...)
	}
	return out
}

func sizingActions(r heaterSizingRequest, s heat.SizingResult, b heat.BackstopResult) []text.Text {
	if s.NeededW == 0 {
		return nil
	}
	var out []text.Text
	if c := s.Choice; c != nil {
		out = append(out, text.Of("heater_buy", text.Params{"count": c.Heaters, "power": c.EachW}))
		if c.Heaters > 1 {
			out = append(out, text.Of("heater_separate_outlets", nil))
		}
	}
	if b.BandExists {
		out = append(out, text.Of("heater_set_backstop",
			text.Params{"setpoint": r.SetpointC, "backstop": b.RecommendedC}))
	}
	if s.Choice == nil || s.Choice.ByReaction {
		out = append(out, text.Of("heater_add_backstop_and_alarm", text.Params{"high": r.HarmHighC}),
			text.Of("heater_look_every", text.Params{"time": r.ResponseH}))
	}
	return out
}

func sizingWarnings(r heaterSizingRequest, s heat.SizingResult, b heat.BackstopResult) []envelope.Warning {
	var out []envelope.Warning
	if s.RuleOfThumb != heat.WithinRule {
		out = append(out, envelope.Warn(text.Of("rule_of_thumb_disagrees", text.Params{
			"low": heat.RuleOfThumbLowWPerL, "high": heat.RuleOfThumbHighWPerL, "balance": s.WattsPerLitre}), ""))
	}
	if s.CoolingAtLimitW > 0 {
		out = append(out, envelope.Warn(text.Of("overheats_without_heater",
			text.Params{"power": s.CoolingAtLimitW, "high": r.HarmHighC}), ""))
	}
	switch high := (text.Params{"high": r.HarmHighC}); b.Verdict {
	case heat.BackstopInterferes:
		out = append(out, envelope.Warn(text.Of("backstop_switches_before_control", nil), "#/thermostat_c"))
	case heat.BackstopTooFar:
		out = append(out, envelope.Warn(text.Of("backstop_opens_beyond_harm", high), "#/thermostat_c"))
	case heat.BackstopBoth:
		out = append(out, envelope.Warn(text.Of("backstop_too_inaccurate", high), "#/thermostat_c"))
	}
	return out
}
