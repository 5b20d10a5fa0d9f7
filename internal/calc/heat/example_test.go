package heat_test

import (
	"fmt"

	"saltwright/internal/calc/heat"
)

// A heater sticks in 1.4 MJ/K of water that loses 40 W/K: how long from 25.5 to 29 °C
// when the equilibrium is 33 °C? By hand: 1.4e6/40/3600 = 9.72 h; 9.72·ln(7.5/4) = 6.11 h.
func ExampleApproach_TimeTo() {
	tau, err := heat.TimeConstantH(1.4e6, 40)
	if err != nil {
		fmt.Println(err)
		return
	}
	hours, reached, err := heat.Approach{FromC: 25.5, EquilibriumC: 33, TauH: tau}.TimeTo(29)
	fmt.Printf("%.2f h to lose 63 %%, %.2f h to 29 °C: %v %v\n", tau, hours, reached, err)
	// Output: 9.72 h to lose 63 %, 6.11 h to 29 °C: true <nil>
}

// The controller switches off at 25.7 °C, the thermostat is good to half a kelvin.
func ExampleBackstop() {
	r, err := heat.Backstop(heat.BackstopInput{
		SetpointC: 25.5, HysteresisK: 0.4, ThermostatC: 26, ThermostatToleranceK: 0.5, HarmHighC: 29,
	})
	fmt.Printf("%s: choose %.1f … %.1f °C, best %.1f °C %v\n", r.Verdict, r.BandLowC, r.BandHighC, r.RecommendedC, err)
	// Output: interferes: choose 26.2 … 28.5 °C, best 26.6 °C <nil>
}
