package risk

import (
	"math"
	"slices"
	"sort"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/numeric"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/reliability"
)

const (
	daysPerYear  = 365.25
	lossesPer100 = 100.0 // tank-years
)

// model is everything the arithmetic and the drawn years share.
type model struct {
	faults   []audit.FaultReport
	sets     []audit.CutSet // singles, and pairs without a single in them
	index    [][]int
	elements []string  // that have a fault in a set
	parts    [][]int   // by set: the elements of its faults, each once
	started  [][]start // by fault: the sets that its coming may complete, the earliest harm first
	rate     []float64
	hidden   []bool
	interval []float64 // years between tests of a hidden fault
	lasts    []float64 // years after which it passes by itself; 0: it stays until it is found
	absence  float64   // h
	look     float64   // h
	share    float64   // of the year spent in absences of the longest length
}

// start is a set that a fault completes, and the fault that has to be there already; -1: none.
type start struct{ set, partner int }

// of returns the model with other sets.
func (m model) of(sets []audit.CutSet) model {
	m.sets, m.index = distinct(sets, m.faults)
	m.elements, m.parts = nil, nil
	for _, set := range m.index {
		var parts []int
		for _, i := range set {
			id := m.faults[i].Fault.Element
			k := slices.Index(m.elements, id)
			if k < 0 {
				k = len(m.elements)
				m.elements = append(m.elements, id)
			}
			if !slices.Contains(parts, k) {
				parts = append(parts, k)
			}
		}
		m.parts = append(m.parts, parts)
	}
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
			return numeric.Rounded(m.sets[list[a].set].AtH) < numeric.Rounded(m.sets[list[b].set].AtH)
		})
	}
	return out
}

// distinct keeps each set of faults once, by its earliest harm, and no pair that holds a single.
func distinct(all []audit.CutSet, faults []audit.FaultReport) ([]audit.CutSet, [][]int) {
	place := map[string]int{}
	for i, f := range faults {
		place[f.Fault.ID] = i
	}
	var sets []audit.CutSet
	var index [][]int
	single := map[int]bool{}
	for _, s := range all { // singles come first
		var ids []int
		for _, f := range s.Faults {
			ids = append(ids, place[f])
		}
		if len(ids) == 2 && (single[ids[0]] || single[ids[1]]) {
			continue
		}
		if len(ids) == 1 {
			single[ids[0]] = true
		}
		if k := slices.IndexFunc(index, func(x []int) bool { return slices.Equal(x, ids) }); k >= 0 {
			if s.AtH < sets[k].AtH {
				sets[k] = s
			}
			continue
		}
		sets, index = append(sets, s), append(index, ids)
	}
	return sets, index
}

// testedEvery returns the years between two tests of an element, or how long it waits untested.
func testedEvery(p plan.Plan, element string, untested float64) float64 {
	every := untested
	for _, t := range p.ProofTests {
		if t.Element == element {
			every = math.Min(every, t.EveryDays/daysPerYear)
		}
	}
	return every
}

// alone is the chance that nobody comes for some hours after a moment of the year.
func (m model) alone(h float64) float64 {
	return m.share*math.Max(0, 1-h/m.absence) + (1-m.share)*math.Max(0, 1-h/m.look)
}

// before is the mean time, in years, that a fault which is seen at the next look has been there when a
// second one comes and nobody follows for some hours more: with u left of a period P, P - u has gone by.
//
//	∫ (P - u) du / P over u = H … P = (P - H)²/(2 P)
func (m model) before(h float64) float64 {
	part := func(period float64) float64 {
		left := math.Max(0, period-h)
		return left * left / (2 * period)
	}
	return (m.share*part(m.absence) + (1-m.share)*part(m.look)) / hoursPerYear
}

// frequencies returns how often each set loses the tank, per year.
//
// A fault that comes finds each partner j failed with the chance q_j, independently. Of the time u until
// the next look, those with H_j < u matter: the tank is lost with 1 - Π (1 - q_j) over them, q being 1 for
// the fault alone. Σ over the steps of H is exact; each set gets its part of the sum of its own chances.
func (m model) frequencies(rate, interval []float64) ([]float64, error) {
	reveals := make([]float64, len(rate)) // how often a hidden fault's being there costs the tank
	for i, list := range m.started {
		for _, x := range list {
			if x.partner >= 0 {
				reveals[x.partner] += rate[i] * m.alone(m.sets[x.set].AtH)
			}
		}
	}
	q := make([]float64, len(rate))
	for i := range rate {
		if !m.hidden[i] {
			continue
		}
		if m.lasts[i] > 0 {
			q[i] = rate[i] * m.lasts[i] / (1 + (rate[i]+reveals[i])*m.lasts[i])
			continue
		}
		var err error
		if q[i], err = reliability.Tested(rate[i], interval[i], reveals[i]); err != nil {
			return nil, err
		}
	}
	out := make([]float64, len(m.sets))
	for i, list := range m.started {
		lost, survive, chances := 0.0, 1.0, 0.0
		waits := make([]start, 0, len(list)) // alone, or with a partner that waits hidden
		for _, x := range list {
			if x.partner < 0 || m.hidden[x.partner] {
				waits = append(waits, x)
				continue
			}
			out[x.set] += rate[i] * rate[x.partner] * m.before(m.sets[x.set].AtH)
		}
		chance := func(x start) float64 {
			if x.partner < 0 {
				return 1
			}
			return q[x.partner]
		}
		for n, x := range waits {
			survive *= 1 - chance(x)
			until := 0.0
			if n+1 < len(waits) {
				until = m.alone(m.sets[waits[n+1].set].AtH)
			}
			lost += (m.alone(m.sets[x.set].AtH) - until) * (1 - survive)
			chances += chance(x) * m.alone(m.sets[x.set].AtH)
		}
		for _, x := range waits {
			if chances > 0 {
				out[x.set] += rate[i] * lost * chance(x) * m.alone(m.sets[x.set].AtH) / chances
			}
		}
	}
	return out, nil
}

// per100 returns the losses in 100 tank-years at some rates and intervals between tests.
func (m model) per100(rate, interval []float64) (float64, error) {
	each, err := m.frequencies(rate, interval)
	if err != nil {
		return 0, err
	}
	top, err := reliability.TopEvent(m.parts, each, len(m.elements))
	return lossesPer100 * top.Total, err
}
