package drawing

import (
	"cmp"
	"slices"
)

// Cause is a part on which several others rest, so that they fail together.
type Cause struct {
	Part
	Takes []string // what no longer works without it, itself left out
	Mixed bool     // something that protects is among them, and something that it protects
}

// Causes lists what several parts rest on: first what takes down a protection with what it protects, then by how much
// it takes down.
func (m *Model) Causes() []Cause {
	var out []Cause
	for _, list := range [][]Part{m.Supplies, m.Parts} {
		for _, p := range list {
			c := Cause{Part: p, Takes: m.Dead(p.ID)[1:]}
			switch {
			case p.Zone == Paths: // what is told by it
				c.Takes = m.sources(p.ID)
			case p.contacts: // its contacts stand before several devices
				c.Takes = m.acted(p.ID)
			case p.Zone == Alarms || p.Zone == Person || p.Zone == Controls:
				continue
			}
			if len(c.Takes) < 2 {
				continue
			}
			var protects, acts bool
			for _, id := range c.Takes {
				switch x := m.Part(id); x.Zone {
				case Alarms, Paths:
					protects = true
				case Controls:
					protects, acts = protects || x.guards, acts || !x.guards
				default:
					acts = acts || x.Circuit != ""
				}
			}
			c.Mixed = protects && acts
			out = append(out, c)
		}
	}
	slices.SortStableFunc(out, func(a, b Cause) int {
		return cmp.Or(bit(b.Mixed)-bit(a.Mixed), len(b.Takes)-len(a.Takes))
	})
	return out
}

// Dead lists what no longer works when a part fails for good: itself, what hangs on it, what relays without power leave
// open, and what reads nothing else.
func (m *Model) Dead(failed string) []string {
	out := []string{failed}
	dead := func(id string) bool { return id != "" && slices.Contains(out, id) }
	unfed := map[string]bool{} // of these, what lost its supply
	for grown := true; grown; {
		grown = false
		for _, list := range [][]Part{m.Supplies, m.Parts} {
			for _, p := range list {
				if dead(p.ID) {
					continue
				}
				unfed[p.ID] = dead(p.Circuit) && !p.Battery || m.open(p.ID, unfed)
				if unfed[p.ID] || dead(p.Box) || m.blind(p, dead) {
					out, grown = append(out, p.ID), true
				}
			}
		}
	}
	return out
}

// open tells whether a control or contactor without supply stands before a part.
func (m *Model) open(id string, unfed map[string]bool) bool {
	return slices.ContainsFunc(m.Lines, func(l Line) bool {
		from := m.Part(l.From[0])
		if l.Style != Acts || from == nil || from.Zone != Controls || !unfed[from.ID] || !slices.Contains(l.To, id) {
			return false
		}
		box := m.Part(from.Circuit)
		return box == nil || !box.keeps
	})
}

// sources are the parts whose lines lead to a part, acted those that its own lead to.
func (m *Model) sources(id string) (out []string) {
	for _, l := range m.Lines {
		if slices.Contains(l.To, id) {
			out = append(out, l.From...)
		}
	}
	return out
}

func (m *Model) acted(id string) (out []string) {
	for _, l := range m.Lines {
		if slices.Contains(l.From, id) && l.Style == Acts {
			out = append(out, l.To...)
		}
	}
	return out
}

// blind tells whether a control or alarm reads sensors, and all that it reads are dead.
func (m *Model) blind(p Part, dead func(id string) bool) bool {
	if p.Zone != Controls && p.Zone != Alarms {
		return false
	}
	reads := false
	for _, l := range m.Lines {
		from := m.Part(l.From[0])
		if from == nil || !slices.Contains(l.To, p.ID) || !from.sensor {
			continue
		}
		if reads = true; !dead(from.ID) {
			return false
		}
	}
	return reads
}
