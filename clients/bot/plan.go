package bot

import (
	"math"
	"slices"
	"strings"
)

// What a plan assumes where nothing is said, in the contract's units: common practice, no source. The reply lists it.
const (
	assumedVolume    = 300.0 // L
	assumedRoom      = 21.0  // °C
	assumedSetpoint  = 25.5  // °C
	assumedLook      = 24.0  // h
	assumedReservoir = 25.0  // L
	assumedTopOff    = 20.0  // L/h
	wattsPerLitre    = 1.0
	heaterStep       = 25.0 // W, between sizes that are sold
	assumedBottle    = 1.0  // L
	assumedDoser     = 2.0  // mL/min
	assumedDoses     = 6    // a day
	assumedRun       = 60   // s
	assumedStock     = 1800 // meq/L: 95 g/L of sodium carbonate, near what dissolves
)

// planParts are the parts that a plan has where its question names them, each in one way.
var planParts = []struct{ concept, member string }{
	{"controller", "controls.0"}, {"topoff", "top_off_pumps.0"}, {"doser", "dosing_pumps.0"},
}

// planMembers completes the members of a small plan with what its question names: a controller with its probe, a
// top-off, an alarm. It returns what was assumed for the rest.
func (q *Question) planMembers(members map[string]any) []Assumption {
	var assumed []Assumption
	orAssume := func(member string, value float64, unit string) float64 {
		if v, ok := members[member].(float64); ok {
			return v
		}
		members[member] = value
		assumed = append(assumed, Assumption{Member: member, Number: &value, Unit: unit})
		return value
	}
	litres := 1.0
	if depth, ok := members["display.water_depth_mm"].(float64); ok {
		length, _ := members["display.length_mm"].(float64)
		width, _ := members["display.width_mm"].(float64)
		litres = length * width * depth / 1e6
	} else {
		litres = orAssume("display.volume_l", assumedVolume, "L")
	}
	orAssume("room.usual.temp_c", assumedRoom, "degC")
	count := 1
	if n, ok := members["heaters"].(float64); ok {
		count = int(min(max(n, 1), 8))
	}
	delete(members, "heaters")
	size := math.Ceil(wattsPerLitre*litres/float64(count)/heaterStep) * heaterStep
	power := orAssume("heaters.0.power_w", size, "W")
	outputs := []any{}
	for i := range count {
		id := "heater-" + countText(float64(i+1))
		place := "heaters." + countText(float64(i)) + "."
		members[place+"id"], members[place+"power_w"] = id, power
		outputs = append(outputs, id)
	}
	orAssume("attendance.look_every_h", assumedLook, "h")
	if away, ok := members["attendance.longest_absence_h"].(float64); ok {
		members["attendance.longest_absence_h"] = max(away, assumedLook)
	}
	has := func(concept string) bool { return q.heard.concepts[concept] }
	if has("controller") || has("probe") {
		members["sensors.0.id"], members["sensors.0.kind"] = "probe", "temperature"
		members["controls.0.id"], members["controls.0.kind"] = "controller", "heating"
		members["controls.0.sensor"], members["controls.0.outputs"] = "probe", outputs
		members["controls.0.setpoint_c"] = assumedSetpoint
	}
	if has("doser") {
		members["dosing_pumps.0.id"] = "doser"
		orAssume("dosing_pumps.0.flow_ml_min", assumedDoser, "mL/min")
		orAssume("dosing_pumps.0.doses.a_day", assumedDoses, "1/d")
		orAssume("dosing_pumps.0.doses.run_s", assumedRun, "s")
		orAssume("dosing_pumps.0.container.volume_l", assumedBottle, "L")
		orAssume("dosing_pumps.0.container.alkalinity_meq_l", assumedStock, "meq/L")
	}
	delete(members, "reservoirs.0.volume_l")
	if has("topoff") {
		members["top_off_pumps.0.id"], members["top_off_pumps.0.flow_l_h"] = "top-off", assumedTopOff
		members["top_off_pumps.0.reservoir"] = "reservoir"
		members["reservoirs.0.id"] = "reservoir"
		if stated, ok := q.Values["reservoirs.0.volume_l"]; ok {
			members["reservoirs.0.volume_l"] = stated.InContractUnit()
		} else {
			orAssume("reservoirs.0.volume_l", assumedReservoir, "L")
		}
	}
	return assumed
}

// askedFirst puts the findings about the part that a question names before the others.
func (q *Question) askedFirst(findings []string) []string {
	for _, part := range []struct{ concept, id string }{{"doser", "doser"}, {"topoff", "top-off"}} {
		if q.heard.concepts[part.concept] {
			findings = slices.Clone(findings)
			slices.SortStableFunc(findings, func(a, b string) int {
				return place(b, part.id) - place(a, part.id)
			})
		}
	}
	return findings
}

func place(finding, id string) int {
	if strings.Contains(finding, id) {
		return 1
	}
	return 0
}

// loadRoles are the roles of loads that a question may name.
var loadRoles = []string{"heating", "cooling", "circulation", "lighting", "other"}

// loadMembers lists the loads of a question about a circuit.
func (q *Question) loadMembers(members map[string]any) {
	i := 0
	for _, role := range loadRoles {
		if watts := q.Loads[role]; watts > 0 {
			place := "loads." + countText(float64(i)) + "."
			members[place+"id"], members[place+"circuit"], members[place+"role"] = role, "circuit", role
			members[place+"power_w"] = watts
			i++
		}
	}
}
