package httpapi

import (
	"math"

	"saltwright/internal/calc/moistair"
	"saltwright/internal/calc/quantity"
)

// airOf returns the air of a room.
func airOf(tempC, rhPercent, altitudeM float64) (moistair.State, error) {
	pressure, err := moistair.StandardPressure(altitudeM)
	if err != nil {
		return moistair.State{}, err
	}
	return moistair.State{Temp: quantity.Celsius(tempC), RelativeHumidity: rhPercent / 100, Pressure: pressure}, nil
}

const mmPerM = 1000.0

// The room's other states where they are not said; common practice, no source.
const (
	coldestBelowUsualK = 4.0
	warmestAboveUsualK = 6.0
	warmestLeastC      = 28.0
)

// roomStates returns the coldest and warmest room, assumed from the usual one where they are not said.
func roomStates(usualC float64, coldestC, warmestC *float64) (coldest, warmest float64, assumed []assumption) {
	say := func(name string, value float64, note string) {
		assumed = append(assumed, assumption{Pointer: "#/" + name, Value: value, Unit: "degC", Why: "common_practice", Source: "CommonPractice", Note: note})
	}
	if coldestC != nil {
		coldest = *coldestC
	} else {
		coldest = usualC - coldestBelowUsualK
		say("coldest_c", coldest, "4 K below the usual room")
	}
	if warmestC != nil {
		warmest = *warmestC
	} else {
		warmest = math.Max(usualC+warmestAboveUsualK, warmestLeastC)
		say("warmest_c", warmest, "6 K above the usual room, and at least 28 degC")
	}
	return coldest, warmest, assumed
}
