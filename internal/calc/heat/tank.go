package heat

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
)

// TimeConstantH returns the time in which a tank left alone closes 63 % of its distance to equilibrium.
//
//	tau = C / UA / 3600
//
//	C    heat capacity of the water, above 0   [J/K]
//	UA   loss per kelvin, above 0              [W/K]
//	tau  time constant                          [h]
//
// Accuracy: exact for a lumped tank. Errors: *calc.RangeError. Source: [Derived].
func TimeConstantH(capacityJPerK, uaWPerK float64) (float64, error) {
	if err := calc.CheckRange("heat_capacity_j_per_k", capacityJPerK, 1, 1e12, "J/K"); err != nil {
		return 0, err
	}
	if err := calc.CheckRange("ua_w_per_k", uaWPerK, 1e-6, 1e9, "W/K"); err != nil {
		return 0, err
	}
	return capacityJPerK / uaWPerK / quantity.SecondsPerHour, nil
}

// Approach is an exponential approach to an equilibrium.
type Approach struct {
	FromC        float64 // temperature at time 0
	EquilibriumC float64
	TauH         float64 // time constant, above 0
}

func (a Approach) check() error {
	if err := calc.CheckRange("from_c", a.FromC, -1e9, 1e9, "degC"); err != nil {
		return err
	}
	if err := calc.CheckRange("equilibrium_c", a.EquilibriumC, -1e15, 1e15, "degC"); err != nil {
		return err
	}
	return calc.CheckRange("time_constant_h", a.TauH, 1e-9, 1e9, "h")
}

// At returns the temperature after some hours.
//
//	T = Teq + (T0 - Teq) · exp(-t / tau)
//
// Accuracy: exact for a lumped tank. Errors: *calc.RangeError, hours below 0 included. Source: [Derived].
func (a Approach) At(hours float64) (float64, error) {
	if err := a.check(); err != nil {
		return 0, err
	}
	if err := calc.CheckRange("hours", hours, 0, 1e12, "h"); err != nil {
		return 0, err
	}
	return a.at(hours), nil
}

func (a Approach) at(hours float64) float64 {
	return a.FromC - (a.FromC-a.EquilibriumC)*-math.Expm1(-hours/a.TauH)
}

// TimeTo returns the hours until the temperature is targetC, and whether it ever is.
//
//	t = tau · ln((T0 - Teq) / (TL - Teq))
//
// Never, when TL lies beyond the equilibrium, on it, or on the other side of the start.
// Accuracy: exact for a lumped tank. Errors: *calc.RangeError. Source: [Derived].
func (a Approach) TimeTo(targetC float64) (hours float64, reached bool, err error) {
	if err := a.check(); err != nil {
		return 0, false, err
	}
	if err := calc.CheckRange("target_c", targetC, -1e9, 1e9, "degC"); err != nil {
		return 0, false, err
	}
	hours, reached = a.timeTo(targetC)
	return hours, reached, nil
}

func (a Approach) timeTo(targetC float64) (float64, bool) {
	if targetC == a.FromC {
		return 0, true
	}
	// share of the whole way, in 0 … 1 when it is reached
	share := (targetC - a.FromC) / (a.EquilibriumC - a.FromC)
	if !(share > 0 && share < 1) {
		return 0, false
	}
	return -a.TauH * math.Log1p(-share), true
}
