package drawing

import "slices"

// Node is one line of the drawing's twin: a part, what of it matters there, and what follows from it.
type Node struct {
	Part
	Shared bool
	Below  []Node
}

// Branch is one list of the twin.
type Branch struct {
	Title string
	Nodes []Node
}

// Twin says in nested lists what the drawing shows: what hangs on what, where the water is, and from each sensor what
// acts on it and who hears of it.
func (m *Model) Twin() []Branch {
	shared := map[string]bool{}
	for _, c := range m.Causes() {
		shared[c.ID] = c.Mixed
	}
	node := func(p Part) Node { return Node{Part: p, Shared: shared[p.ID]} }
	var hangs func(on string) []Node
	hangs = func(on string) []Node {
		var below []Node
		for _, list := range [][]Part{m.Supplies, m.Parts} {
			for _, p := range list {
				if p.Circuit == on || p.Box == on && on != "" {
					n := node(p)
					n.Below = hangs(p.ID)
					below = append(below, n)
				}
			}
		}
		return below
	}
	out := []Branch{{m.voice.Say("twin_hangs"), hangs(theMains)}}
	var water []Node
	for _, zone := range zones {
		here := Node{Part: Part{Name: m.voice.Say(string(zone)), Zone: zone}}
		for _, p := range m.Parts {
			if p.Zone == zone && zone != Controls && zone != Alarms && zone != Paths && zone != Person {
				here.Below = append(here.Below, node(p))
			}
		}
		if len(here.Below) > 0 {
			water = append(water, here)
		}
	}
	out = append(out, Branch{m.voice.Say("twin_where"), water})
	var acts, tells []Node
	for _, p := range m.Parts {
		switch p.Zone {
		case Controls, Alarms, Paths, Person:
			continue
		}
		for _, style := range []Meaning{Acts, Tells} {
			n := node(p)
			if n.Below = m.follow(p.ID, style, node, 4); len(n.Below) == 0 {
				continue
			}
			if style == Acts {
				acts = append(acts, n)
			} else {
				tells = append(tells, n)
			}
		}
	}
	for _, p := range m.Parts { // what acts by a clock
		if p.Zone == Controls && !m.reads(p.ID) {
			n := node(p)
			n.Below = m.follow(p.ID, Acts, node, 4)
			acts = append(acts, n)
		}
	}
	return append(out, Branch{m.voice.Say("twin_acts"), acts}, Branch{m.voice.Say("twin_hears"), tells})
}

func (m *Model) reads(id string) bool {
	for _, l := range m.Lines {
		for _, to := range l.To {
			if to == id && m.Part(l.From[0]) != nil && m.Part(l.From[0]).Zone != Controls {
				return true
			}
		}
	}
	return false
}

// follow is what lines of one meaning lead to from a part, as deep as asked.
func (m *Model) follow(id string, style Meaning, node func(Part) Node, deep int) []Node {
	var out []Node
	for _, l := range m.Lines {
		if l.Style != style || deep == 0 || !slices.Contains(l.From, id) {
			continue
		}
		for _, to := range l.To {
			if p := m.Part(to); p != nil {
				n := node(*p)
				n.Below = m.follow(to, style, node, deep-1)
				out = append(out, n)
			}
		}
	}
	return out
}
