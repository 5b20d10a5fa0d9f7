package webdocs

import (
	"math"
	"net/url"
	"slices"
)

// have is one kind of part that a keeper may tick at the start.
type have struct {
	Name, Label string
	Ticked      bool
	add         func(k *kit)
}

// kit is a plan to which the parts that were ticked are added, each with sizes as they are usual for its water: guesses
// that its form shows and the keeper corrects. Common practice, no source.
type kit struct {
	plan   plan
	litres float64
	ticked []string
}

// haves lists what may be ticked, in the order in which it is added: what others hang on comes first.
func haves() []have {
	return []have{
		{Name: "sump", add: (*kit).sump},
		{Name: "heater", add: (*kit).heater},
		{Name: "control", add: (*kit).control},
		{Name: "guard", add: (*kit).guard},
		{Name: "fan", add: (*kit).fan},
		{Name: "chiller", add: (*kit).chiller},
		{Name: "top-off", add: (*kit).topOff},
		{Name: "stream", add: (*kit).stream},
		{Name: "battery", add: (*kit).battery},
		{Name: "light", add: (*kit).lamp},
		{Name: "alarm", add: (*kit).phone},
		{Name: "leak", add: (*kit).leak},
	}
}

// addParts adds what was ticked to a plan, and returns where the first part that wants its size stands.
func addParts(document plan, sent url.Values) (first string) {
	k := &kit{plan: document, litres: litresOf(document), ticked: sent["have"]}
	for _, h := range haves() {
		if k.has(h.Name) {
			h.add(k)
		}
	}
	for _, list := range []string{"heaters", "top_off_pumps", "chillers", "lights", "pumps"} {
		if document[list] != nil {
			return list + "/0"
		}
	}
	return ""
}

func litresOf(document plan) float64 {
	display, _ := document["display"].(plan)
	if litres, ok := display["volume_l"].(float64); ok {
		return litres
	}
	litres := 1e-6 // a cubic millimetre in litres
	for _, side := range []string{"length_mm", "width_mm", "water_depth_mm"} {
		mm, _ := display[side].(float64)
		litres *= mm
	}
	return litres
}

func (k *kit) has(name string) bool { return slices.Contains(k.ticked, name) }

func (k *kit) add(list string, element plan) {
	items, _ := k.plan[list].([]any)
	k.plan[list] = append(items, element)
}

// size is a share of the water, in steps that are sold.
func (k *kit) size(perLitre, step float64) float64 {
	return max(step, math.Round(k.litres*perLitre/step)*step)
}

func (k *kit) sump() {
	k.plan["sump"] = plan{"length_mm": 600.0, "width_mm": 350.0, "height_mm": 400.0, "water_level_mm": 220.0}
	k.add("pumps", plan{"id": "return-pump", "role": "return", "flow_l_h": k.size(5, 100), "power_w": k.size(0.12, 5)})
}

func (k *kit) heater() {
	thermostat := 25.5
	if k.has("control") {
		thermostat = 26.5 // above what the control holds
	}
	k.add("heaters", plan{"id": "heater", "power_w": k.size(1, 50), "thermostat_c": thermostat})
}

func (k *kit) control() {
	k.add("sensors", plan{"id": "probe", "kind": "temperature"})
	if k.has("heater") {
		k.add("controls", plan{"id": "heat-control", "kind": "heating", "sensor": "probe", "setpoint_c": 25.5,
			"outputs": []any{"heater"}})
	}
	var cools []any
	for _, id := range []string{"fan", "chiller"} {
		if k.has(id) {
			cools = append(cools, id)
		}
	}
	if len(cools) > 0 {
		k.add("controls", plan{"id": "cool-control", "kind": "cooling", "sensor": "probe", "setpoint_c": 26.5,
			"outputs": cools})
	}
}

func (k *kit) guard() {
	if !k.has("heater") {
		return
	}
	k.add("sensors", plan{"id": "guard-probe", "kind": "temperature"})
	k.add("controls", plan{"id": "heat-guard", "kind": "supervisor", "sensor": "guard-probe", "when": "above",
		"threshold_c": 27.5, "outputs": []any{"heater"}})
}

func (k *kit) fan() { k.add("fans", plan{"id": "fan", "air_speed_m_s": 1.0}) }

func (k *kit) chiller() {
	chiller := plan{"id": "chiller", "cooling_w": k.size(1, 100), "power_w": k.size(0.6, 50)}
	if !k.has("control") {
		chiller["thermostat_c"] = 26.5
	}
	k.add("chillers", chiller)
}

func (k *kit) topOff() {
	k.add("reservoirs", plan{"id": "reservoir", "volume_l": k.size(0.08, 5)})
	k.add("top_off_pumps", plan{"id": "fill-pump", "reservoir": "reservoir", "flow_l_h": 60.0})
	k.add("sensors", plan{"id": "float", "kind": "level", "height_mm": 0.0})
	k.add("controls", plan{"id": "fill-control", "kind": "top_off", "sensor": "float", "outputs": []any{"fill-pump"}})
}

func (k *kit) stream() {
	pump := plan{"id": "stream-pump", "role": "circulation", "flow_l_h": k.size(10, 500), "power_w": k.size(0.08, 5)}
	if k.has("battery") {
		pump["supply"] = "battery-strip"
	}
	k.add("pumps", pump)
}

func (k *kit) battery() {
	if !k.has("stream") {
		return
	}
	k.plan["power"] = plan{
		"circuits": []any{plan{"id": "wall-socket"}},
		"strips":   []any{plan{"id": "battery-strip", "supply": "wall-socket"}},
		"backups": []any{plan{"id": "battery", "kind": "battery", "supplies": []any{"battery-strip"},
			"hours": 8.0}},
	}
}

func (k *kit) lamp() {
	k.add("lights", plan{"id": "lamp", "power_w": k.size(0.4, 10),
		"schedule": plan{"on_at": "10:00", "off_at": "20:00", "ramp_min": 60.0}})
}

func (k *kit) phone() {
	probe := "probe"
	if !k.has("control") {
		probe = "alarm-probe"
		k.add("sensors", plan{"id": probe, "kind": "temperature"})
	}
	k.add("alarms", plan{"id": "too-warm", "sensor": probe, "when": "above", "threshold_c": 27.5, "path": "network"})
	k.add("alarms", plan{"id": "too-cold", "sensor": probe, "when": "below", "threshold_c": 24.0, "path": "network"})
}

func (k *kit) leak() {
	k.add("sensors", plan{"id": "floor-sensor", "kind": "leak"})
	k.add("alarms", plan{"id": "wet-floor", "sensor": "floor-sensor", "when": "wet", "path": "audible"})
}
