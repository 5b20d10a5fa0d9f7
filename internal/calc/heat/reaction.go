package heat

import (
	"math"

	"saltwright/internal/calc"
)

// ReactionInput is a stuck heater's start and surroundings.
type ReactionInput struct {
	LossW, GainsW float64 // W at the start
	UAWPerK       float64 // W/K, above 0
	RiseK         float64 // K from start to limit, at least 0
	TauH          float64 // h
	ResponseH     float64 // h
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
