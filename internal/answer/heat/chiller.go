package heat

import (
	"context"
	"fmt"
	"strings"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/tank"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/catalogue"
)

type chillerSizingRequest struct {
	tank.Request
	RoomC         float64  `json:"room_c"`
	ColdestC      *float64 `json:"coldest_c,omitempty"`
	WarmestC      *float64 `json:"warmest_c,omitempty"`
	SetpointC     float64  `json:"setpoint_c"`
	HarmLowC      float64  `json:"harm_low_c"`
	HarmHighC     float64  `json:"harm_high_c"`
	MarginPercent float64  `json:"margin_percent"`
	COP           float64  `json:"cop"`
	PullDownK     float64  `json:"pull_down_k"`
}

type coolingFailure struct {
	Settles      bool     `json:"settles"`
	EquilibriumC float64  `json:"equilibrium_c"`
	HarmH        *float64 `json:"harm_h,omitempty"`
}

type chillerSizingResponse struct {
	Needed       bool           `json:"needed"`
	NeededW      float64        `json:"needed_w"`
	RecommendedW float64        `json:"recommended_w"`
	RecommBTUH   float64        `json:"recommended_btu_h"`
	MeanW        float64        `json:"mean_w"`
	RunShare     float64        `json:"run_share"`
	ElectricW    float64        `json:"electric_w"`
	EnergyKWhD   float64        `json:"energy_kwh_d"`
	RejectedW    float64        `json:"rejected_w"`
	PullsDown    bool           `json:"pulls_down"`
	PullDownH    float64        `json:"pull_down_h"`
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
		COP: r.COP, PullDownK: r.PullDownK,
	}
	if in.System, err = r.System(); err != nil {
		return in, nil, err
	}
	in.Coldest, in.Usual, in.Warmest, assumed, err = r.Rooms(r.RoomC, r.ColdestC, r.WarmestC)
	return in, assumed, err
}

func newCoolingFailure(l heat.Left) coolingFailure {
	out := coolingFailure{Settles: l.Settles, EquilibriumC: l.EquilibriumC}
	if l.Harms {
		out.HarmH = &l.HarmH
	}
	return out
}

