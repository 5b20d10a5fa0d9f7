package plan

import "fmt"

// element is one entry of a plan's lists.
type element struct {
	path    string   // where it stands, for instance "heaters[0]"
	id      *string  // never nil
	circuit **string // the member that names the circuit which feeds it; nil: it has none
}

// elementsOf returns every element of a plan in the order of the document.
func elementsOf(p *Plan) []element {
	var all []element
	all = listed(all, "heaters", p.Heaters, func(e *Heater) (*string, **string) { return &e.ID, &e.Circuit })
	all = listed(all, "chillers", p.Chillers, func(e *Chiller) (*string, **string) { return &e.ID, &e.Circuit })
	all = listed(all, "fans", p.Fans, func(e *Fan) (*string, **string) { return &e.ID, &e.Circuit })
	all = listed(all, "pumps", p.Pumps, func(e *Pump) (*string, **string) { return &e.ID, &e.Circuit })
	all = listed(all, "top_off_pumps", p.TopOffPumps, func(e *TopOffPump) (*string, **string) {
		return &e.ID,
			&e.Circuit
	})
	all = listed(all, "reservoirs", p.Reservoirs, func(e *Reservoir) (*string, **string) { return &e.ID, nil })
	all = listed(all, "lights", p.Lights, func(e *Light) (*string, **string) { return &e.ID, &e.Circuit })
	all = listed(all, "sensors", p.Sensors, func(e *Sensor) (*string, **string) { return &e.ID, &e.Circuit })
	all = listed(all, "controls", p.Controls, func(e *Control) (*string, **string) { return &e.ID, &e.Circuit })
	all = listed(all, "contactors", p.Contactors, func(e *Contactor) (*string, **string) { return &e.ID, &e.Circuit })
	all = listed(all, "boxes", p.Boxes, func(e *Box) (*string, **string) { return &e.ID, &e.Circuit })
	all = listed(all, "alarms", p.Alarms, func(e *Alarm) (*string, **string) { return &e.ID, &e.Circuit })
	all = listed(all, "routers", p.Routers, func(e *Router) (*string, **string) { return &e.ID, &e.Circuit })
	all = listed(all, "modems", p.Modems, func(e *Modem) (*string, **string) { return &e.ID, &e.Circuit })
	all = listed(all, "sirens", p.Sirens, func(e *Siren) (*string, **string) { return &e.ID, &e.Circuit })
	all = listed(all, "persons", p.Persons, func(e *Person) (*string, **string) { return &e.ID, nil })
	all = listed(all, "power.circuits", p.Power.Circuits, func(e *Circuit) (*string, **string) { return &e.ID, nil })
	all = leakElements(roomElements(plumbingElements(supplyElements(all, p), p), p), p)
	all = listed(all, "skimmers", p.Skimmers, func(e *Skimmer) (*string, **string) { return &e.ID, &e.Circuit })
	return chemicalElements(all, p)
}

func listed[E any](all []element, name string, list []E, members func(*E) (*string, **string)) []element {
	for i := range list {
		id, circuit := members(&list[i])
		all = append(all, element{fmt.Sprintf("%s[%d]", name, i), id, circuit})
	}
	return all
}

// elementIDs maps every id to the path of the element that has it (the first).
func elementIDs(p Plan) map[string]string {
	ids := map[string]string{}
	for _, e := range elementsOf(&p) {
		if _, taken := ids[*e.id]; !taken {
			ids[*e.id] = e.path
		}
	}
	return ids
}

// Elements returns how many elements a plan names.
//
// Errors: none. Source: [Derived].
func Elements(p Plan) int { return len(elementsOf(&p)) }

// FreeID returns the wanted id, or one like it, that no element of a plan has.
//
// Errors: none. Source: [Derived].
func FreeID(p Plan, wanted string) string {
	ids := elementIDs(p)
	for id, n := wanted, 2; ; n++ {
		if _, taken := ids[id]; !taken {
			return id
		}
		id = fmt.Sprintf("%s-%d", wanted, n)
	}
}

// drawing is an element that draws power, with the two members that say where from.
type drawing struct {
	path            string
	circuit, supply **string
}

