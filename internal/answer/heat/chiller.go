package heat

import (
	"context"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/tank"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

type chillerSizingRequest struct {
	tank.Request
	RoomC         float64   `json:"room_c"`
	ColdestC      *float64  `json:"coldest_c,omitempty"`
	WarmestC      *float64  `json:"warmest_c,omitempty"`
	SetpointC     float64   `json:"setpoint_c"`
	HarmLowC      float64   `json:"harm_low_c"`
	HarmHighC     float64   `json:"harm_high_c"`
	MarginPercent float64   `json:"margin_percent"`
	COP           float64   `json:"cop"`
	PullDownK     float64   `json:"pull_down_k"`
	StockSizesW   []float64 `json:"stock_sizes_w"`
}

type coolingFailure struct {
	Settles      bool     `json:"settles"`
	EquilibriumC *float64 `json:"equilibrium_c,omitempty"`
	HarmH        *float64 `json:"harm_h,omitempty"`
}

type chillerSizingResponse struct {
	Needed       bool           `json:"needed"`
	NeededW      float64        `json:"needed_w"`
	RecommendedW float64        `json:"recommended_w"`
	RecommBTUH   float64        `json:"recommended_btu_h"`
	ChosenW      *float64       `json:"chosen_w,omitempty"`
	MeanW        float64        `json:"mean_w"`
	RunShare     float64        `json:"run_share"`
	ElectricW    float64        `json:"electric_w"`
	EnergyKWhD   float64        `json:"energy_kwh_d"`
	RejectedW    float64        `json:"rejected_w"`
	PullsDown    bool           `json:"pulls_down"`
	PullDownH    *float64       `json:"pull_down_h,omitempty"`
	Dead         coolingFailure `json:"dead"`
	StuckOn      coolingFailure `json:"stuck_on"`
	VolumeL      float64        `json:"volume_l"`
	DewPointC    *float64       `json:"dew_point_c,omitempty"`
	Condensing   bool           `json:"condensing"`
	CondensingW  float64        `json:"condensing_w"`
}

func (r chillerSizingRequest) input() (in heat.ChillerInput, assumed []envelope.Assumption, err error) {
	in = heat.ChillerInput{
		SetpointC: r.SetpointC, HarmLowC: r.HarmLowC, HarmHighC: r.HarmHighC, MarginPercent: r.MarginPercent,
		COP: r.COP, PullDownK: r.PullDownK, StockSizesW: r.StockSizesW,
	}
	if in.System, err = r.System(); err != nil {
		return in, nil, err
	}
	in.Coldest, in.Usual, in.Warmest, assumed, err = r.Rooms(r.RoomC, r.ColdestC, r.WarmestC)
	return in, assumed, err
}

func newCoolingFailure(l heat.Left) coolingFailure {
	out := coolingFailure{Settles: l.Settles}
	if l.Settles {
		out.EquilibriumC = &l.EquilibriumC
	}
	if l.Harms {
		out.HarmH = &l.HarmH
	}
	return out
}

func newChillerSizingResponse(c heat.ChillerResult, volumeL float64, damp tank.Damp) chillerSizingResponse {
	out := chillerSizingResponse{
		Needed: c.Needed, NeededW: c.NeededW, RecommendedW: c.RecommendedW,
		RecommBTUH: quantity.BTUPerHour(c.RecommendedW), MeanW: c.MeanW, RunShare: c.RunShare,
		ElectricW: c.ElectricW, EnergyKWhD: c.EnergyKWhPerDay, RejectedW: c.RejectedW, PullsDown: c.PullsDown,
		PullDownH: unlessNone(c.PullDownH),
		Dead:      newCoolingFailure(c.Dead), StuckOn: newCoolingFailure(c.StuckOn), VolumeL: volumeL,
		DewPointC: damp.DewPointC, Condensing: c.Warmest.Evaporation.Condensing,
		CondensingW: c.Warmest.Evaporation.Watts(c.Warmest.Evaporation.Condensed.High),
	}
	if c.InStock {
		out.ChosenW = &c.ChosenW
	}
	return out
}

// SizeChiller is the cooling a tank needs in its warmest room.
func SizeChiller(_ context.Context, r chillerSizingRequest) (envelope.Answer[chillerSizingResponse], error) {
	in, assumed, err := r.input()
	if err != nil {
		return envelope.Answer[chillerSizingResponse]{}, err
	}
	c, err := heat.SizeChiller(in)
	if err != nil {
		return envelope.Answer[chillerSizingResponse]{}, err
	}
	damp, err := tank.DampOf(in.Warmest.Air, c.Warmest)
	if err != nil {
		return envelope.Answer[chillerSizingResponse]{}, err
	}
	reached, err := tank.Films(in.System, r.SetpointC, in.Warmest)
	if err != nil {
		return envelope.Answer[chillerSizingResponse]{}, err
	}
	a := envelope.Answer[chillerSizingResponse]{
		Result: newChillerSizingResponse(c, in.System.VolumeL, damp), Assumptions: assumed, Reached: reached,
		Warnings: tank.BalanceWarnings(c.Warmest, damp), Sources: tank.Sources, Note: tank.Note,
	}
	warmest := float64(in.Warmest.Air.Temp)
	if !c.Needed {
		a.Headline = text.Of("chiller_not_needed", text.Params{"room": warmest, "setpoint": r.SetpointC})
		a.KeyFigures = []envelope.KeyFigure{
			{Label: text.Of("chiller_room_figure", nil), Value: warmest, Quantity: "temperature"}}
		if c.Dead.Settles {
			a.KeyFigures = append(a.KeyFigures, envelope.KeyFigure{Label: text.Of("chiller_uncooled_figure", nil),
				Value: c.Dead.EquilibriumC, Quantity: "temperature"})
		}
		return a, nil
	}
	advice := "chiller_advice"
	if c.InStock {
		advice = "chiller_advice_in_stock"
	}
	a.Headline = text.Of(advice,
		text.Params{"power": c.ChosenW, "room": warmest, "setpoint": r.SetpointC})
	a.Details = text.Sentences(chillerDetails(r, c)...)
	a.KeyFigures = []envelope.KeyFigure{
		{Label: text.Of("chiller_recommended_figure", nil), Value: c.ChosenW, Quantity: "power"},
		{Label: text.Of("chiller_label_figure", nil), Value: quantity.BTUPerHour(c.ChosenW),
			Quantity: "cooling_rating"},
		{Label: text.Of("chiller_draws_figure", nil), Value: c.ElectricW, Quantity: "power"},
		{Label: text.Of("chiller_runs_figure", nil), Value: c.RunShare, Quantity: "share"},
		{Label: text.Of("chiller_energy_figure", nil), Value: c.EnergyKWhPerDay, Quantity: "energy_a_day"},
	}
	a.Actions = chillerActions(r, c, warmest)
	a.Warnings = append(a.Warnings,
		envelope.Warn(text.Of("heat_into_the_room", text.Params{"power": c.RejectedW}), ""))
	if c.StuckOn.Harms {
		a.Warnings = append(a.Warnings,
			envelope.Warn(text.Of("stuck_chiller_harms", text.Params{"low": r.HarmLowC}), ""))
	}
	a.Cautions = []envelope.Caution{envelope.MainsNearWater}
	a.Charts = func(u catalogue.Reader) ([]chart.Chart, error) {
		return []chart.Chart{chillerChart(u, a.Headline, c)}, nil
	}
	return a, nil
}

func chillerDetails(r chillerSizingRequest, c heat.ChillerResult) []text.Text {
	out := []text.Text{
		text.Of("chiller_needs", text.Params{"power": c.NeededW, "margin": r.MarginPercent,
			"recommended": c.RecommendedW}),
	}
	if e := c.Warmest.Evaporation; e.Condensing {
		out = append(out, text.Of("chiller_condensation", text.Params{"power": e.Watts(e.Condensed.High)}))
	}
	out = append(out,
		text.Of("chiller_runs", text.Params{"share": c.RunShare, "power": c.ElectricW}))
	if c.Dead.Harms {
		out = append(out, text.Of("chiller_dead_harms", text.Params{"high": r.HarmHighC, "time": c.Dead.HarmH}))
	} else {
		out = append(out, text.Of("chiller_dead_is_safe", text.Params{"high": r.HarmHighC}))
	}
	if c.StuckOn.Harms {
		out = append(out, text.Of("chiller_stuck_harms", text.Params{"low": r.HarmLowC, "time": c.StuckOn.HarmH}))
	}
	return out
}

func chillerActions(r chillerSizingRequest, c heat.ChillerResult, warmest float64) []text.Text {
	out := []text.Text{
		text.Of("chiller_buy", text.Params{"power": c.RecommendedW, "room": warmest}),
		text.Of("chiller_lead_heat_away", text.Params{"power": c.RejectedW}),
	}
	if c.StuckOn.Harms {
		out = append(out, text.Of("chiller_second_control", text.Params{"low": r.HarmLowC}))
	}
	if c.Dead.Harms {
		out = append(out, text.Of("chiller_alarm", text.Params{"high": r.HarmHighC, "time": c.Dead.HarmH}))
	}
	return out
}

type evaporativeCoolingRequest struct {
	tank.Request
	WaterC      float64      `json:"water_c"`
	RoomC       float64      `json:"room_c"`
	FanSpeedMS  float64      `json:"fan_speed_m_s"`
	FanW        float64      `json:"fan_w"`
	RoomM3      float64      `json:"room_m3"`
	AirChangesH float64      `json:"air_changes_h"`
	Gains       heat.GainsOn `json:"gains"`
}

type evaporativeCoolingResponse struct {
	Holds        bool     `json:"holds"`
	Impossible   bool     `json:"impossible"`
	WithoutHolds bool     `json:"holds_without"`
	WithoutC     *float64 `json:"without_c,omitempty"`
	WithC        *float64 `json:"with_c,omitempty"`
	GainedK      float64  `json:"gained_k"`
	CoolingW     float64  `json:"cooling_w"`
	WetBulbC     float64  `json:"wet_bulb_c"`
	DewPointC    *float64 `json:"room_dew_point_c,omitempty"`
	RemainingW   float64  `json:"remaining_w"`
	SpeedNeeded  *float64 `json:"speed_needed_m_s,omitempty"`
	ExtraLD      float64  `json:"extra_l_d"`
	AddedKgH     float64  `json:"added_vapour_kg_h"`
	RHPercent    float64  `json:"room_rh_percent"`
	Saturates    bool     `json:"room_saturates"`
	EnergyKWhD   float64  `json:"energy_kwh_d"`
}

func (r evaporativeCoolingRequest) input() (heat.CoolingFanInput, error) {
	system, err := r.System()
	if err != nil {
		return heat.CoolingFanInput{}, err
	}
	room, err := r.Surroundings(r.RoomC)
	return heat.CoolingFanInput{
		Fan: heat.FanInput{System: system, Water: quantity.Celsius(r.WaterC), Room: room, Gains: r.Gains,
			FanSpeedMS: r.FanSpeedMS},
		TargetC: r.WaterC, RoomM3: r.RoomM3, AirChangesH: r.AirChangesH, FanW: r.FanW,
	}, err
}

func newEvaporativeCoolingResponse(f heat.CoolingFanResult, dew *float64) evaporativeCoolingResponse {
	out := evaporativeCoolingResponse{
		Holds: f.Holds, Impossible: f.Impossible, WithoutHolds: f.WithoutHolds, GainedK: f.GainedK,
		CoolingW: f.Fan.CoolingW, WetBulbC: f.Fan.WetBulbC, RemainingW: f.RemainingW,
		ExtraLD: f.Fan.ExtraLitresPerDay, AddedKgH: f.AddedKgH, RHPercent: 100 * f.RHAfter, Saturates: f.Saturates,
		EnergyKWhD: f.EnergyKWhD, DewPointC: dew,
	}
	if f.Fan.WithoutOK {
		out.WithoutC = &f.Fan.WithoutC
	}
	if f.Fan.WithOK {
		out.WithC = &f.Fan.WithC
	}
	if f.SpeedNeeded > 0 {
		out.SpeedNeeded = &f.SpeedNeeded
	}
	return out
}

// CoolByFan is what a fan over the water brings, and what it costs.
func CoolByFan(_ context.Context, r evaporativeCoolingRequest) (envelope.Answer[evaporativeCoolingResponse], error) {
	in, err := r.input()
	if err != nil {
		return envelope.Answer[evaporativeCoolingResponse]{}, err
	}
	f, err := heat.CoolingFan(in)
	if err != nil {
		return envelope.Answer[evaporativeCoolingResponse]{}, err
	}
	moist := in.Fan.Room.Air
	moist.RelativeHumidity = f.RHAfter
	dew, err := tank.DewPoint(moist)
	if err != nil {
		return envelope.Answer[evaporativeCoolingResponse]{}, err
	}
	reached, err := tank.Films(in.Fan.System, r.WaterC, in.Fan.Room)
	if err != nil {
		return envelope.Answer[evaporativeCoolingResponse]{}, err
	}
	a := envelope.Answer[evaporativeCoolingResponse]{
		Result: newEvaporativeCoolingResponse(f, dew), Reached: reached, Note: tank.Note, Sources: tank.Sources,
		Headline: fanHeadline(r, f), Details: text.Sentences(fanDetails(r, f)...), KeyFigures: fanFigures(f),
		Actions: fanActions(f),
	}
	if !f.WithoutHolds {
		a.Cautions = []envelope.Caution{envelope.MainsNearWater}
	}
	if f.Saturates || f.RHAfter > heat.DampRH {
		a.Warnings = append(a.Warnings, envelope.Warn(
			text.Of("damp_room", text.Params{"humidity": quantity.PerCent * f.RHAfter}), "#/air_changes_h"))
	}
	if f.Impossible {
		a.Warnings = append(a.Warnings, envelope.Warn(
			text.Of("below_wet_bulb", text.Params{"wet_bulb": f.Fan.WetBulbC}), "#/water_c"))
	}
	return a, nil
}

func fanHeadline(r evaporativeCoolingRequest, f heat.CoolingFanResult) text.Text {
	water := text.Params{"water": r.WaterC}
	switch {
	case f.WithoutHolds:
		return text.Of("fan_not_needed", water)
	case f.Holds:
		return text.Of("fan_holds", water)
	case f.Impossible:
		return text.Of("fan_cannot_hold", text.Params{"water": r.WaterC, "wet_bulb": f.Fan.WetBulbC})
	}
	return text.Of("fan_is_too_weak", text.Params{"water": r.WaterC, "power": f.RemainingW})
}

func fanDetails(r evaporativeCoolingRequest, f heat.CoolingFanResult) []text.Text {
	var out []text.Text
	if f.GainedK > 0 {
		out = append(out, text.Of("fan_brings", text.Params{"without": f.Fan.WithoutC, "with": f.Fan.WithC}))
	}
	if f.Fan.ExtraLitresPerDay > 0 {
		out = append(out, text.Of("fan_costs_water", text.Params{"extra": f.Fan.ExtraLitresPerDay}))
	}
	return append(out, text.Of("fan_moistens",
		text.Params{"before": r.RHPercent, "after": quantity.PerCent * f.RHAfter}))
}

func fanFigures(f heat.CoolingFanResult) []envelope.KeyFigure {
	var out []envelope.KeyFigure
	if f.Fan.WithOK {
		out = append(out, envelope.KeyFigure{Label: text.Of("fan_with_figure", nil), Value: f.Fan.WithC,
			Quantity: "temperature"})
	}
	if f.Fan.WithoutOK {
		out = append(out, envelope.KeyFigure{Label: text.Of("fan_without_figure", nil), Value: f.Fan.WithoutC,
			Quantity: "temperature"})
	}
	return append(out,
		envelope.KeyFigure{Label: text.Of("fan_water_figure", nil), Value: f.Fan.ExtraLitresPerDay,
			Quantity: "volume_a_day"},
		envelope.KeyFigure{Label: text.Of("fan_humidity_figure", nil), Value: quantity.PerCent * f.RHAfter,
			Quantity: "percent"},
		envelope.KeyFigure{Label: text.Of("fan_wet_bulb_figure", nil), Value: f.Fan.WetBulbC,
			Quantity: "temperature"})
}

func fanActions(f heat.CoolingFanResult) []text.Text {
	var out []text.Text
	switch {
	case f.WithoutHolds:
		return nil
	case f.Impossible:
		return []text.Text{text.Of("fan_use_chiller", nil)}
	case f.Holds:
		out = append(out, text.Of("fan_watch_it", nil))
	case f.SpeedNeeded > 0:
		out = append(out, text.Of("fan_move_more_air", text.Params{"speed": f.SpeedNeeded}))
	default:
		out = append(out, text.Of("fan_remove_the_rest", text.Params{"power": f.RemainingW}))
	}
	if f.Fan.ExtraLitresPerDay > 0 {
		out = append(out, text.Of("fan_plan_top_off", text.Params{"extra": f.Fan.ExtraLitresPerDay}))
	}
	return out
}
