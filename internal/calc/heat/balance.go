package heat

import (
	"math"
	"slices"

	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/quantity"
)

// BalanceInput is a system in one state.
type BalanceInput struct {
	System System
	Water  quantity.Celsius // 0 … 40 °C
	Room   Surroundings
	Gains  GainsOn
}

// Flows is the heat that goes into and out of the water at one temperature; losses are positive when heat leaves it.
type Flows struct {
	Vessels           []VesselLoss
	DryW              float64
	Evaporation       evaporation.Range // all surfaces, kg/h
	LatentW           Spread
	GainsW            float64
	NetW              Spread  // heat to add to hold the temperature; negative is heat to remove
	EnergyKWhPerDay   float64 // to hold the temperature for a day, expected; 0 when nothing is to add
	EvaporatedLPerDay Spread  // fresh water
}

// BalanceResult is a steady heat balance and how it moves with the water's temperature.
type BalanceResult struct {
	Flows
	DrySlopeWPerK     float64 // d(dry loss)/dT of the water
	LatentSlopeWPerK  float64 // d(latent loss)/dT of the water, expected estimate
	UAWPerK           float64 // both slopes together
	HeatCapacityJPerK float64 // of the water
	TimeConstantH     float64 // heat capacity over UAWPerK
}

// Balance returns the steady heat balance of display and sump at one water temperature.
//
//	net = Σ dry + Σ latent - Σ gains
//
//	dry     DryLoss of each vessel                         [W]
//	latent  evaporation · latent heat, low/expected/high   [W]
//	gains   power · share that reaches the water           [W]
//	UA      d(dry + latent)/dT at this temperature; the two slopes are also given apart  [W/K]
//
// Net is strictly increasing in the water temperature, through the room's too.
// Water that condenses on the tank's own gives its heat to it: a latent loss below 0, in the low and expected estimate.
// Accuracy: films 10 … 20 %, evaporation as its spread; return pipes are not in it.
// Errors: *calc.RangeError, *calc.ConflictError.
// Source: [Derived] (conservation of energy), with DryLoss and evaporation.Estimate.
func Balance(in BalanceInput) (BalanceResult, error) {
	var r BalanceResult
	var err error
	if err = in.System.check(); err != nil {
		return r, err
	}
	if r.Flows, err = in.System.flows(in.Water, in.Room, in.Gains); err != nil {
		return r, err
	}
	const step = 0.02 // K; small against the curvature, large against rounding
	above, below := math.Min(float64(in.Water)+step, maxWaterC), math.Max(float64(in.Water)-step, minWaterC)
	up, err := in.System.losses(above, in.Room, in.Room.AirSpeedMS)
	if err != nil {
		return BalanceResult{}, err
	}
	down, err := in.System.losses(below, in.Room, in.Room.AirSpeedMS)
	if err != nil {
		return BalanceResult{}, err
	}
	r.DrySlopeWPerK = (up.dryW - down.dryW) / (above - below)
	r.LatentSlopeWPerK = (up.latentW.Expected - down.latentW.Expected) / (above - below)
	r.UAWPerK = r.DrySlopeWPerK + r.LatentSlopeWPerK
	if r.HeatCapacityJPerK, err = in.System.heatCapacity(in.Water); err != nil {
		return BalanceResult{}, err
	}
	if r.TimeConstantH, err = TimeConstantH(r.HeatCapacityJPerK, r.UAWPerK); err != nil {
		return BalanceResult{}, err
	}
	return r, nil
}

// flows are those of a checked system.
func (s System) flows(water quantity.Celsius, room Surroundings, on GainsOn) (Flows, error) {
	l, err := s.losses(float64(water), room, room.AirSpeedMS)
	if err != nil {
		return Flows{}, err
	}
	gains, err := s.gainsW(on)
	if err != nil {
		return Flows{}, err
	}
	net := Spread{
		l.totalW(EvaporationLow) - gains, l.totalW(EvaporationExpected) - gains, l.totalW(EvaporationHigh) - gains,
	}
	return Flows{
		Vessels: slices.Clone(l.vessels[:l.count]), DryW: l.dryW, Evaporation: l.evaporation, LatentW: l.latentW,
		GainsW: gains, NetW: net, EnergyKWhPerDay: math.Max(0, net.Expected) * quantity.HoursPerDay /
			quantity.WattsPerKilowatt,
		EvaporatedLPerDay: Spread{
			evaporation.LitresPerDay(l.evaporation.Low),
			evaporation.LitresPerDay(l.evaporation.Expected),
			evaporation.LitresPerDay(l.evaporation.High),
		},
	}, nil
}
