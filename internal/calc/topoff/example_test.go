package topoff_test

import (
	"fmt"

	"saltwright/internal/calc/topoff"
)

// By hand: 300 L at 35 down to 30 takes 300·(35/30 - 1) = 50 L, the rim 24 L; a pump of
// 12 L/h against 0.12 L/h of evaporation stretches both by 12/11.88.
func ExampleLargestHarmless() {
	p := topoff.StuckPump{VolumeL: 300, OverflowL: 324, Salinity: 35, PumpLPerH: 12, EvaporationLPerH: 0.12}
	dilution, overflow, unlimited, err := topoff.LargestHarmless(p, 30)
	fmt.Printf("dilution %.1f L, rim %.1f L, unlimited %v %v\n", dilution, overflow, unlimited, err)
	// Output: dilution 50.5 L, rim 24.2 L, unlimited false <nil>
}
