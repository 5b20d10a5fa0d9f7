package plan

import "fmt"

// elementIDs maps every id to the path of the element that has it (the first).
func elementIDs(p Plan) map[string]string {
	ids := map[string]string{}
	each(p, func(id, path string) {
		if _, taken := ids[id]; !taken {
			ids[id] = path
		}
	})
	return ids
}

// Elements returns how many elements a plan names.
//
// Errors: none. Source: [Derived].
func Elements(p Plan) int {
	n := 0
	each(p, func(string, string) { n++ })
	return n
}

// each visits every element's id and path in the order of the document.
func each(p Plan, visit func(id, path string)) {
	for i, e := range p.Heaters {
		visit(e.ID, fmt.Sprintf("heaters[%d]", i))
	}
	for i, e := range p.Chillers {
		visit(e.ID, fmt.Sprintf("chillers[%d]", i))
	}
	for i, e := range p.Fans {
		visit(e.ID, fmt.Sprintf("fans[%d]", i))
	}
	for i, e := range p.Pumps {
		visit(e.ID, fmt.Sprintf("pumps[%d]", i))
	}
	for i, e := range p.TopOffPumps {
		visit(e.ID, fmt.Sprintf("top_off_pumps[%d]", i))
	}
	for i, e := range p.Reservoirs {
		visit(e.ID, fmt.Sprintf("reservoirs[%d]", i))
	}
	for i, e := range p.Lights {
		visit(e.ID, fmt.Sprintf("lights[%d]", i))
	}
	for i, e := range p.Sensors {
		visit(e.ID, fmt.Sprintf("sensors[%d]", i))
	}
	for i, e := range p.Controls {
		visit(e.ID, fmt.Sprintf("controls[%d]", i))
	}
	for i, e := range p.Alarms {
		visit(e.ID, fmt.Sprintf("alarms[%d]", i))
	}
	for i, e := range p.Power.Circuits {
		visit(e.ID, fmt.Sprintf("power.circuits[%d]", i))
	}
}
