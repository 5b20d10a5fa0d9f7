package httpapi

import (
	"saltwright/internal/calc/moistair"
	"saltwright/internal/calc/plan"
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

// roomStates returns the coldest and warmest room, assumed from the usual one where they are not said.
func roomStates(usualC float64, coldestC, warmestC *float64) (coldest, warmest float64, assumed []assumption) {
	coldest, warmest = plan.OtherRoomsC(usualC)
	choose := func(said *float64, value *float64, name, note string) {
		if said != nil {
			*value = *said
			return
		}
		assumed = append(assumed, assumption{Pointer: "#/" + name, Value: *value, Unit: "degC", Why: "common_practice", Source: "CommonPractice", Note: note})
	}
	choose(coldestC, &coldest, "coldest_c", plan.ColdestNote)
	choose(warmestC, &warmest, "warmest_c", plan.WarmestNote)
	return coldest, warmest, assumed
}
