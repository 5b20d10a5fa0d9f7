package answer

import (
	"maps"
	"slices"

	"saltwright/internal/calc"
	"saltwright/internal/calc/carbonate"
	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/light"
	"saltwright/internal/calc/seawater"
)

// publishedRanges are all ranges that the core states, each beside its formula.
func publishedRanges() []calc.Published {
	return slices.Concat(seawater.Published, evaporation.Published, heat.Published, light.Published,
		carbonate.Published)
}

// places says where the quantities of a relation stand: in the request, "#/room/usual/temp_c", in every item of a list,
// "#/months/*/room_c", or in the answer, "/result/practical_psu". A quantity that is calculated on the way stands under
// its own name.
type places map[string][]string

// with adds places of one quantity.
func (p places) with(quantity string, more ...string) places {
	out := maps.Clone(p)
	out[quantity] = slices.Concat(out[quantity], more)
	return out
}

// use is a relation of the core that an operation rests on.
type use struct {
	relation string // package and function
	at       places
}

// of returns uses of relations that have no published range.
func of(relations ...string) []use {
	out := make([]use, len(relations))
	for i, r := range relations {
		out[i].relation = r
	}
	return out
}

// room is the air of a room whose temperature stands at one or several places.
func room(temperatures ...string) places {
	return places{"room_c": temperatures, "rh_percent": {"#/rh_percent"}, "air_speed_m_s": {"#/air_speed_m_s"}}
}

var threeRooms = room("#/room_c", "#/coldest_c", "#/warmest_c")

// planRoom is the room of a plan that stands at a place of the request.
func planRoom(plan string) places {
	out := places{"air_speed_m_s": {plan + "/room/air_speed_m_s"}}
	for _, state := range []string{"usual", "coldest", "warmest"} {
		out = out.with("room_c", plan+"/room/"+state+"/temp_c").with("rh_percent", plan+"/room/"+state+"/rh_percent")
	}
	return out
}

// evaporating is what every rate of evaporation rests on.
func evaporating(air places, water ...string) []use {
	return append(of(
		"evaporation.ASHRAE", "evaporation.Shah", "evaporation.LidFactor", "evaporation.LitresPerDay",
		"seawater.VapourPressure", "seawater.LatentHeat", "moistair.SaturationPressure", "moistair.StandardPressure",
		"moistair.MoistureOf", "moistair.State.DewPoint",
	), use{"evaporation.Estimate", air.with("water_c", water...)})
}

// seaWater is a relation of sea water that takes its salinity and its temperature.
func seaWater(relation string, salinity, temperature []string) use {
	return use{relation, places{"salinity_psu": salinity, "water_c": temperature}}
}

// tankIn is what every heat balance rests on.
func tankIn(air places, salinity string, temperature ...string) []use {
	return slices.Concat(evaporating(air, temperature...), of("heat.Balance", "heat.FilmNumbers"), []use{
		{"heat.DryLoss", places{"air_reynolds": {"air_reynolds"}}},
		{"heat.NusseltVertical", places{"wall_rayleigh": {"wall_rayleigh"}}},
		{"heat.NusseltLively", places{"lively_surface_rayleigh": {"lively_surface_rayleigh"}}},
		{"heat.NusseltCalm", places{"calm_surface_rayleigh": {"calm_surface_rayleigh"}}},
		seaWater("seawater.HeatCapacity", []string{salinity}, temperature),
		seaWater("seawater.Density", []string{salinity}, temperature),
	})
}

// planned is what every simulation of a plan rests on; the plan stands at a place of the request.
func planned(plan string, relations ...string) []use {
	salinity := plan + "/salinity_psu"
	limits := []string{plan + "/limits/harm_low_c", plan + "/limits/harm_high_c"}
	return slices.Concat(tankIn(planRoom(plan), salinity, limits...), of("seawater.OxygenSaturation"),
		[]use{seaWater("seawater.OxygenSaturationMolal", []string{salinity}, limits)}, of(relations...))
}

// salty is what every conversion of a salinity rests on.
func salty(salinity string) []use {
	s, sample := []string{salinity}, []string{"#/sample_c"}
	return append(of("seawater.Convert"),
		seaWater("seawater.PracticalFromConductivity", s, sample), seaWater("seawater.Density", s, sample),
		seaWater("seawater.RefractiveIndexMillardSeaver1990", s, sample))
}

