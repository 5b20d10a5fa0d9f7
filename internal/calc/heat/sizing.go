package heat

import (
	"math"

	"saltwright/internal/calc/quantity"
)

// Rule of thumb that is compared with and never computed from, in W/L. Source: [CommonPractice].
const (
	RuleOfThumbLowWPerL  = 0.7
	RuleOfThumbHighWPerL = 1.3
)

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
	// to hold the setpoint in the coldest room, always-on gains only, high evaporation; at least 0
	NeededW         float64
	RecommendedW    float64 // NeededW with the margin
	UsualW          float64 // average to hold the setpoint in the usual room, expected evaporation; at least 0
	UsualDuty       float64 // UsualW over RecommendedW, 0 … 1 (0 when no heater is needed)
	EnergyKWhPerDay float64 // in the usual room
	WarmUpH         float64 // from WarmUpFromC to the setpoint in the usual room with RecommendedW
	WarmsUp         bool    // false: it never gets there
	// to hold the setpoint in the warmest room, all gains on, low evaporation; 0 when it cools itself
	CoolingW        float64
	CoolingAtLimitW float64 // to hold the high harm limit there; above 0 the room alone does harm
	// where a stuck heater starts from in the warmest room: the setpoint, or higher when the room carries the water
	// there
	WarmestStartC float64
	Windows       []Window
	Choice        *Choice // to buy; nil where no stock size is safe, or none is needed
	WattsPerLitre float64
	RuleOfThumb   RuleOfThumb
	Coldest       Flows         // at the setpoint, continuous gains
	Usual         BalanceResult // at the setpoint, average gains
	Warmest       Flows         // at the setpoint, all gains
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
	if r.Usual, err = Balance(BalanceInput{
		System: in.System, Water: setpoint, Room: in.Usual, Gains: GainsAverage,
	}); err != nil {
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
	r.Choice = choose(r.Windows)
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
	a := Approach{
		FromC: in.WarmUpFromC, EquilibriumC: in.WarmUpFromC + (r.RecommendedW+r.Usual.GainsW-start)/slope, TauH: tau,
	}
	r.WarmUpH, r.WarmsUp = a.timeTo(in.SetpointC)
	return nil
}
