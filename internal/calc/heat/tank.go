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

// LumpedEquilibriumC returns the temperature at which losses equal the heat put in.
//
//	Teq = Ta + P / UA
//
//	Ta  room                                              [°C]
//	P   heaters and gains less evaporative loss           [W]
//	UA  loss per kelvin, above 0                           [W/K]
//
// Accuracy: exact for a constant UA. Errors: *calc.RangeError. Source: [Derived].
func LumpedEquilibriumC(ambientC, netW, uaWPerK float64) (float64, error) {
	for _, c := range []struct {
		param           string
		value, min, max float64
		unit            string
	}{{"ambient_c", ambientC, -100, 100, "degC"}, {"net_w", netW, -1e9, 1e9, "W"}, {"ua_w_per_k", uaWPerK, 1e-6, 1e9, "W/K"}} {
		if err := calc.CheckRange(c.param, c.value, c.min, c.max, c.unit); err != nil {
			return 0, err
		}
	}
	return ambientC + netW/uaWPerK, nil
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

// OnOffInput is a lumped tank under on/off control; the heater is off and the water at SwitchOffC at time 0.
type OnOffInput struct {
	TauH                            float64 // time constant, h
	EquilibriumOffC, EquilibriumOnC float64 // °C without and with the heater, off below on
	SwitchOnC, SwitchOffC           float64 // °C, on below off
	Hours                           float64 // length of the run, 0 … 100000 h
}

// OnOffResult is what the control does.
type OnOffResult struct {
	CoolingH float64 // from switching off to switching on; 0 when Cools is false
	Cools    bool    // whether it ever switches on
	HeatingH float64 // from switching on to switching off; 0 when Heats is false
	Heats    bool    // whether the heater can reach the upper switch point
	Starts   int     // of the heater in 0 < t <= Hours
	OnH      float64 // h with the heater on
	EndC     float64 // temperature at Hours
}

// OnOff returns the two band times, the starts and the heater hours of a lumped tank under on/off control.
//
//	cooling = tau · ln((Toff - T0) / (Ton - T0)), heating = tau · ln((T1 - Ton) / (T1 - Toff))
//
//	T0, T1  equilibria without and with the heater  [°C]
//
// Accuracy: exact for a lumped tank in a constant room.
// Errors: *calc.RangeError; *calc.ConflictError when a switch point or an
// equilibrium is not above its partner, or one cycle takes less than 1e-6 of the run.
// Source: [Derived].
func OnOff(in OnOffInput) (OnOffResult, error) {
	var r OnOffResult
	if err := calc.CheckRange("hours", in.Hours, 0, 1e5, "h"); err != nil {
		return r, err
	}
	falling := Approach{FromC: in.SwitchOffC, EquilibriumC: in.EquilibriumOffC, TauH: in.TauH}
	rising := Approach{FromC: in.SwitchOnC, EquilibriumC: in.EquilibriumOnC, TauH: in.TauH}
	for _, a := range []Approach{falling, rising} {
		if err := a.check(); err != nil {
			return r, err
		}
	}
	if in.SwitchOnC >= in.SwitchOffC {
		return r, &calc.ConflictError{Params: []string{"switch_on_c", "switch_off_c"}, Reason: "the heater must switch on at a lower temperature than it switches off at"}
	}
	if in.EquilibriumOffC >= in.EquilibriumOnC {
		return r, &calc.ConflictError{Params: []string{"equilibrium_off_c", "equilibrium_on_c"}, Reason: "a heater must raise the equilibrium; its power has to be above 0"}
	}
	r.CoolingH, r.Cools = falling.timeTo(in.SwitchOnC)
	r.HeatingH, r.Heats = rising.timeTo(in.SwitchOffC)
	if !r.Cools || r.CoolingH > in.Hours {
		r.EndC = falling.at(in.Hours)
		return r, nil
	}
	rest := in.Hours - r.CoolingH // since the first start
	if !r.Heats {
		r.Starts, r.OnH, r.EndC = 1, rest, rising.at(rest)
		return r, nil
	}
	period := r.CoolingH + r.HeatingH
	if period < 1e-6*in.Hours {
		return OnOffResult{}, &calc.ConflictError{Params: []string{"switch_on_c", "switch_off_c"}, Reason: "the band is so narrow that the heater would chatter; widen it"}
	}
	whole := math.Floor(rest / period)
	into := rest - whole*period
	r.Starts = int(whole) + 1
	r.OnH = whole*r.HeatingH + math.Min(into, r.HeatingH)
	if into <= r.HeatingH {
		r.EndC = rising.at(into)
	} else {
		r.EndC = falling.at(into - r.HeatingH)
	}
	return r, nil
}
