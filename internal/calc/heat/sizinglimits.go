package heat

import (
	"saltwright/internal/calc"
	"saltwright/internal/calc/text"
)

// SizingInput is a system with the rooms and limits its heaters have to cope with.
type SizingInput struct {
	System        System
	Coldest       Surroundings
	Usual         Surroundings
	Warmest       Surroundings
	SetpointC     float64   // strictly between the harm limits
	HarmLowC      float64   // 0 … 40 °C
	HarmHighC     float64   // 0 … 40 °C
	MarginPercent float64   // on the power at the coldest room, 0 … 300 %
	ResponseH     float64   // from the start of a fault until somebody acts, 0.01 … 10000 h
	WarmUpFromC   float64   // temperature of fresh fill, 0 °C … setpoint
	StockSizesW   []float64 // powers that heaters are sold with, above 0
}

func (in SizingInput) check() error {
	for _, c := range []struct {
		param           string
		value, min, max float64
		unit            string
	}{
		{"setpoint_c", in.SetpointC, minWaterC, maxWaterC, "degC"},
		{"harm_low_c", in.HarmLowC, minWaterC, maxWaterC, "degC"},
		{"harm_high_c", in.HarmHighC, minWaterC, maxWaterC, "degC"},
		{"margin_percent", in.MarginPercent, 0, 300, "%"},
		{"response_h", in.ResponseH, 0.01, 1e4, "h"},
		{"warm_up_from_c", in.WarmUpFromC, minWaterC, maxWaterC, "degC"},
	} {
		if err := calc.CheckRange(c.param, c.value, c.min, c.max, c.unit); err != nil {
			return err
		}
	}
	const apart = 0.01 // K; closer limits leave no room for any control
	if in.SetpointC-in.HarmLowC < apart || in.HarmHighC-in.SetpointC < apart {
		return &calc.ConflictError{
			Params: []string{"setpoint_c", "harm_low_c", "harm_high_c"},
			Reason: text.Of("setpoint_outside_harm_limits",
				text.Params{"setpoint": in.SetpointC, "low": in.HarmLowC, "high": in.HarmHighC}),
		}
	}
	if in.WarmUpFromC > in.SetpointC {
		return &calc.ConflictError{
			Params: []string{"warm_up_from_c", "setpoint_c"}, Reason: text.Of("warm_up_starts_above_setpoint",
				text.Params{"from": in.WarmUpFromC, "setpoint": in.SetpointC}),
		}
	}
	for _, r := range []struct {
		param string
		room  Surroundings
	}{{"coldest_c", in.Coldest}, {"room_c", in.Usual}, {"warmest_c", in.Warmest}} {
		if err := r.room.check(r.param); err != nil {
			return err
		}
	}
	if in.Coldest.Air.Temp > in.Usual.Air.Temp || in.Usual.Air.Temp > in.Warmest.Air.Temp {
		return &calc.ConflictError{
			Params: []string{"coldest_c", "room_c", "warmest_c"},
			Reason: text.Of("rooms_not_in_order", text.Params{"coldest": float64(in.Coldest.Air.Temp),
				"usual": float64(in.Usual.Air.Temp), "warmest": float64(in.Warmest.Air.Temp)}),
		}
	}
	return nil
}
