package heat

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
)

// ChillerInput is a system whose warmest room a chiller has to cope with.
type ChillerInput struct {
	System        System
	Coldest       Surroundings
	Usual         Surroundings
	Warmest       Surroundings
	SetpointC     float64   // strictly between the harm limits
	HarmLowC      float64   // 0 … 40 °C
	HarmHighC     float64   // 0 … 40 °C
	MarginPercent float64   // on the heat to remove, 0 … 300 %
	COP           float64   // heat removed over electric power, 0.5 … 10
	PullDownK     float64   // above the setpoint from which it has to bring the water down, 0 … 10 K
	StockSizesW   []float64 // cooling powers that can be bought; none: any
}

// Left is what becomes of the water once something has failed.
type Left struct {
	EquilibriumC float64 // where it would end; 0 when Settles is false
	Settles      bool    // within 0 … 40 °C
	HarmH        float64 // hours from the setpoint to the harm limit
	Harms        bool    // whether it gets there
}

// ChillerResult is the cooling a system needs.
type ChillerResult struct {
	Needed       bool    // false: in the warmest room the water stays at or below the setpoint by itself
	NeededW      float64 // to hold the setpoint, all gains on, low evaporation
	RecommendedW float64 // with the margin
	ChosenW      float64 // the smallest stock size that is enough, or else RecommendedW: what the rest is about
	InStock      bool    // whether ChosenW is a stock size
	// over a day of the warmest room, each gain by its share of the day, expected evaporation; at least 0
	MeanW           float64
	RunShare        float64 // MeanW over ChosenW
	ElectricW       float64 // while it runs
	EnergyKWhPerDay float64 // in the warmest room
	RejectedW       float64 // heat into the place where its condenser stands, while it runs
	PullDownH       float64 // from PullDownK above the setpoint, all gains on
	PullsDown       bool
	Dead            Left  // no cooling in the warmest room, all gains on, low evaporation
	StuckOn         Left  // ChosenW for ever in the coldest room, no heater, high evaporation
	Warmest         Flows // at the setpoint, all gains
}

func (in ChillerInput) check() error {
	for _, c := range []struct {
		param           string
		value, min, max float64
		unit            string
	}{
		{"cop", in.COP, 0.5, 10, "1"},
		{"pull_down_k", in.PullDownK, 0, 10, "K"},
	} {
		if err := calc.CheckRange(c.param, c.value, c.min, c.max, c.unit); err != nil {
			return err
		}
	}
	const anyResponseH = 1 // not read here
	return SizingInput{
		Coldest: in.Coldest, Usual: in.Usual, Warmest: in.Warmest, SetpointC: in.SetpointC, HarmLowC: in.HarmLowC,
		HarmHighC:     in.HarmHighC,
		MarginPercent: in.MarginPercent, ResponseH: anyResponseH, WarmUpFromC: in.SetpointC,
	}.check()
}

