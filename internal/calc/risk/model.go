package risk

import (
	"cmp"
	"math"
	"slices"

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
	chances  plan.Chances
	sets     []set
	elements []string    // that have a fault in a set
	parts    [][]int     // by set: the elements of its faults, each once
	started  [][][]start // by room and fault: the sets that its coming may complete, the earliest harm first
	rate     []float64   // of each fault, all causes
	own      []float64   // the share of it in which the fault comes alone
	hidden   []bool
	mains    []bool    // it lasts as long as an interruption of the mains
	interval []float64 // years between tests of a hidden fault
	lasts    []float64 // years after which it passes by itself; 0: it stays until it is found
	absence  float64   // h
	look     float64   // h
	share    float64   // of the year spent in absences of the longest length
}

// set is a cut set of one room, with what of its chance does not depend on rates.
type set struct {
	audit.CutSet
	faults     []int
	room       int
	weight     float64 // share of the year that the room is like that
	unanswered float64 // chance that nobody acts on an alarm in time
	alone      float64 // chance that nobody comes in time
	before     float64 // mean time that a fault seen at the next look has been there, and nobody comes in time, years
}

// start is a set that a fault completes, and the fault that has to be there already; -1: none.
type start struct{ set, partner int }

// rooms are the states of the room.
func (m model) rooms() []audit.RoomName {
	return []audit.RoomName{audit.Coldest, audit.Usual, audit.Warmest}
}

// weights are the shares of the year that the rooms take.
func (m model) weights() []float64 {
	cold, warm := m.chances.ColdestShare, m.chances.WarmestShare
	return []float64{cold, math.Max(0, 1-cold-warm), warm}
}

// of returns the model with other sets.
func (m model) of(sets []audit.CutSet) model {
	m.sets = m.distinct(sets)
	m.elements, m.parts = nil, nil
	for _, x := range m.sets {
		var parts []int
		for _, i := range x.faults {
			for _, id := range m.faults[i].Fault.Elements() {
				k := slices.Index(m.elements, id)
				if k < 0 {
					k = len(m.elements)
					m.elements = append(m.elements, id)
				}
				if !slices.Contains(parts, k) {
					parts = append(parts, k)
				}
			}
		}
		m.parts = append(m.parts, parts)
	}
	m.started = make([][][]start, len(m.rooms()))
	for r := range m.started {
		m.started[r] = m.startedBy(r)
	}
	return m
}

// startedBy returns by fault the sets of a room that its coming may complete, the earliest harm first.
func (m model) startedBy(room int) [][]start {
	out := make([][]start, len(m.faults))
	for k, x := range m.sets {
		if x.room != room {
			continue
		}
		if len(x.faults) == 1 {
			out[x.faults[0]] = append(out[x.faults[0]], start{k, -1})
			continue
		}
		out[x.faults[0]] = append(out[x.faults[0]], start{k, x.faults[1]})
		out[x.faults[1]] = append(out[x.faults[1]], start{k, x.faults[0]})
	}
	for _, list := range out {
		slices.SortStableFunc(list, func(a, b start) int {
			return cmp.Compare(numeric.Rounded(m.sets[a.set].AtH), numeric.Rounded(m.sets[b.set].AtH))
		})
	}
	return out
}

// distinct keeps each set of faults of a room once, by its earliest harm, and no pair that holds a single which no
// alarm beats.
func (m model) distinct(all []audit.CutSet) []set {
	type key struct{ room, a, b int }
	place := map[string]int{}
	for i, f := range m.faults {
		place[f.Fault.ID] = i
	}
	keyOf := func(s audit.CutSet) key {
		k := key{slices.Index(m.rooms(), s.Room), place[s.Faults[0]], -1}
		if len(s.Faults) == 2 {
			k.b = place[s.Faults[1]]
		}
		return k
	}
	late := map[key]bool{} // of singles is asked
	for _, s := range all {
		if margin := audit.MarginH(s.AtH, m.chances.SoonestH(s.Calls)); margin == nil || *margin < 0 {
			late[keyOf(s)] = true
		}
	}
	var out []set
	known := map[key]int{}
	for _, s := range all {
		k := keyOf(s)
		if k.b >= 0 && (late[key{k.room, k.a, -1}] || late[key{k.room, k.b, -1}]) {
			continue
		}
		if n, ok := known[k]; ok {
			if s.AtH < out[n].AtH {
				out[n] = m.setOf(s, out[n].faults, k.room)
			}
			continue
		}
		faults := []int{k.a}
		if k.b >= 0 {
			faults = append(faults, k.b)
		}
		known[k], out = len(out), append(out, m.setOf(s, faults, k.room))
	}
	return out
}

