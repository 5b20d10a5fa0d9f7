package drawing

import "strings"

// Zone is where a part stands.
type Zone string

// The zones, as they follow each other from the supply downwards.
const (
	AtSupply Zone = "at the sockets"
	Above    Zone = "above the water"
	Display  Zone = "in the display"
	Sump     Zone = "in the sump"
	Store    Zone = "in the reservoir"
	Floor    Zone = "on the floor"
	Room     Zone = "in the room"
	Controls Zone = "controls"
	Alarms   Zone = "alarms"
	Paths    Zone = "how you hear of it"
	Person   Zone = "who comes"
)

var zones = []Zone{AtSupply, Above, Display, Store, Sump, Floor, Room, Controls, Alarms, Paths, Person}

// kind is one list of a plan's elements.
type kind struct {
	List string // the member of the plan
	Word string // what one of them is, to a reader
	zone func(e element, hasSump bool) Zone
	// feels: what it reads, by the members that name it; its lines begin there
	feels []string
	// switches: what it acts on, by the member that names it
	switches string
	told     bool // its lines are those of watching: they end at a person
	unfed    bool // nothing of it hangs on a circuit
}

func always(z Zone) func(element, bool) Zone { return func(element, bool) Zone { return z } }

// inWater is where its place says, else in the sump where there is one.
func inWater(e element, hasSump bool) Zone {
	switch {
	case e.text("place") == "display" || !hasSump:
		return Display
	case e.text("place") == "reservoir":
		return Store
	case e.text("place") == "floor":
		return Floor
	}
	return Sump
}

// kinds is the one table. A list of the plan that is not in it, and whose items have ids, is drawn on the floor.
var kinds = []kind{
	{List: "lights", Word: "lamp", zone: always(Above)},
	{List: "fans", Word: "fan", zone: always(Above)},
	{List: "heaters", Word: "heater", zone: inWater},
	{List: "chillers", Word: "chiller", zone: inWater},
	{List: "pumps", Word: "pump", zone: func(e element, hasSump bool) Zone {
		if e.text("role") == "return" && hasSump {
			return Sump
		}
		return Display
	}},
	{List: "skimmers", Word: "skimmer", zone: inWater},
	{List: "top_off_pumps", Word: "top-off pump", zone: always(Store)},
	{List: "dosing_pumps", Word: "dosing pump", zone: always(Store)},
	{List: "change_pumps", Word: "change pump", zone: always(Store)},
	{List: "carbon_dioxide", Word: "carbon dioxide", zone: always(Store)},
	{List: "sensors", Word: "sensor", unfed: true, zone: func(e element, hasSump bool) Zone {
		switch {
		case e.text("kind") == "power":
			return AtSupply
		case e.text("kind") == "leak":
			return Floor
		case e.text("reservoir") != "":
			return Store
		case e.text("place") == "room":
			return Room
		}
		return inWater(e, hasSump)
	}},
	{List: "controls", Word: "control", zone: always(Controls), feels: []string{"sensor", "sensors"},
		switches: "outputs"},
	{List: "contactors", Word: contactorWord, zone: always(Controls), switches: "outputs"},
	{List: "alarms", Word: "alarm", zone: always(Alarms), feels: []string{"sensor", "sensors", "watches"}, told: true},
	{List: "overflows", Word: "overflow", zone: always(Display), unfed: true},
	{List: "return_lines", Word: "return line", zone: always(Display), unfed: true},
	{List: "leaks", Word: "place that may leak", unfed: true, zone: func(e element, hasSump bool) Zone {
		if e.text("kind") == "hose" {
			return Floor
		}
		return inWater(e, hasSump)
	}},
	{List: "room_devices", Word: "of the room", zone: always(Room)},
	{List: "routers", Word: "router", zone: always(Paths), told: true},
	{List: "modems", Word: "modem", zone: always(Paths), told: true},
	{List: "sirens", Word: "siren", zone: always(Paths), told: true},
	{List: "persons", Word: "person", zone: always(Person), unfed: true, told: true},
}

const contactorWord = "contactor"

// pathWords are the ways of an alarm, as boxes.
var pathWords = map[string]string{
	"network": "home network", "cellular": "mobile network", "audible": "sound in the house",
}

// wordFor names an element of a list that the table does not have: "dosing_pumps" gives "dosing pump".
func wordFor(list string) string {
	return strings.TrimSuffix(strings.ReplaceAll(list, "_", " "), "s")
}
