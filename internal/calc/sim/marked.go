package sim

import "slices"

// Marked returns the marks of a run with these injections, taken from the run of their effect, and whether that tells them.
//
// Why this is exact: the water goes the same way in both runs, and so do the relays of every device that ever runs; hence
// reservoirs, flow and thermostats leave the same marks, and what never runs leaves none. Circuits are known without a
// run. A control leaves the same marks where it is powered, told and forced alike in both. Where it is not, a control
// that hangs or has no power leaves none, and one whose sensor says the same for good trips at once or never.
//
//	out  the run of the effect e, not cut short
//
// Accuracy: exact, but for rounding in when. Errors: none. Source: [Derived].
func Marked(s *System, out *Outcome, e Effect, injections []Injection) (marks []Mark, known bool) {
	w := s.wiring
	if w == nil {
		w = newWiring(s)
	}
	m := marking{s: s, w: w, own: newFaultState(s, injections), effect: e.f, marks: out.Marks}
	for i := range s.Controls {
		if !m.control(i) {
			return nil, false
		}
	}
	return m.marks, m.circuits()
}

// marking turns the marks of an effect's run into those of faults of that effect.
type marking struct {
	s           *System
	w           *wiring
	own, effect faultState
	marks       []Mark
}

// control puts right what a control does, if that is known.
func (m *marking) control(i int) (known bool) {
	c := &m.s.Controls[i]
	kind := RunLimitReached
	if c.Kind == Cutout {
		kind = CutoutTripped
	}
	if c.Kind == Timer || c.Kind == Regulator && c.RunLimitS == 0 || m.alike(i) {
		return true
	}
	none := m.own.control[i] != 0 || m.own.circuitLost[c.Circuit]
	for _, j := range m.w.ontoControl[i] {
		none = none || m.own.relay[j] < 0
	}
	told := m.own.told(m.s, c)
	switch {
	case none, told != 0 && (told > 0) == (c.Kind == Cutout): // it hangs, is dead, or is told all is well
		m.drop(kind, i)
		return true
	case told == 0, c.Kind != Cutout, m.own.mainsLost, len(m.w.ontoControl[i]) > 0:
		return false
	}
	m.drop(kind, i)
	m.atOnce(kind, i)
	return true
}

// alike tells whether a control is powered, told and forced alike in both runs.
func (m *marking) alike(i int) bool {
	c, a, b := &m.s.Controls[i], &m.own, &m.effect
	if a.control[i] != b.control[i] || a.circuitLost[c.Circuit] != b.circuitLost[c.Circuit] {
		return false
	}
	if c.Kind != Timer {
		cond := &m.s.Conditions[c.Condition]
		if cond.Sensor >= 0 && a.sensor[cond.Sensor] != b.sensor[cond.Sensor] {
			return false
		}
		if cond.Kind == PowerPresent && a.circuitLost[cond.Index] != b.circuitLost[cond.Index] {
			return false
		}
	}
	for _, j := range m.w.ontoControl[i] {
		if a.relay[j] != b.relay[j] || a.relay[j] == 0 && !m.alike(m.s.Relays[j].Control) {
			return false
		}
	}
	return true
}

// circuits marks those that are dead from the start and that nothing in the effect's run was left to notice.
func (m *marking) circuits() (known bool) {
	for k, lost := range m.own.circuitLost {
		switch {
		case lost == m.effect.circuitLost[k]:
		case m.own.mainsLost:
			return false
		default:
			m.atOnce(CircuitDied, k)
		}
	}
	return true
}

func (m *marking) drop(kind MarkKind, index int) {
	same := func(x Mark) bool { return x.Kind == kind && x.Index == index }
	if slices.ContainsFunc(m.marks, same) {
		m.marks = slices.DeleteFunc(slices.Clone(m.marks), same)
	}
}

// atOnce adds a mark at the start, in the order in which an instant is gone through: circuits, then controls.
func (m *marking) atOnce(kind MarkKind, index int) {
	n := 0
	for n < len(m.marks) && m.marks[n].AtS == 0 && (m.marks[n].Kind == kind && m.marks[n].Index < index || m.marks[n].Kind == CircuitDied && kind != CircuitDied) {
		n++
	}
	m.marks = slices.Insert(slices.Clone(m.marks), n, Mark{Kind: kind, Index: index})
}