// drawingOf returns whatever draws power, in the order of the document.
func drawingOf(p *Plan) []drawing {
	var all []drawing
	add := func(list string, i int, circuit, supply **string) {
		all = append(all, drawing{fmt.Sprintf("%s[%d]", list, i), circuit, supply})
	}
	for i := range p.Heaters {
		add("heaters", i, &p.Heaters[i].Circuit, &p.Heaters[i].Supply)
	}
	for i := range p.Chillers {
		add("chillers", i, &p.Chillers[i].Circuit, &p.Chillers[i].Supply)
	}
	for i := range p.Fans {
		add("fans", i, &p.Fans[i].Circuit, &p.Fans[i].Supply)
	}
	for i := range p.Pumps {
		add("pumps", i, &p.Pumps[i].Circuit, &p.Pumps[i].Supply)
	}
	for i := range p.TopOffPumps {
		add("top_off_pumps", i, &p.TopOffPumps[i].Circuit, &p.TopOffPumps[i].Supply)
	}
	for i := range p.Lights {
		add("lights", i, &p.Lights[i].Circuit, &p.Lights[i].Supply)
	}
	for i := range p.Controls {
		add("controls", i, &p.Controls[i].Circuit, &p.Controls[i].Supply)
	}
	for i := range p.Alarms {
		add("alarms", i, &p.Alarms[i].Circuit, &p.Alarms[i].Supply)
	}
	for i := range p.Skimmers {
		add("skimmers", i, &p.Skimmers[i].Circuit, &p.Skimmers[i].Supply)
	}
	for i := range p.DosingPumps {
		add("dosing_pumps", i, &p.DosingPumps[i].Circuit, &p.DosingPumps[i].Supply)
	}
	for i := range p.ChangePumps {
		add("change_pumps", i, &p.ChangePumps[i].Circuit, &p.ChangePumps[i].Supply)
	}
	for i := range p.CarbonDioxide {
		add("carbon_dioxide", i, &p.CarbonDioxide[i].Circuit, &p.CarbonDioxide[i].Supply)
	}
	for i := range p.Contactors {
		add("contactors", i, &p.Contactors[i].Circuit, &p.Contactors[i].Supply)
	}
	for i := range p.Boxes {
		add("boxes", i, &p.Boxes[i].Circuit, &p.Boxes[i].Supply)
	}
	for i := range p.Routers {
		add("routers", i, &p.Routers[i].Circuit, &p.Routers[i].Supply)
	}
	for i := range p.Modems {
		add("modems", i, &p.Modems[i].Circuit, &p.Modems[i].Supply)
	}
	for i := range p.Sirens {
		add("sirens", i, &p.Sirens[i].Circuit, &p.Sirens[i].Supply)
	}
	for i := range p.RoomDevices {
		add("room_devices", i, &p.RoomDevices[i].Circuit, &p.RoomDevices[i].Supply)
	}
	return all
}

// supplyElements adds the supply tree, which hangs on no circuit itself, to the elements of a plan.
func supplyElements(all []element, p *Plan) []element {
	w := &p.Power
	all = listed(all, "power.residual_current_devices", w.ResidualCurrentDevices,
		func(e *ResidualCurrentDevice) (*string, **string) { return &e.ID, nil })
	all = listed(all, "power.strips", w.Strips, func(e *Strip) (*string, **string) { return &e.ID, nil })
	return listed(all, "power.backups", w.Backups, func(e *Backup) (*string, **string) { return &e.ID, nil })
}

func plumbingElements(all []element, p *Plan) []element {
	all = listed(all, "overflows", p.Overflows, func(e *Overflow) (*string, **string) { return &e.ID, nil })
	return listed(all, "return_lines", p.ReturnLines, func(e *ReturnLine) (*string, **string) { return &e.ID, nil })
}

func roomElements(all []element, p *Plan) []element {
	return listed(all, "room_devices", p.RoomDevices,
		func(e *RoomDevice) (*string, **string) { return &e.ID, &e.Circuit })
}

func leakElements(all []element, p *Plan) []element {
	return listed(all, "leaks", p.Leaks, func(e *Leak) (*string, **string) { return &e.ID, nil })
}

func chemicalElements(all []element, p *Plan) []element {
	all = listed(all, "dosing_pumps", p.DosingPumps, func(e *DosingPump) (*string, **string) {
		return &e.ID, &e.Circuit
	})
	all = listed(all, "change_pumps", p.ChangePumps, func(e *ChangePump) (*string, **string) {
		return &e.ID, &e.Circuit
	})
	return listed(all, "carbon_dioxide", p.CarbonDioxide, func(e *CarbonDioxide) (*string, **string) {
		return &e.ID, &e.Circuit
	})
}
