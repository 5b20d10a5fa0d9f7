package audit

import (
	"cmp"
	"slices"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/reliability"
	"saltwright/internal/calc/sim"
)

// CutSet is a smallest set of faults that harms, or loses, the tank in one way.
type CutSet struct {
	Step   Step
	Loss   string      // kind of loss
	Faults []string    // ids; one, or two
	Room   RoomName    // the room in which it comes first
	AtH    float64     // when it comes to this step
	Calls  []plan.Call // of those whom an alarm reaches
	index  []int
}

// Rescue is a set of faults that an alarm beats: with a slower response it is a cut set.
type Rescue struct {
	CutSet
	MarginH float64
}

// way is a kind of loss and how far it comes.
type way struct {
	loss string
	step Step
}

// harm is one way in which one course ends badly.
type harm struct {
	way
	atH   float64
	calls []plan.Call
	late  bool // no alarm, or too late
}

// harmsOf lists the harm of an outcome that the plan does not do by itself.
func (rm *room) harmsOf(o outcome, injections []sim.Injection) []harm {
	if !o.harmful() {
		return nil
	}
	calls := rm.calls(o.course.Calls(injections), injections)
	acts := rm.actsH(calls)
	var list []harm
	for _, c := range o.crossings {
		if rm.nominal.happensAnyway(c) {
			continue
		}
		for _, step := range []Step{HarmStep, LossStep} {
			if at := c.step(step); at != nil {
				margin := MarginH(*at, acts)
				late := margin == nil || *margin < 0 || o.course.Truncated
				list = append(list, harm{way{c.Loss, step}, *at, calls, late})
			}
		}
	}
	if o.course.Truncated && len(list) == 0 { // never call a run that was cut short safe
		for _, step := range []Step{HarmStep, LossStep} {
			list = append(list, harm{way{switchingWithoutEnd, step}, o.course.EndS / secondsPerHour, calls, true})
		}
	}
	return list
}

const switchingWithoutEnd = "switching_without_end"

// cutSets gathers sets of faults by the way they end in, the earliest of each.
type cutSets struct {
	late, rescued map[way]map[faultSet]CutSet
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
	return &cutSets{map[way]map[faultSet]CutSet{}, map[way]map[faultSet]CutSet{}}
}

func (c *cutSets) add(list []harm, faults []int, in RoomName) {
	key := faultSetOf(faults)
	for _, h := range list {
		into := c.rescued
		if h.late {
			into = c.late
		}
		if into[h.way] == nil {
			into[h.way] = map[faultSet]CutSet{}
		}
		if old, ok := into[h.way][key]; !ok || sooner(h.atH, old.AtH) {
			into[h.way][key] = CutSet{Step: h.step, Loss: h.loss, Room: in, AtH: h.atH, Calls: h.calls,
				index: faults}
		}
	}
}

// alone tells whether one of these faults by itself ends in a way that no alarm beats.
func (c *cutSets) alone(w way, faults []int) bool {
	return slices.ContainsFunc(faults, func(i int) bool {
		_, ok := c.late[w][faultSet{i, -1}]
		return ok
	})
}

// list returns the minimal sets, sorted. Where an alarm is in time a set is minimal among the late and the rescued
// together.
func (c *cutSets) list(all []Fault, rm *room) ([]CutSet, []Rescue) {
	var sets []CutSet
	var rescues []Rescue
	named := func(s CutSet) CutSet {
		for _, i := range s.index {
			s.Faults = append(s.Faults, all[i].ID)
		}
		return s
	}
	for _, late := range c.late {
		for _, faults := range reliability.Minimal(indices(late)) {
			sets = append(sets, named(late[faultSetOf(faults)]))
		}
	}
	for w, rescued := range c.rescued {
		for _, faults := range reliability.Minimal(append(indices(rescued), indices(c.late[w])...)) {
			s, ok := rescued[faultSetOf(faults)]
			if _, late := c.late[w][faultSetOf(faults)]; ok && !late {
				rescues = append(rescues, Rescue{named(s), *MarginH(s.AtH, rm.actsH(s.Calls))})
			}
		}
	}
	slices.SortFunc(sets, inOrder)
	slices.SortFunc(rescues, func(a, b Rescue) int { return inOrder(a.CutSet, b.CutSet) })
	return sets, rescues
}

func indices(sets map[faultSet]CutSet) [][]int {
	var out [][]int
	for _, s := range sets {
		out = append(out, s.index)
	}
	return out
}

// inOrder compares two sets: losses before harms, fewer faults first, then by kind and by name.
func inOrder(a, b CutSet) int {
	return cmp.Or(cmp.Compare(b.Step, a.Step), cmp.Compare(len(a.Faults), len(b.Faults)), cmp.Compare(a.Loss, b.Loss),
		slices.Compare(a.Faults, b.Faults))
}
