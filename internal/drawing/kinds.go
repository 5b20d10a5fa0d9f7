package drawing

// Zone is where a part stands: the code of the phrase that says it.
type Zone string

// The zones, as they follow each other from the supply downwards.
const (
	AtSupply Zone = "zone_supply"
	Above    Zone = "zone_above"
	Display  Zone = "zone_display"
	Sump     Zone = "zone_sump"
	Store    Zone = "zone_store"
	Floor    Zone = "zone_floor"
	Room     Zone = "zone_room"
	Controls Zone = "zone_controls"
	Alarms   Zone = "zone_alarms"
	Paths    Zone = "zone_paths"
	Person   Zone = "zone_person"
)

var zones = []Zone{AtSupply, Above, Display, Store, Sump, Floor, Room, Controls, Alarms, Paths, Person}

// kind is one list of a plan's elements.
type kind struct {
	List string // the member of the plan
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
	{List: "lights", zone: always(Above)},
	{List: "fans", zone: always(Above)},
	{List: "heaters", zone: inWater},
	{List: "chillers", zone: inWater},
	{List: "pumps", zone: func(e element, hasSump bool) Zone {
		if e.text("role") == "return" && hasSump {
			return Sump
		}
		return Display
	}},
	{List: "skimmers", zone: inWater},
	{List: "top_off_pumps", zone: always(Store)},
	{List: "dosing_pumps", zone: always(Store)},
	{List: "change_pumps", zone: always(Store)},
	{List: "carbon_dioxide", zone: always(Store)},
	{List: "sensors", unfed: true, zone: func(e element, hasSump bool) Zone {
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
	{List: "controls", zone: always(Controls), feels: []string{"sensor", "sensors"},
		switches: "outputs"},
	{List: "contactors", zone: always(Controls), switches: "outputs"},
	{List: "alarms", zone: always(Alarms), feels: []string{"sensor", "sensors", "watches"}, told: true},
	{List: "overflows", zone: always(Display), unfed: true},
	{List: "return_lines", zone: always(Display), unfed: true},
	{List: "leaks", unfed: true, zone: func(e element, hasSump bool) Zone {
		if e.text("kind") == "hose" {
			return Floor
		}
		return inWater(e, hasSump)
	}},
	{List: "room_devices", zone: always(Room)},
	{List: "routers", zone: always(Paths), told: true},
	{List: "modems", zone: always(Paths), told: true},
	{List: "sirens", zone: always(Paths), told: true},
	{List: "persons", zone: always(Person), unfed: true, told: true},
}

// pathIDs are the ways of an alarm, as boxes.
var pathIDs = map[string]string{
	"network": "home network", "cellular": "mobile network", "audible": "sound in the house",
}
