package power

import (
	"context"
	"slices"
	"strings"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/tank"
	"saltwright/internal/calc"
	"saltwright/internal/calc/power"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

type outageEnduranceRequest struct {
	tank.Request
	WaterC        float64  `json:"water_c"`
	RoomC         float64  `json:"room_c"`
	ColdestC      *float64 `json:"coldest_c,omitempty"`
	WarmestC      *float64 `json:"warmest_c,omitempty"`
	ComfortLowC   float64  `json:"comfort_low_c"`
	ComfortHighC  float64  `json:"comfort_high_c"`
	HarmLowC      float64  `json:"harm_low_c"`
	HarmHighC     float64  `json:"harm_high_c"`
	DurationH     float64  `json:"duration_h"`
	FishG         *float64 `json:"fish_g,omitempty"`
	FishDemand    float64  `json:"fish_demand_mg_kg_h"`
	BaseDemand    float64  `json:"base_demand_mg_l_h"`
	DemandMgLH    *float64 `json:"demand_mg_l_h,omitempty"`
	StirredCMH    float64  `json:"stirred_cm_h"`
	StillCMH      float64  `json:"still_cm_h"`
	ComfortOxygen float64  `json:"comfort_oxygen_mg_l"`
	HarmOxygen    float64  `json:"harm_oxygen_mg_l"`
	BatteryWh     float64  `json:"battery_wh"`
	BatteryUsable float64  `json:"battery_usable_share"`
	BatteryEff    float64  `json:"battery_efficiency"`
	BatteryLoadW  float64  `json:"battery_load_w"`
	BatteryOnPct  float64  `json:"battery_on_percent"`
}

type outagePath struct {
	Room         string   `json:"room"`
	Vessel       string   `json:"vessel"`
	TauH         float64  `json:"time_constant_h"`
	EquilibriumC float64  `json:"equilibrium_c"`
	EndC         float64  `json:"end_c"`
	LowComfortH  *float64 `json:"low_comfort_h,omitempty"`
	LowHarmH     *float64 `json:"low_harm_h,omitempty"`
	HighComfortH *float64 `json:"high_comfort_h,omitempty"`
	HighHarmH    *float64 `json:"high_harm_h,omitempty"`
	CoveredLowH  *float64 `json:"covered_low_harm_h,omitempty"`
}

type outageOxygen struct {
	Case     string   `json:"case"`
	StartMgL float64  `json:"start_mg_l"`
	EndMgL   float64  `json:"end_mg_l"`
	StillMgL float64  `json:"tends_to_mg_l"`
	ComfortH *float64 `json:"comfort_h,omitempty"`
	HarmH    *float64 `json:"harm_h,omitempty"`
}

type outageMoment struct {
	Hour           float64 `json:"hour"`
	DisplayC       float64 `json:"display_c"`
	SumpC          float64 `json:"sump_c"`
	OxygenMgL      float64 `json:"oxygen_mg_l"`
	WorstOxygenMgL float64 `json:"worst_oxygen_mg_l"`
	BatteryOn      bool    `json:"battery_on"`
}

type outageAction struct {
	Hour    float64   `json:"hour"`
	Code    string    `json:"code"`
	Message text.Text `json:"message"`
}

type outageEnduranceResponse struct {
	FirstHarm     string         `json:"first_harm"`
	FirstHarmH    *float64       `json:"first_harm_h,omitempty"`
	SafeH         float64        `json:"safe_h"`
	SaturationMgL float64        `json:"oxygen_saturation_mg_l"`
	DemandMgLH    float64        `json:"demand_mg_l_h"`
	BatteryH      *float64       `json:"battery_h,omitempty"`
	Oxygen        []outageOxygen `json:"oxygen"`
	Temperature   []outagePath   `json:"temperature"`
	Hours         []outageMoment `json:"hours"`
	Actions       []outageAction `json:"actions"`
}

func (r outageEnduranceRequest) input() (power.OutageInput, []envelope.Assumption, error) {
	in := power.OutageInput{
		WaterC: r.WaterC, ComfortLowC: r.ComfortLowC, ComfortHighC: r.ComfortHighC, HarmLowC: r.HarmLowC,
		HarmHighC: r.HarmHighC, DurationH: r.DurationH,
		Oxygen: power.Oxygen{StirredCMH: r.StirredCMH, StillCMH: r.StillCMH, ComfortMgL: r.ComfortOxygen,
			HarmMgL: r.HarmOxygen},
	}
	var err error
	if in.System, err = r.System(); err != nil {
		return in, nil, err
	}
	if in.System.Sump != nil {
		in.SumpL = in.System.Sump.VolumeL()
	}
	in.DisplayL = in.System.VolumeL - in.SumpL
	coldest, usual, warmest, assumed, err := r.Rooms(r.RoomC, r.ColdestC, r.WarmestC)
	if err != nil {
		return in, nil, err
	}
	in.Rooms = []power.Room{{Name: "usual", Air: usual}, {Name: "coldest", Air: coldest},
		{Name: "warmest", Air: warmest}}
	switch {
	case r.DemandMgLH != nil && r.FishG != nil:
		return in, nil, &calc.ConflictError{Params: []string{"demand_mg_l_h", "fish_g"},
			Reason: text.Of("demand_and_fish_given", nil)}
	case r.DemandMgLH != nil:
		in.Oxygen.DemandMgLH = *r.DemandMgLH
	case r.FishG != nil:
		in.Oxygen.DemandMgLH = power.DemandOfFish(*r.FishG, r.FishDemand, r.BaseDemand, in.DisplayL)
	default:
		in.Oxygen.DemandMgLH = power.UsualDemandMgLH
		assumed = append(assumed, envelope.Assumption{Pointer: "#/demand_mg_l_h", Value: power.UsualDemandMgLH,
			Unit: "mg/(L h)", Why: "common_practice", Source: "CommonPractice",
			Note: text.Of("assumed_mixed_reef_demand", nil)})
	}
	if r.BatteryWh > 0 {
		in.Battery = &power.Battery{CapacityWh: r.BatteryWh, UsableShare: r.BatteryUsable, Efficiency: r.BatteryEff,
			LoadW: r.BatteryLoadW, OnPercent: r.BatteryOnPct}
	}
	return in, assumed, nil
}

func newOutageEnduranceResponse(o power.OutageResult, demand float64) outageEnduranceResponse {
	out := outageEnduranceResponse{
		FirstHarm: "none", SafeH: o.SafeH, SaturationMgL: o.SaturationMgL, DemandMgLH: demand,
		Oxygen: []outageOxygen{}, Temperature: []outagePath{}, Hours: []outageMoment{}, Actions: []outageAction{},
	}
	if o.FirstHarm != "" {
		out.FirstHarm, out.FirstHarmH = o.FirstHarm, &o.FirstHarmH
	}
	if o.BatteryH > 0 {
		out.BatteryH = &o.BatteryH
	}
	for _, x := range o.Oxygen {
		out.Oxygen = append(out.Oxygen, outageOxygen(x))
	}
	for _, p := range o.Paths {
		out.Temperature = append(out.Temperature, outagePath(p))
	}
	for _, m := range o.Moments {
		out.Hours = append(out.Hours, outageMoment(m))
	}
	for _, x := range o.Actions {
		out.Actions = append(out.Actions, outageAction{Hour: x.Hour, Code: x.Said.Code, Message: x.Said})
	}
	return out
}

// EndureOutage is how long a tank endures without mains.
func EndureOutage(_ context.Context, r outageEnduranceRequest) (envelope.Answer[outageEnduranceResponse], error) {
	in, assumed, err := r.input()
	if err != nil {
		return envelope.Answer[outageEnduranceResponse]{}, err
	}
	o, err := power.Endure(in)
	if err != nil {
		return envelope.Answer[outageEnduranceResponse]{}, err
	}
	reached, err := tank.Films(in.System, r.WaterC, in.Rooms[0].Air)
	if err != nil {
		return envelope.Answer[outageEnduranceResponse]{}, err
	}
	a := envelope.Answer[outageEnduranceResponse]{
		Charts: func(u catalogue.Reader) ([]chart.Chart, error) { return outageCharts(u, in, o), nil },
		Result: newOutageEnduranceResponse(o, in.Oxygen.DemandMgLH), Assumptions: assumed,
		Headline: outageHeadline(in, o), Details: text.Sentences(outageDetails(in, o)...),
		KeyFigures: outageFigures(o), Actions: outageActions(o),
		Cautions: []envelope.Caution{envelope.MainsNearWater, envelope.GeneratorOutdoors},
		Sources:  tank.Sources, Note: tank.Note, Reached: reached,
		Warnings: []envelope.Warning{envelope.Warn(text.Of("oxygen_is_a_guess",
			text.Params{"exchange": power.ExchangeSpread}), "")},
	}
	if slices.ContainsFunc(o.Actions, func(x power.Action) bool { return x.Said.Code == "warm" }) {
		a.Cautions = append(a.Cautions, envelope.WarmBottles)
	}
	a.Cautions = append(a.Cautions, envelope.HotGlass)
	return a, nil
}

func outageHeadline(in power.OutageInput, o power.OutageResult) text.Text {
	after := text.Params{"time": o.FirstHarmH}
	switch o.FirstHarm {
	case "oxygen":
		return text.Of("outage_oxygen_first", after)
	case "cold":
		return text.Of("outage_cold_first", after)
	case "heat":
		return text.Of("outage_heat_first", after)
	}
	return text.Of("outage_harmless", text.Params{"time": in.DurationH})
}

func outageDetails(in power.OutageInput, o power.OutageResult) []text.Text {
	var out []text.Text
	if o.FirstHarm == "oxygen" {
		if expected := o.Oxygen[1].HarmH; expected != nil {
			out = append(out, text.Of("outage_oxygen_expected", text.Params{"time": *expected}))
		} else {
			out = append(out, text.Of("outage_oxygen_expected_never", nil))
		}
	}
	out = append(out, text.Of("outage_temperature",
		text.Params{"from": in.WaterC, "to": o.Paths[0].EndC, "time": in.DurationH}))
	if o.BatteryH > 0 {
		out = append(out, text.Of("outage_battery", text.Params{"time": o.BatteryH}))
	}
	return out
}

func outageFigures(o power.OutageResult) []envelope.KeyFigure {
	out := []envelope.KeyFigure{
		{Label: text.Of("outage_safe_figure", nil), Value: o.SafeH, Quantity: "duration"},
		{Label: text.Of("outage_end_figure", nil), Value: o.Paths[0].EndC, Quantity: "temperature"},
		{Label: text.Of("outage_oxygen_figure", nil), Value: o.Oxygen[2].EndMgL, Quantity: "oxygen"},
	}
	if o.BatteryH > 0 {
		out = append(out, envelope.KeyFigure{Label: text.Of("outage_battery_figure", nil), Value: o.BatteryH,
			Quantity: "duration"})
	}
	return out
}

// outageActions says what to do and when; what harms and when stands in the result.
func outageActions(o power.OutageResult) []text.Text {
	var out []text.Text
	for _, x := range o.Actions {
		switch {
		case strings.HasSuffix(x.Said.Code, "_harm"):
		case x.Hour == 0:
			out = append(out, x.Said)
		default:
			out = append(out, text.Of("outage_action_after", text.Params{"time": x.Hour, "action": x.Said}))
		}
	}
	return out
}
