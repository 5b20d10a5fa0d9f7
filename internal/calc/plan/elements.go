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
	return listed(all, "power.circuits", p.Power.Circuits, func(e *Circuit) (*string, **string) { return &e.ID, nil })
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
