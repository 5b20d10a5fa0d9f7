package heat

import (
	"saltwright/internal/calc"
	"saltwright/internal/calc/numeric"
)

// balancePoint returns the water temperature in lo … hi at which the losses are watts.
func (s System) balancePoint(room Surroundings, surfaceSpeedMS, watts float64, e Estimate, lo, hi float64) (float64, error) {
	switch e {
	case EvaporationLow, EvaporationExpected, EvaporationHigh:
	default:
		return 0, &calc.ConflictError{Params: []string{"evaporation_estimate"}, Reason: "the estimate must be low, expected or high"}
	}
	var first error // the losses are defined on the whole bracket or nowhere on it
	c, err := numeric.Root(func(c float64) float64 {
		l, err := s.losses(c, room, surfaceSpeedMS)
		if err != nil {
			if first == nil {
				first = err
			}
			return 0
		}
		return l.totalW(e) - watts
	}, lo, hi, 1e-9)
	if first != nil {
		return 0, first
	}
	return c, err
}
