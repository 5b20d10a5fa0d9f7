package plan

// Plug lets another circuit, or a strip, feed an element that draws power; not ok where the plan names none of that id.
//
// Errors: none. Source: [Derived].
func (p *Plan) Plug(id, supply string) (ok bool) {
	for i := range p.Power.Strips {
		if x := &p.Power.Strips[i]; x.ID == id {
			x.Supply = supply
			return true
		}
	}
	paths := map[string]bool{}
	for _, e := range elementsOf(p) {
		if *e.id == id {
			paths[e.path] = true
		}
	}
	for _, e := range drawingOf(p) {
		if paths[e.path] {
			*e.circuit, *e.supply = &supply, nil
			return true
		}
	}
	return false
}

// OtherCircuit returns the first circuit that does not open with a supply; empty: there is none.
//
// Errors: none. Source: [Derived].
func (w Power) OtherCircuit(supply string) string {
	above := map[string]bool{}
	for _, id := range w.Above(supply) {
		above[id] = true
	}
	for _, c := range w.Circuits {
		if !above[c.ID] && (c.ResidualCurrentDevice == nil || !above[*c.ResidualCurrentDevice]) {
			return c.ID
		}
	}
	return ""
}

// CircuitOf returns the circuit that feeds a strip, through however many others; the supply itself where it is one.
//
// Errors: none. Source: [Derived].
func (w Power) CircuitOf(supply string) string {
	for _, id := range w.Above(supply) {
		for _, c := range w.Circuits {
			if c.ID == id {
				return id
			}
		}
	}
	return supply
}
