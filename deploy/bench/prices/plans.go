package main

import (
	"fmt"
	"math/rand/v2"
)

// drawPlan makes a plan of n heaters and all that goes with them, that switches as often as it can: bands without
// width, supervisors in the middle of what a control holds, small and large tanks.
func drawPlan(n int, draw *rand.Rand) object {
	volume := pick(draw, 5.0, 20, 100, 250, 2000)
	hours := pick(draw, 24, 216, 2160)
	band := pick(draw, 0, 0.02, 0.1, 0.4)
	levelBand := pick(draw, 0.0, 1, 5)
	power := pick(draw, 0.5, 1, 3, 10) * volume / float64(n)
	p := object{
		"display": object{"volume_l": volume},
		"room": object{"usual": object{"temp_c": 21}, "coldest": object{"temp_c": 17},
			"warmest": object{"temp_c": 28}},
		"attendance": object{"look_every_h": 24, "longest_absence_h": hours},
	}
	var heaters, pumps, lights, controls, sensors, alarms, fills, cans []any
	own, middle := draw.IntN(2) == 0, draw.IntN(4) == 0
	for i := range n {
		heater := object{"id": fmt.Sprint("heater-", i), "power_w": max(1, power)}
		if own {
			heater["thermostat_c"], heater["thermostat_hysteresis_k"] = 26.8, band
		}
		cut := 27.5
		if middle {
			cut = 25.4
		}
		heaters = append(heaters, heater)
		pumps = append(pumps, object{"id": fmt.Sprint("stream-", i), "role": "circulation", "flow_l_h": 3000,
			"power_w": 10})
		lights = append(lights, object{"id": fmt.Sprint("lamp-", i), "power_w": 30,
			"schedule": object{"on_at": "10:00", "off_at": "20:00"}})
		controls = append(controls,
			object{"id": fmt.Sprint("warm-", i), "kind": "heating", "sensor": fmt.Sprint("probe-", i),
				"setpoint_c": 25.5, "hysteresis_k": band, "outputs": []any{fmt.Sprint("heater-", i)}},
			object{"id": fmt.Sprint("cut-", i), "kind": "supervisor", "sensor": fmt.Sprint("probe-", n+i),
				"when": "above", "threshold_c": cut, "outputs": []any{fmt.Sprint("heater-", i)}})
	}
	for i := range 2 * n {
		sensors = append(sensors, object{"id": fmt.Sprint("probe-", i), "kind": "temperature"})
		alarms = append(alarms, object{"id": fmt.Sprint("alarm-", i), "sensor": fmt.Sprint("probe-", i),
			"when": "below", "threshold_c": pick(draw, 24, 25.45), "delay_min": 10, "path": "cellular",
			"own_battery": true})
	}
	for i := range n / 2 {
		fills = append(fills, object{"id": fmt.Sprint("fill-", i), "flow_l_h": 6, "reservoir": fmt.Sprint("can-", i)})
		cans = append(cans, object{"id": fmt.Sprint("can-", i), "volume_l": 45})
		if len(controls) < 32 && len(sensors) < 32 && draw.IntN(2) == 0 {
			float := fmt.Sprint("float-", i)
			sensors = append(sensors, object{"id": float, "kind": "level", "height_mm": 0, "hysteresis_mm": levelBand})
			controls = append(controls, object{"id": fmt.Sprint("filling-", i), "kind": "top_off", "sensor": float,
				"outputs": []any{fmt.Sprint("fill-", i)}})
		}
	}
	if draw.IntN(2) == 0 {
		addPeople(p, n)
	}
	if draw.IntN(2) == 0 {
		addChemistry(p, n, volume)
	}
	for name, list := range map[string][]any{
		"heaters": heaters, "pumps": pumps, "lights": lights, "controls": controls, "sensors": sensors,
		"alarms": alarms, "top_off_pumps": fills, "reservoirs": cans,
	} {
		if len(list) > 0 {
			p[name] = list
		}
	}
	return p
}

// addPeople lets several people answer, each at hours of their own.
func addPeople(p object, n int) {
	var persons []any
	for i := range min(n, 8) {
		persons = append(persons, object{"id": fmt.Sprint("person-", i), "answered_share": 0.8, "acts_within_h": 1 + i,
			"answers_from": fmt.Sprintf("%02d:00", 2*i), "answers_until": fmt.Sprintf("%02d:30", 2*i+6)})
	}
	p["persons"] = persons
}

// addChemistry doses by as many pumps as there may be, as often as a programme of single runs goes, and adds gas.
func addChemistry(p object, n int, volume float64) {
	p["chemistry"] = object{"alkalinity_dkh": 8, "calcium_mg_l": 420, "ph": 8.05}
	var pumps []any
	for i := range min(n, 12) {
		pumps = append(pumps, object{"id": fmt.Sprint("doser-", i), "flow_ml_min": 1,
			"doses":     object{"a_day": 24, "run_s": 0.01 * volume, "first_at": fmt.Sprintf("00:%02d", 4*i)},
			"container": object{"volume_l": 1, "alkalinity_meq_l": 900, "form": "bicarbonate"}})
	}
	p["dosing_pumps"] = pumps
	p["carbon_dioxide"] = []any{object{"id": "gas", "flow_g_h": 0.001 * volume, "bottle_g": 500,
		"doses": object{"a_day": 12, "run_s": 600, "first_at": "00:30"}}}
}

func pick[T any](draw *rand.Rand, from ...T) T { return from[draw.IntN(len(from))] }