func newChillerSizingResponse(c heat.ChillerResult, volumeL float64, damp tank.Damp) chillerSizingResponse {
	return chillerSizingResponse{
		Needed: c.Needed, NeededW: c.NeededW, RecommendedW: c.RecommendedW,
		RecommBTUH: quantity.BTUPerHour(c.RecommendedW), MeanW: c.MeanW, RunShare: c.RunShare,
		ElectricW: c.ElectricW, EnergyKWhD: c.EnergyKWhPerDay, RejectedW: c.RejectedW, PullsDown: c.PullsDown,
		PullDownH: c.PullDownH,
		Dead:      newCoolingFailure(c.Dead), StuckOn: newCoolingFailure(c.StuckOn), VolumeL: volumeL,
		DewPointC: damp.DewPointC, Condensing: c.Warmest.Evaporation.Condensing,
		CondensingW: c.Warmest.Evaporation.Watts(c.Warmest.Evaporation.Condensed.High),
	}
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
	warmest := float64(in.Warmest.Air.Temp)
	a := envelope.Answer[chillerSizingResponse]{
		Result: newChillerSizingResponse(c, in.System.VolumeL, damp), Assumptions: assumed, Reached: reached,
		Warnings: tank.BalanceWarnings(c.Warmest, damp), Cautions: []envelope.Caution{envelope.MainsNearWater},
		Sources: tank.Sources, Note: tank.Note,
		Summary: func(u catalogue.Units) string {
			if !c.Needed {
				return fmt.Sprintf("In a room of %s with everything on, this tank stays at %s without a chiller.",
					catalogue.Number(warmest, "degC", u), catalogue.Number(r.SetpointC, "degC", u))
			}
			var b strings.Builder
			fmt.Fprintf(&b, "Holding %s in a room of %s takes %s of cooling, %s with the margin (%.0f Btu/h); it "+
				"draws %s while it runs and gives %s of heat to where it stands.",
				catalogue.Number(r.SetpointC, "degC", u), catalogue.Number(warmest, "degC", u),
				catalogue.Number(c.NeededW, "W", u),
				catalogue.Number(c.RecommendedW, "W", u), quantity.BTUPerHour(c.RecommendedW),
				catalogue.Number(c.ElectricW, "W", u), catalogue.Number(c.RejectedW, "W", u))
			if c.Warmest.Evaporation.Condensing {
				w := c.Warmest.Evaporation.Watts(c.Warmest.Evaporation.Condensed.High)
				fmt.Fprintf(&b, " Up to %s of that comes from water that condenses on the tank.",
					catalogue.Number(w, "W", u))
			}
			if c.Dead.Harms {
				fmt.Fprintf(&b, " If it dies there, the water passes %s after %.1f h.",
					catalogue.Number(r.HarmHighC, "degC", u), c.Dead.HarmH)
			} else {
				b.WriteString(" If it dies there, the water stays below the harm limit.")
			}
			if c.StuckOn.Harms {
				fmt.Fprintf(&b, " Stuck on in the coldest room it chills the tank past %s in %.1f h.",
					catalogue.Number(r.HarmLowC, "degC", u), c.StuckOn.HarmH)
			}
			return b.String()
		},
	}
	if c.Needed {
		a.Warnings = append(a.Warnings, envelope.Warning{Code: "heat_into_the_room", Message: fmt.Sprintf(
			"While it runs the chiller gives off %.0f W. Inside a small closed room that warms the room, and so the "+
				"tank: lead the air out, or size for a warmer room.", c.RejectedW)})
	}
	if c.StuckOn.Harms && c.Needed {
		a.Warnings = append(a.Warnings, envelope.Warning{Code: "stuck_chiller_harms",
			Message: "A chiller stuck on does harm in the coldest room: have a second control in series cut it off, " +
				"and an alarm at the low limit."})
	}
	return a, nil
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
		Result: newEvaporativeCoolingResponse(f, dew), Reached: reached, Note: tank.Note,
		Cautions: []envelope.Caution{envelope.MainsNearWater},
		Sources:  tank.Sources,
		Summary:  func(u catalogue.Units) string { return fanSummary(r, f, u) },
	}
	if f.Saturates || f.RHAfter > heat.DampRH {
		a.Warnings = append(a.Warnings, envelope.Warning{Code: "damp_room", Pointer: "#/air_changes_h",
			Message: fmt.Sprintf("With the fan the room's humidity settles near %.0f %%: cold walls and windows get "+
				"wet. Air the room more, or cool another way.", 100*f.RHAfter)})
	}
	if f.Impossible {
		a.Warnings = append(a.Warnings, envelope.Warning{Code: "below_wet_bulb", Pointer: "#/water_c",
			Message: fmt.Sprintf("The wet bulb of this room is %.1f °C: no fan cools water below it. Use a chiller "+
				"or "+
				"cool the room.", f.Fan.WetBulbC)})
	}
	return a, nil
}

func fanSummary(r evaporativeCoolingRequest, f heat.CoolingFanResult, u catalogue.Units) string {
	var b strings.Builder
	switch {
	case f.WithoutHolds:
		fmt.Fprintf(&b, "The water stays at or below %s without a fan.", catalogue.Number(r.WaterC, "degC", u))
	case f.Holds:
		fmt.Fprintf(&b, "The fan holds %s.", catalogue.Number(r.WaterC, "degC", u))
	case f.Impossible:
		fmt.Fprintf(&b, "No fan can hold %s here: the air's wet bulb is %s.", catalogue.Number(r.WaterC, "degC", u),
			catalogue.Number(f.Fan.WetBulbC, "degC", u))
	default:
		fmt.Fprintf(&b, "This fan does not hold %s; %s of cooling are missing.",
			catalogue.Number(r.WaterC, "degC", u),
			catalogue.Number(f.RemainingW, "W", u))
		if f.SpeedNeeded > 0 {
			fmt.Fprintf(&b, " Air at %.1f m/s over the water would.", f.SpeedNeeded)
		}
	}
	if f.GainedK > 0 {
		fmt.Fprintf(&b, " It brings %s (from %s to %s) and costs %s of fresh water a day more.",
			catalogue.Number(f.GainedK, "K", u), catalogue.Number(f.Fan.WithoutC, "degC", u),
			catalogue.Number(f.Fan.WithC, "degC", u),
			catalogue.Number(f.Fan.ExtraLitresPerDay, "L", u))
	}
	fmt.Fprintf(&b, " The room's humidity goes from %.0f to %.0f %%.", r.RHPercent, 100*f.RHAfter)
	return b.String()
}