func (m model) setOf(s audit.CutSet, faults []int, room int) set {
	return set{
		CutSet: s, faults: faults, room: room, weight: m.weights()[room],
		unanswered: unanswered(m.chances, s.AtH, s.Calls), alone: m.alone(s.AtH), before: m.before(s.AtH),
	}
}

// unanswered is the chance that nobody has acted on an alarm when it comes to harm.
func unanswered(c plan.Chances, atH float64, calls []plan.Call) float64 {
	return 1 - c.AnsweredWithin(atH, calls)
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

// intervals returns the years between two tests of each fault. A test that finds one part of a common cause failed has
// the others tried, too.
func (m model) intervals(every func(element string) float64) []float64 {
	out := make([]float64, len(m.faults))
	for i, f := range m.faults {
		out[i] = math.Inf(1)
		for _, id := range f.Fault.Elements() {
			out[i] = math.Min(out[i], every(id))
		}
	}
	return out
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
// A fault that comes in a room finds each partner j failed with the chance q_j, independently. Of the time u until the
// next look, those with H_j < u matter: the tank is lost with 1 - Π (1 - q_j a_j) over them, q being 1 for the fault
// alone and a the chance that no alarm is answered in time. Σ over the steps of H is exact; each set gets its part of
// the sum of its own chances.
func (m model) frequencies(whole, interval []float64) ([]float64, error) {
	rate := make([]float64, len(whole))
	for i := range rate {
		rate[i] = whole[i] * m.own[i]
	}
	q, err := m.unavailable(rate, interval)
	if err != nil {
		return nil, err
	}
	out := make([]float64, len(m.sets))
	var waits []start
	for r, weight := range m.weights() {
		for i, list := range m.started[r] {
			if len(list) == 0 || weight == 0 || rate[i] == 0 {
				continue
			}
			waits = waits[:0] // alone, or with a partner that waits hidden
			for _, x := range list {
				if x.partner < 0 || m.hidden[x.partner] {
					waits = append(waits, x)
					continue
				}
				out[x.set] += weight * rate[i] * rate[x.partner] * m.both(i, x)
			}
			m.shareOut(out, waits, i, weight*rate[i], q)
		}
	}
	return out, nil
}

// both is the mean time, in years, that a partner which is seen has been there, and the tank is lost when a fault
// comes.
func (m model) both(fault int, x start) float64 {
	s := &m.sets[x.set]
	if m.mains[x.partner] {
		return beyondH(s.AtH) / hoursPerYear * s.alone * s.unanswered
	}
	return s.before * m.lasting(fault, s.AtH) * s.unanswered
}

// lasting is the chance that a fault lasts some hours, as long as nobody comes.
func (m model) lasting(fault int, h float64) float64 {
	if m.mains[fault] {
		return longer(h)
	}
	return 1
}

// shareOut adds what one fault that comes so often loses to its sets.
func (m model) shareOut(out []float64, waits []start, fault int, perYear float64, q []float64) {
	left := func(x start) float64 { return m.sets[x.set].alone * m.lasting(fault, m.sets[x.set].AtH) }
	chance := func(x start) float64 {
		if x.partner < 0 {
			return m.sets[x.set].unanswered
		}
		return q[x.partner] * m.sets[x.set].unanswered
	}
	lost, survive, chances := 0.0, 1.0, 0.0
	for n, x := range waits {
		survive *= 1 - chance(x)
		until := 0.0
		if n+1 < len(waits) {
			until = left(waits[n+1])
		}
		lost += (left(x) - until) * (1 - survive)
		chances += chance(x) * left(x)
	}
	if chances == 0 {
		return
	}
	for _, x := range waits {
		out[x.set] += perYear * lost * chance(x) * left(x) / chances
	}
}

// unavailable returns the mean share of the time that each hidden fault waits.
func (m model) unavailable(rate, interval []float64) ([]float64, error) {
	reveals := make([]float64, len(rate)) // how often a hidden fault's being there costs the tank
	for r, weight := range m.weights() {
		for i, list := range m.started[r] {
			for _, x := range list {
				if x.partner >= 0 {
					s := &m.sets[x.set]
					reveals[x.partner] += weight * rate[i] * s.alone * m.lasting(i, s.AtH) * s.unanswered
				}
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
	return q, nil
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
