package heat

import (
	"fmt"
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
)

// Rule of thumb that is compared with and never computed from, in W/L. Source: [CommonPractice].
const (
	RuleOfThumbLowWPerL  = 0.7
	RuleOfThumbHighWPerL = 1.3
)

// SizingInput is a system with the rooms and limits its heaters have to cope with.
type SizingInput struct {
	System        System
	Coldest       Surroundings
	Usual         Surroundings
	Warmest       Surroundings
	SetpointC     float64 // strictly between the harm limits
	HarmLowC      float64 // 0 … 40 °C
	HarmHighC     float64 // 0 … 40 °C
	MarginPercent float64 // on the power at the coldest room, 0 … 300 %
	ResponseH     float64 // from the start of a fault until somebody acts, 0.01 … 10000 h
	WarmUpFromC   float64 // temperature of fresh fill, 0 °C … setpoint
}

// RuleOfThumb compares a power with the usual 0.7 … 1.3 W per litre.
type RuleOfThumb string

// How the power stands to the rule of thumb.
const (
	BelowRule  RuleOfThumb = "below"
	WithinRule RuleOfThumb = "within"
	AboveRule  RuleOfThumb = "above"
)

// SizingResult is the heating a system needs and how to split it.
type SizingResult struct {
	NeededW         float64 // to hold the setpoint in the coldest room, always-on gains only, high evaporation; at least 0
	RecommendedW    float64 // NeededW with the margin
	UsualW          float64 // average to hold the setpoint in the usual room, expected evaporation; at least 0
	UsualDuty       float64 // UsualW over RecommendedW, 0 … 1 (0 when no heater is needed)
	EnergyKWhPerDay float64 // in the usual room
	WarmUpH         float64 // from WarmUpFromC to the setpoint in the usual room with RecommendedW
	WarmsUp         bool    // false: it never gets there
	CoolingW        float64 // to hold the setpoint in the warmest room, all gains on, low evaporation; 0 when it cools itself
	CoolingAtLimitW float64 // to hold the high harm limit there; above 0 the room alone does harm
	WarmestStartC   float64 // where a stuck heater starts from in the warmest room: the setpoint, or higher when the room carries the water there
	Windows         []Window
	WattsPerLitre   float64
	RuleOfThumb     RuleOfThumb
	Coldest         Flows         // at the setpoint, continuous gains
	Usual           BalanceResult // at the setpoint, average gains
	Warmest         Flows         // at the setpoint, all gains
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
		return &calc.ConflictError{Params: []string{"setpoint_c", "harm_low_c", "harm_high_c"}, Reason: "the setpoint must lie between the low and the high harm limit"}
	}
	if in.WarmUpFromC > in.SetpointC {
		return &calc.ConflictError{Params: []string{"warm_up_from_c", "setpoint_c"}, Reason: "warming up must start at or below the setpoint"}
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
		return &calc.ConflictError{Params: []string{"coldest_c", "room_c", "warmest_c"}, Reason: "the coldest room must not be warmer than the usual one, nor the usual one than the warmest"}
	}
	return nil
}