// carbonates is what everything about alkalinity rests on.
func carbonates(relations ...string) []use {
	salinity, temperature := []string{"#/salinity_psu"}, []string{"#/water_c"}
	return append(of(append(relations, "carbonate.Solve", "carbonate.FromUnit")...),
		seaWater("carbonate.ConstantsAt", salinity, temperature),
		seaWater("seawater.Density", salinity, temperature))
}

var sun = append(of("light.ClearSkyIrradiance", "light.PhotonsOfSunlight", "light.Transmission", "light.DayLength"),
	use{"light.NaturalDay", places{"latitude_deg": {"#/latitude_deg"}}})

// uses is what each calculation rests on: its sources are those of the relations, and its answers warn where a relation
// is used outside its published range.
var uses = map[string][]use{
	"evaporation":       evaporating(room("#/room_c"), "#/water_c"),
	"top-off-endurance": append(evaporating(threeRooms, "#/water_c"), of("topoff.Endurance")...),

	"heat-balance": tankIn(room("#/room_c"), "#/salinity_psu", "#/water_c"),
	"heater-sizing": append(tankIn(threeRooms, "#/salinity_psu", "#/setpoint_c"),
		of("heat.SizeHeater", "heat.Backstop")...),
	"chiller-sizing": append(tankIn(threeRooms, "#/salinity_psu", "#/setpoint_c"), of("heat.SizeChiller")...),
	"evaporative-cooling": append(
		tankIn(room("#/room_c").with("air_speed_m_s", "#/fan_speed_m_s"), "#/salinity_psu", "#/water_c"),
		of("heat.CoolingFan", "moistair.State.WetBulb")...),
	"annual-balance": append(tankIn(places{
		"room_c": {"#/months/*/room_c"}, "rh_percent": {"#/months/*/rh_percent"}, "air_speed_m_s": {"#/air_speed_m_s"},
	}, "#/salinity_psu", "#/setpoint_c"), of("year.Run")...),
	"model-calibration": append(tankIn(
		room("#/evaporation/room_c", "#/duty/room_c", "#/cool_down/room_c", "#/rooms/*/room_c").with("rh_percent",
			"#/evaporation/rh_percent", "#/duty/rh_percent", "#/cool_down/rh_percent", "#/rooms/*/rh_percent"),
		"#/salinity_psu", "#/setpoint_c", "#/evaporation/water_c", "#/duty/water_c", "#/cool_down/points/*/water_c",
	), of("calibration.Calibrate")...),
	"outage-endurance": slices.Concat(tankIn(threeRooms, "#/salinity_psu", "#/water_c"), []use{
		seaWater("seawater.OxygenSaturationMolal", []string{"#/salinity_psu"}, []string{"#/water_c"}),
	}, of("power.Endure", "seawater.OxygenSaturation")),

	"salinity-conversion": salty("/result/practical_psu"),
	"instrument-reading":  append(salty("/result/likely_psu"), of("instrument.Interpret")...),
	"salt-mix": append(of("mixing.SaltMix"),
		seaWater("seawater.PracticalFromConductivity", []string{"#/target_psu"}, nil),
		seaWater("seawater.Density", []string{"#/target_psu", "#/start_psu"}, []string{"#/water_c"})),
	"salinity-adjustment": append(of("mixing.Adjust"),
		seaWater("seawater.Density", []string{"#/from_psu", "#/to_psu", "#/new_water_psu"}, []string{"#/water_c"})),
	"return-flow": append(of("hydraulics.ReturnFlow"),
		seaWater("seawater.Density", []string{"#/salinity_psu"}, []string{"#/water_c"})),

	"carbonate-system": carbonates("carbonate.AirPPM"),
	"consumption":      carbonates("dosing.TrendOf", "dosing.Dose"),
	"dose":             carbonates("dosing.Dose"),
	"lime-water":       carbonates("carbonate.LimeWater"),
	"water-change":     of("mixing.Change"),

	"daylight":         sun,
	"light-comparison": sun,

	"plan-audit":     planned("#", "audit.Single"),
	"plan-hand-over": planned("#", "audit.Hand"),
	"plan-remedies":  planned("#", "remedy.Find"),
	"plan-risk":      planned("#/plan", "risk.Assess"),
	"plan-draft":     append(evaporating(planRoom("#")), of("draft.Draft")...),
}
