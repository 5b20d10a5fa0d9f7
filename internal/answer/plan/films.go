package plan

import (
	"saltwright/internal/answer/tank"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/moistair"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
)

// films are the numbers that decide whether the heat balance of a completed plan's display is inside the published
// ranges of its films: for water as cold and as warm as does no harm, in each room.
func films(p plan.Plan) (map[string]float64, error) {
	pressure, err := moistair.StandardPressure(p.Room.AltitudeM)
	if err != nil {
		return nil, err
	}
	var exposures []heat.Exposure
	for _, state := range []*plan.RoomState{&p.Room.Usual, p.Room.Coldest, p.Room.Warmest} {
		if state == nil {
			continue
		}
		air := moistair.State{
			Temp: quantity.Celsius(state.TempC), RelativeHumidity: state.RHPercent / 100, Pressure: pressure,
		}
		for _, waterC := range []float64{*p.Limits.HarmLowC, *p.Limits.HarmHighC} {
			exposures = append(exposures, heat.Exposure{
				Water: quantity.Celsius(waterC), Room: heat.Surroundings{Air: air, AirSpeedMS: p.Room.AirSpeedMS},
			})
		}
	}
	return tank.FarthestFilms(p.HeatSystem(), exposures)
}