// SizeHeater returns the heating a system needs, what it costs, and the powers
// into which it can be split so that one stuck and one dead heater both do no harm.
//
//	needed      = loss(setpoint, coldest room) - continuous gains, at least 0
//	recommended = (1 + margin) · needed
//	window for n heaters of P each:
//	  P >= recommended / n
//	  (n - 1) · P >= loss(low harm, coldest) - continuous gains        one dead
//	  P <= loss(high harm, warmest) - all gains                        one stuck, for ever
//	  P <= loss(start) - gains + U (high harm - start) / (1 - exp(-response/tau))   one stuck, until somebody acts
//
//	U    loss's chord slope from the start to the harm limit, latent part included  [W/K]
//	tau  heat capacity of the water / U                                              [h]
//
// The cold side takes the high evaporation and gains that run all day, the warm
// side the low evaporation and every gain at once: both on the safe side.
// Accuracy: as Balance.
// Errors: *calc.RangeError; *calc.ConflictError when setpoint and limits or the rooms are out of order.
// Source: [Derived]; the rule of thumb is [CommonPractice].
func SizeHeater(in SizingInput) (SizingResult, error) {
	var r SizingResult
	if err := in.check(); err != nil {
		return r, err
	}
	setpoint := quantity.Celsius(in.SetpointC)
	var err error
	if r.Usual, err = Balance(BalanceInput{System: in.System, Water: setpoint, Room: in.Usual, Gains: GainsAverage}); err != nil {
		return SizingResult{}, err
	}
	if r.Coldest, err = in.System.flows(setpoint, in.Coldest, GainsContinuous); err != nil {
		return SizingResult{}, err
	}
	if r.Warmest, err = in.System.flows(setpoint, in.Warmest, GainsAll); err != nil {
		return SizingResult{}, err
	}
	r.NeededW = math.Max(0, r.Coldest.NetW.High)
	r.RecommendedW = (1 + in.MarginPercent/quantity.PerCent) * r.NeededW
	r.UsualW = math.Max(0, r.Usual.NetW.Expected)
	r.EnergyKWhPerDay = r.UsualW * quantity.HoursPerDay / quantity.WattsPerKilowatt
	if r.RecommendedW > 0 {
		r.UsualDuty = math.Min(1, r.UsualW/r.RecommendedW)
	}
	r.CoolingW = math.Max(0, -r.Warmest.NetW.Low)
	r.WattsPerLitre = r.RecommendedW / in.System.VolumeL
	switch {
	case r.WattsPerLitre < RuleOfThumbLowWPerL:
		r.RuleOfThumb = BelowRule
	case r.WattsPerLitre > RuleOfThumbHighWPerL:
		r.RuleOfThumb = AboveRule
	default:
		r.RuleOfThumb = WithinRule
	}
	if err := in.warmUp(&r); err != nil {
		return SizingResult{}, err
	}
	cautious, expected, err := in.bounds(r.Warmest.NetW.Low)
	if err != nil {
		return SizingResult{}, err
	}
	r.WarmestStartC = cautious.startC
	r.CoolingAtLimitW = math.Max(0, -cautious.equilibriumMaxW)
	for n := 1; n <= maxHeaters; n++ {
		r.Windows = append(r.Windows, in.window(n, r.RecommendedW, cautious, expected))
	}
	return r, nil
}

// warmUp fills in the time from fresh fill to the setpoint, linear between the two losses.
func (in SizingInput) warmUp(r *SizingResult) error {
	if in.WarmUpFromC == in.SetpointC {
		r.WarmsUp = true
		return nil
	}
	from, err := in.System.losses(in.WarmUpFromC, in.Usual, in.Usual.AirSpeedMS)
	if err != nil {
		return err
	}
	start := from.totalW(EvaporationExpected)
	slope := (r.Usual.DryW + r.Usual.LatentW.Expected - start) / (in.SetpointC - in.WarmUpFromC)
	tau, err := TimeConstantH(r.Usual.HeatCapacityJPerK, slope)
	if err != nil {
		return err
	}
	a := Approach{FromC: in.WarmUpFromC, EquilibriumC: in.WarmUpFromC + (r.RecommendedW+r.Usual.GainsW-start)/slope, TauH: tau}
	r.WarmUpH, r.WarmsUp = a.timeTo(in.SetpointC)
	return nil
}

// ReactionLimitW returns the largest heater that, stuck on, takes at least a given time to a temperature limit.
//
//	P = Q0 - G + U · (TL - T0) / (1 - exp(-t / tau))
//
//	Q0  loss at the start           [W]    G   gains                     [W]
//	U   loss per kelvin, above 0    [W/K]  tau heat capacity / U          [h]
//	TL - T0  rise to the limit, at least 0 [K]
//
// Accuracy: exact for a constant U; as t grows it tends to the power whose equilibrium is the limit.
// Errors: *calc.RangeError. Source: [Derived].
func ReactionLimitW(in ReactionInput) (float64, error) {
	for _, c := range []struct {
		param           string
		value, min, max float64
		unit            string
	}{
		{"loss_w", in.LossW, -1e8, 1e8, "W"}, {"gains_w", in.GainsW, -1e8, 1e8, "W"},
		{"ua_w_per_k", in.UAWPerK, 1e-6, 1e8, "W/K"}, {"rise_k", in.RiseK, 0, 100, "K"},
		{"time_constant_h", in.TauH, 1e-6, 1e9, "h"}, {"response_h", in.ResponseH, 1e-3, 1e9, "h"},
	} {
		if err := calc.CheckRange(c.param, c.value, c.min, c.max, c.unit); err != nil {
			return 0, err
		}
	}
	return in.LossW - in.GainsW + in.UAWPerK*in.RiseK/-math.Expm1(-in.ResponseH/in.TauH), nil
}

// ReactionInput is a stuck heater's start and surroundings.
type ReactionInput struct {
	LossW, GainsW float64 // W at the start
	UAWPerK       float64 // W/K, above 0
	RiseK         float64 // K from start to limit, at least 0
	TauH          float64 // h
	ResponseH     float64 // h
}

// sentenceW formats a power for a sentence.
func sentenceW(w float64) string { return fmt.Sprintf("%.0f W", w) }
