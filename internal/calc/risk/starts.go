package risk

import (
	"sort"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/numeric"
)

// start is a set that a fault completes, and the fault that has to be there already; -1: none.
type start struct{ set, partner int }

// of returns the model with other sets.
func (m model) of(sets []audit.CutSet) model {
	m.sets, m.index = distinct(sets, m.faults)
	m.started = m.startedBy()
	return m
}

// startedBy returns by fault the sets that its coming may complete, the earliest harm first.
func (m model) startedBy() [][]start {
	out := make([][]start, len(m.faults))
	for k, s := range m.index {
		if len(s) == 1 {
			out[s[0]] = append(out[s[0]], start{k, -1})
			continue
		}
		out[s[0]] = append(out[s[0]], start{k, s[1]})
		out[s[1]] = append(out[s[1]], start{k, s[0]})
	}
	for _, list := range out {
		sort.SliceStable(list, func(a, b int) bool {
			return numeric.Rounded(m.sets[list[a].set].HarmH) < numeric.Rounded(m.sets[list[b].set].HarmH)
		})
	}
	return out
}
