package heat

import (
	"saltwright/internal/calc"
	"saltwright/internal/calc/numeric"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// known is a water temperature and the losses there.
type known struct{ waterC, lossW float64 }

// settles returns the water temperature within 0 … 40 °C at which the losses are watts.
func (s System) settles(room Surroundings, surfaceSpeedMS, watts float64, e Estimate) (float64, error) {
	var ends [2]known
	for i, c := range [...]float64{minWaterC, maxWaterC} {
		l, err := s.losses(c, room, surfaceSpeedMS)
		if err != nil {
			return 0, err
		}
		ends[i] = known{c, l.totalW(e)}
	}
	return s.settlesBetween(ends[0], ends[1], room, surfaceSpeedMS, watts, e)
}

// settlesBetween is settles where the losses at two temperatures, one on either side, are known.
func (s System) settlesBetween(
	lo, hi known, room Surroundings, surfaceSpeedMS, watts float64, e Estimate,
) (float64, error) {
	if lo.lossW > watts || hi.lossW < watts {
		return 0, calc.ErrNoSolution
	}
	slope := (hi.lossW - lo.lossW) / (hi.waterC - lo.waterC)
	var failed error
	c, err := numeric.RootFrom(func(c float64) float64 {
		l, err := s.losses(c, room, surfaceSpeedMS)
		if err != nil {
			failed = err
		}
		return l.totalW(e) - watts
	}, lo.waterC, hi.waterC, lo.waterC+(watts-lo.lossW)/slope, slope, 1e-9)
	if failed != nil {
		return 0, failed
	}
	return c, err
}

// EquilibriumInput is a system left to itself in a room with a constant heat input.
type EquilibriumInput struct {
	System    System
	Room      Surroundings
	FanSpeed  float64 // m/s over the free surfaces, at least the room's air speed; 0: the room's
	Gains     GainsOn
	HeaterW   float64 // heat from heaters, negative from a chiller, -1e6 … 1e6 W
	Evaporate Estimate
}

// Equilibrium returns the water temperature at which losses equal gains and heaters.
//
//	dry(T) + latent(T) = gains + heaters
//
// Accuracy: as Balance.
// Errors: calc.ErrNoSolution when it lies outside 0 … 40 °C; *calc.RangeError, *calc.ConflictError.
// Source: [Derived].
func Equilibrium(in EquilibriumInput) (quantity.Celsius, error) {
	if err := in.System.check(); err != nil {
		return 0, err
	}
	if err := calc.CheckRange("heater_w", in.HeaterW, -1e6, 1e6, "W"); err != nil {
		return 0, err
	}
	switch in.Evaporate {
	case EvaporationLow, EvaporationExpected, EvaporationHigh:
	default:
		return 0, &calc.ConflictError{
			Params: []string{"evaporation_estimate"}, Reason: text.Of("estimate_not_known", nil),
		}
	}
	gains, err := in.System.gainsW(in.Gains)
	if err != nil {
		return 0, err
	}
	speed := in.Room.AirSpeedMS
	if in.FanSpeed != 0 {
		speed = in.FanSpeed
	}
	c, err := in.System.settles(in.Room, speed, gains+in.HeaterW, in.Evaporate)
	return quantity.Celsius(c), err
}
