package audit

import (
	"slices"
	"sort"

	"saltwright/internal/calc/reliability"
	"saltwright/internal/calc/sim"
)

// CutSet is a smallest set of faults that loses the tank in one way.
type CutSet struct {
	Loss    string   // kind of loss
	Faults  []string // ids; one, or two
	Room    RoomName // the room in which harm comes first
	HarmH   float64
	RaisedH *float64 // first alarm that reaches somebody; nil: none does
	index   []int
}

// Rescue is a set of faults whose harm an alarm beats: with a slower response it is a cut set.
type Rescue struct {
	CutSet
	MarginH float64
}

// harm is one kind of loss in one course.
type harm struct {
	loss    string
	harmH   float64
	raisedH *float64
	lost    bool // no alarm, or too late
}

// harmsOf lists the harm of an outcome that the plan does not do by itself.
func (rm *room) harmsOf(o outcome, injections []sim.Injection, responseH float64) []harm {
	if !o.harmful() {
		return nil
	}
	_, raisedH := rm.firstReaching(o.course.Alarms(injections))
	var list []harm
	for _, c := range o.crossings {
		if c.HarmH == nil || rm.nominal.happensAnyway(c) {
			continue
		}
		margin := MarginH(*c.HarmH, raisedH, responseH)
		list = append(list, harm{c.Loss, *c.HarmH, raisedH, margin == nil || *margin < 0 || o.course.Truncated})
	}
	if o.course.Truncated && len(list) == 0 { // never call a run that was cut short safe
		list = append(list, harm{"switching_without_end", o.course.EndS / secondsPerHour, raisedH, true})
	}
	return list
}

// cutSets gathers sets of faults by kind of loss, the earliest harm of each.
type cutSets struct {
	lost, rescued map[string]map[faultSet]CutSet
}

// faultSet is one fault and -1, or two faults in their order.
type faultSet [2]int

func faultSetOf(faults []int) faultSet {
	if len(faults) == 1 {
		return faultSet{faults[0], -1}
	}
	return faultSet{faults[0], faults[1]}
}

func newCutSets() *cutSets {
	return &cutSets{map[string]map[faultSet]CutSet{}, map[string]map[faultSet]CutSet{}}
}

func (c *cutSets) add(list []harm, faults []int, in RoomName) {
	key := faultSetOf(faults)
	for _, h := range list {
		into := c.rescued
		if h.lost {
			into = c.lost
		}
		if into[h.loss] == nil {
			into[h.loss] = map[faultSet]CutSet{}
		}
		if old, ok := into[h.loss][key]; !ok || sooner(h.harmH, old.HarmH) {
			into[h.loss][key] = CutSet{Loss: h.loss, Room: in, HarmH: h.harmH, RaisedH: h.raisedH, index: faults}
		}
	}
}

// alone tells whether one of these faults by itself brings a loss that no alarm beats.
func (c *cutSets) alone(loss string, faults []int) bool {
	return slices.ContainsFunc(faults, func(i int) bool {
		_, ok := c.lost[loss][faultSet{i, -1}]
		return ok
	})
}

// list returns the minimal sets, sorted. Where harm is beaten a set is minimal among the lost and the rescued together.
func (c *cutSets) list(all []Fault, responseH float64) ([]CutSet, []Rescue) {
	var sets []CutSet
	var rescues []Rescue
	named := func(s CutSet) CutSet {
		for _, i := range s.index {
			s.Faults = append(s.Faults, all[i].ID)
		}
		return s
	}
	for _, lost := range c.lost {
		for _, faults := range reliability.Minimal(indices(lost)) {
			sets = append(sets, named(lost[faultSetOf(faults)]))
		}
	}
	for loss, rescued := range c.rescued {
		for _, faults := range reliability.Minimal(append(indices(rescued), indices(c.lost[loss])...)) {
			s, ok := rescued[faultSetOf(faults)]
			if _, lost := c.lost[loss][faultSetOf(faults)]; ok && !lost {
				rescues = append(rescues, Rescue{named(s), *MarginH(s.HarmH, s.RaisedH, responseH)})
			}
		}
	}
	sort.Slice(sets, func(i, j int) bool { return before(sets[i], sets[j]) })
	sort.Slice(rescues, func(i, j int) bool { return before(rescues[i].CutSet, rescues[j].CutSet) })
	return sets, rescues
}

func indices(sets map[faultSet]CutSet) [][]int {
	var out [][]int
	for _, s := range sets {
		out = append(out, s.index)
	}
	return out
}

func before(a, b CutSet) bool {
	if len(a.Faults) != len(b.Faults) {
		return len(a.Faults) < len(b.Faults)
	}
	if a.Loss != b.Loss {
		return a.Loss < b.Loss
	}
	return slices.Compare(a.Faults, b.Faults) < 0
}
