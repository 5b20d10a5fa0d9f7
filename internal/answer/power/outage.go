package power

import (
	"context"
	"fmt"
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
	Hour    float64 `json:"hour"`
	Code    string  `json:"code"`
	Message string  `json:"message"`
}

type outageEnduranceResponse struct {
	FirstHarm     string         `json:"first_harm"`
	FirstHarmH    *float64       `json:"first_harm_h,omitempty"`
	SafeH         float64        `json:"safe_h"`
	SaturationMgL float64        `json:"oxygen_saturation_mg_l"`
	DemandMgLH    float64        `json:"demand_mg_l_h"`
	BatteryH      float64        `json:"battery_h"`
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
			Reason: text.Plain("give the demand itself or the fish it follows from, not both")}
	case r.DemandMgLH != nil:
		in.Oxygen.DemandMgLH = *r.DemandMgLH
	case r.FishG != nil:
		in.Oxygen.DemandMgLH = power.DemandOfFish(*r.FishG, r.FishDemand, r.BaseDemand, in.DisplayL)
	default:
		in.Oxygen.DemandMgLH = power.UsualDemandMgLH
		assumed = append(assumed, envelope.Assumption{Pointer: "#/demand_mg_l_h", Value: power.UsualDemandMgLH,
			Unit: "mg/(L h)", Why: "common_practice", Source: "CommonPractice",
			Note: text.Plain("a mixed reef; give fish_g or a measurement")})
	}
	if r.BatteryWh > 0 {
		in.Battery = &power.Battery{CapacityWh: r.BatteryWh, UsableShare: r.BatteryUsable, Efficiency: r.BatteryEff,
			LoadW: r.BatteryLoadW, OnPercent: r.BatteryOnPct}
	}
	return in, assumed, nil
}

func newOutageEnduranceResponse(o power.OutageResult, demand float64) outageEnduranceResponse {
	out := outageEnduranceResponse{
		FirstHarm: "none", SafeH: o.SafeH, SaturationMgL: o.SaturationMgL, DemandMgLH: demand, BatteryH: o.BatteryH,
		Oxygen: []outageOxygen{}, Temperature: []outagePath{}, Hours: []outageMoment{}, Actions: []outageAction{},
	}
	if o.FirstHarm != "" {
		out.FirstHarm, out.FirstHarmH = o.FirstHarm, &o.FirstHarmH
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
		out.Actions = append(out.Actions, outageAction{Hour: x.Hour, Code: x.Code, Message: x.Sentence})
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
		Charts: func(u catalogue.Units) ([]chart.Chart, error) { return outageCharts(u, in, o), nil },
		Result: newOutageEnduranceResponse(o, in.Oxygen.DemandMgLH), Assumptions: assumed,
		Cautions: []envelope.Caution{envelope.MainsNearWater, envelope.GeneratorOutdoors, envelope.WarmBottles,
			envelope.HotGlass},
		Sources: tank.Sources, Note: tank.Note, Reached: reached,
		Warnings: []envelope.Warning{{Code: "oxygen_is_a_guess", Message: fmt.Sprintf(
			"Demand and exchange of oxygen are hardly ever measured: the demand may be half or three times as "+
				"much, the exchange lies within a factor of %.1f. Watch the animals, not the clock.",
			power.ExchangeSpread)}},
		Summary: func(u catalogue.Units) string { return outageSummary(r, in, o, u) },
	}
	return a, nil
}

func outageSummary(r outageEnduranceRequest, in power.OutageInput, o power.OutageResult, u catalogue.Units) string {
	var b strings.Builder
	switch o.FirstHarm {
	case "":
		fmt.Fprintf(&b, "Over %.0f h without mains nothing does harm, even in the worst view.", in.DurationH)
	case "oxygen":
		fmt.Fprintf(&b, "Oxygen does harm first: in the worst view after %.1f h", o.FirstHarmH)
		if h := o.Oxygen[1].HarmH; h != nil {
			fmt.Fprintf(&b, ", as expected after %.1f h.", *h)
		} else {
			b.WriteString(", as expected never.")
		}
	case "cold":
		fmt.Fprintf(&b, "Cold does harm first, after %.1f h in the coldest room.", o.FirstHarmH)
	case "heat":
		fmt.Fprintf(&b, "Heat does harm first, after %.1f h in the warmest room.", o.FirstHarmH)
	}
	p := o.Paths[0]
	fmt.Fprintf(&b, " In the usual room the display goes from %s towards %s with a time constant of %.0f h.",
		catalogue.Number(in.WaterC, "degC", u), catalogue.Number(p.EquilibriumC, "degC", u), p.TauH)
	if r.BatteryWh > 0 {
		fmt.Fprintf(&b, " The battery feeds its set for %.1f h.", o.BatteryH)
	}
	return b.String()
}