// SizeChiller returns the heat to remove in the warmest room, what that costs, and what its two failures do.
//
//	needed   = gains - loss(setpoint, warmest room), all gains on, low evaporation, at least 0;
//	           where the room's air condenses on the water, its heat is a gain, by the high estimate
//	chosen   = the smallest stock size of needed (1 + margin) or more, or else that itself
//	electric = chosen / COP,  rejected = chosen (1 + 1/COP)
//	dead, stuck on: exponential approach to the equilibrium, with the loss's chord slope
//
// Accuracy: as Balance; condensation as evaporation with its sign turned round, a factor of 1.4 and in still air less.
// Errors: *calc.RangeError; *calc.ConflictError when setpoint, limits or rooms are out of order.
// Source: [Derived] (conservation of energy), with Balance.
func SizeChiller(in ChillerInput) (ChillerResult, error) {
	var r ChillerResult
	if err := in.check(); err != nil {
		return r, err
	}
	if err := in.System.check(); err != nil {
		return r, err
	}
	setpoint := quantity.Celsius(in.SetpointC)
	var err error
	if r.Warmest, err = in.System.flows(setpoint, in.Warmest, GainsAll); err != nil {
		return r, err
	}
	mean, err := in.System.flows(setpoint, in.Warmest, GainsAverage)
	if err != nil {
		return r, err
	}
	r.NeededW = math.Max(0, -r.Warmest.NetW.Low)
	r.Needed = r.NeededW > 0
	r.RecommendedW = (1 + in.MarginPercent/quantity.PerCent) * r.NeededW
	r.ChosenW, r.InStock = in.chosen(r.RecommendedW)
	if r.Needed {
		r.MeanW = math.Max(0, -mean.NetW.Expected)
		r.RunShare = math.Min(1, r.MeanW/r.ChosenW)
		r.ElectricW = r.ChosenW / in.COP
		r.RejectedW = r.ChosenW + r.ElectricW
		r.EnergyKWhPerDay = r.MeanW / in.COP * quantity.HoursPerDay / quantity.WattsPerKilowatt
		from := math.Min(in.SetpointC+in.PullDownK, maxWaterC)
		down, err := in.System.drift(in.Warmest, GainsAll, -r.ChosenW, EvaporationLow, from, in.SetpointC)
		if err != nil {
			return ChillerResult{}, err
		}
		r.PullDownH, r.PullsDown = down.timeTo(in.SetpointC)
	}
	if r.Dead, err = in.System.left(in.Warmest, GainsAll, 0, EvaporationLow, in.SetpointC, in.HarmHighC); err != nil {
		return ChillerResult{}, err
	}
	r.StuckOn, err = in.System.left(
		in.Coldest, GainsContinuous, -r.ChosenW, EvaporationHigh, in.SetpointC, in.HarmLowC,
	)
	return r, err
}

// chosen returns the smallest stock size that is no less than a power, and that power where there is none.
func (in ChillerInput) chosen(power float64) (watts float64, inStock bool) {
	for _, size := range in.StockSizesW {
		if power > 0 && size >= power && (!inStock || size < watts) {
			watts, inStock = size, true
		}
	}
	if !inStock {
		return power, false
	}
	return watts, true
}

// drift is the approach from one temperature towards the equilibrium, with the chord slope of the losses between two.
func (s System) drift(
	room Surroundings, on GainsOn, heaterW float64, e Estimate, fromC, towardsC float64,
) (Approach, error) {
	gains, err := s.gainsW(on)
	if err != nil {
		return Approach{}, err
	}
	if towardsC == fromC { // the slope at a point
		towardsC = fromC - 0.1
		if fromC < 1 {
			towardsC = fromC + 0.1
		}
	}
	start, err := s.losses(fromC, room, room.AirSpeedMS)
	if err != nil {
		return Approach{}, err
	}
	end, err := s.losses(towardsC, room, room.AirSpeedMS)
	if err != nil {
		return Approach{}, err
	}
	capacity, err := s.heatCapacity(quantity.Celsius(fromC))
	if err != nil {
		return Approach{}, err
	}
	slope := (end.totalW(e) - start.totalW(e)) / (towardsC - fromC)
	tau, err := TimeConstantH(capacity, slope)
	if err != nil {
		return Approach{}, err
	}
	return Approach{FromC: fromC, EquilibriumC: fromC + (gains+heaterW-start.totalW(e))/slope, TauH: tau}, nil
}

// left is what becomes of the water from one temperature on, and when it passes a limit.
func (s System) left(room Surroundings, on GainsOn, heaterW float64, e Estimate, fromC, limitC float64) (Left, error) {
	gains, err := s.gainsW(on)
	if err != nil {
		return Left{}, err
	}
	var l Left
	if c, err := s.settles(room, room.AirSpeedMS, gains+heaterW, e); err == nil {
		l.EquilibriumC, l.Settles = c, true
	}
	a, err := s.drift(room, on, heaterW, e, fromC, limitC)
	if err != nil {
		return Left{}, err
	}
	l.HarmH, l.Harms = a.timeTo(limitC)
	return l, nil
}
