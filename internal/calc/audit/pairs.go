package audit

import (
	"context"
	"math"
	"slices"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
	"saltwright/internal/calc/text"
)

// maxPairEvents bounds the events of all pairs together, of an ordinary plan; what is left out then is counted. It is
// no less where dissolved matter is followed: a household with dosing pumps needs nearly all of it.
const maxPairEvents = 1_500_000

// mostPairs bounds how many pairs are looked at, those with a protective fault first; what is left out then is counted.
// Each takes time before anything is followed. A household with dosing pumps has ten thousand.
const mostPairs = 40_000

// unbounded are the events of an audit whose pairs have a budget of their own.
const unbounded = math.MaxInt32

// Combined is the audit with pairs.
type Combined struct {
	Report     Report
	CutSets    []CutSet // minimal sets in each room that lose the tank, order 1 before 2, then by loss and faults
	HarmSets   []CutSet // minimal sets that harm it or do damage, in the same order
	Rescues    []Rescue // from loss and from harm; order 1 and 2, minimal in the same sense
	Considered int      // pairs of any fault with a hidden or protective one
	LeftOut    int      // of them: not reached within the budget
	Events     int      // of the pairs' runs
}

// Pairs audits a plan with every single fault and with every pair of a fault and a hidden or protective one.
//
// Pairs that do the same to the water share its course in each room. When alarms are raised is found in it for each
// pair, but only where the pair could be a minimal set. Pairs whose effect on the water a single fault has without harm
// are not run again.
//
// Beside the plan's single faults there are those that come at once from one cause. Mains stay away until the absence
// is over: how long they really do is for whoever asks how likely it is.
//
// A set is minimal for a kind of loss in a room when no part of it causes that loss there.
// Accuracy: as Single. Errors: as Single.
// Source: [IEC61025] (minimal cut sets), [IEC60812].
func Pairs(ctx context.Context, in plan.Plan) (Combined, error) {
	return pairs(ctx, in, maxPairEvents)
}

func pairs(ctx context.Context, in plan.Plan, budget int) (Combined, error) {
	st, err := newCombining(ctx, in)
	if err != nil {
		return Combined{}, err
	}
	sets := make([]*cutSets, len(st.rooms))
	for r := range st.rooms {
		sets[r] = newCutSets()
		for i := range st.faults {
			sets[r].add(st.harms[i][r], []int{i}, st.rooms[r].name)
		}
	}
	list := st.candidates()
	c := Combined{Considered: len(list), LeftOut: max(0, len(list)-mostPairs)}
	list = list[:len(list)-c.LeftOut]
	leftOut, most := make([]bool, len(list)), budget*ordinaryElements/weight(st.p)

	for _, g := range st.alike(list) {
		for _, r := range g.rooms {
			if st.harmless[r][g.key] {
				continue
			}
			if c.Events > most {
				for _, k := range g.sets {
					leftOut[k] = true
				}
				break
			}
			course, err := st.follow(ctx, r, g)
			if err != nil {
				return Combined{}, err
			}
			c.Events += len(course.Segments)
			if err := st.report.conserves(course); err != nil {
				return Combined{}, err
			}
			o := outcome{course: course, crossings: harmed(course)}
			for _, k := range g.sets {
				st.addPair(sets[r], list[k], r, o)
			}
		}
	}
	for _, left := range leftOut {
		if left {
			c.LeftOut++
		}
	}
	for r := range st.rooms {
		all, rescues := sets[r].list(st.faults, &st.rooms[r])
		for _, s := range all {
			if s.Step == LossStep {
				c.CutSets = append(c.CutSets, s)
			} else {
				c.HarmSets = append(c.HarmSets, s)
			}
		}
		c.Rescues = append(c.Rescues, rescues...)
	}
	c.Report = st.report
	return c, nil
}

// newCombining studies a plan with its common causes, mains staying away once they are lost.
func newCombining(ctx context.Context, in plan.Plan) (*study, error) {
	p, assumptions, err := plan.Complete(in)
	if err != nil {
		return nil, err
	}
	p.Power.LongestOutageH = *p.Attendance.LongestAbsenceH
	st, err := studyOf(ctx, p, assumptions)
	if err != nil {
		return nil, err
	}
	for i := range st.faults {
		if st.faults[i].Kind == "mains" {
			st.faults[i].Sentence = text.Of("fault_mains_stay_away", nil)
			st.report.Faults[i].Fault.Sentence = st.faults[i].Sentence
		}
	}
	st.report.Events, st.report.most = 0, unbounded // what plan-audit bears, plan-risk bears
	return st, st.singles(ctx, commonCauses(p, st.rooms[1].system, st.faults))
}

// addPair adds what two faults do in a room, unless one of them alone does it.
func (st *study) addPair(sets *cutSets, pair []int, r int, o outcome) {
	rm := &st.rooms[r]
	worth := func(c Crossing) bool {
		news := c.HarmH != nil && !sets.alone(way{c.Loss, HarmStep}, pair) ||
			c.LossH != nil && !sets.alone(way{c.Loss, LossStep}, pair)
		return news && !rm.nominal.happensAnyway(c)
	}
	if o.course.Truncated || slices.ContainsFunc(o.crossings, worth) {
		sets.add(rm.harmsOf(o, st.injections(pair, r)), pair, rm.name)
	}
}

// candidates returns the pairs with a hidden or protective fault, those with a protective one first. Two common causes
// at once are left out: each comes by a small share of the rates already.
func (st *study) candidates() [][]int {
	protective, quiet := make([]bool, len(st.faults)), make([]bool, len(st.faults))
	for i, f := range st.faults {
		protective[i] = st.protects(f)
		quiet[i] = st.report.Faults[i].Hidden
	}
	var first, rest [][]int
	for a := range st.faults {
		for b := a + 1; b < len(st.faults); b++ {
			switch {
			case st.contradict(a, b), len(st.faults[a].Members) > 0: // common causes come last, so that both are
			case protective[a] || protective[b]:
				first = append(first, []int{a, b})
			case quiet[a] || quiet[b]:
				rest = append(rest, []int{a, b})
			}
		}
	}
	return append(first, rest...)
}

// protects tells whether a fault takes away a protection: an alarm, a supervisor, a heater's or
// chiller's own thermostat under a control, or a sensor that one of them reads.
func (st *study) protects(f Fault) bool {
	s := st.rooms[1].system
	if len(f.Members) > 0 {
		return slices.ContainsFunc(st.faults, func(one Fault) bool {
			return slices.Contains(f.Members, one.ID) && st.protects(one)
		})
	}
	switch f.Kind {
	case "alarm", "network", "router", "modem", "siren", "person", "box":
		return true
	case "heater", "chiller":
		return f.breaks(sim.ThermostatClosed)
	case "control":
		i := slices.IndexFunc(s.Controls, func(c sim.Control) bool { return c.ID == f.Element })
		return i >= 0 && s.Controls[i].Kind == sim.Cutout
	case "sensor":
		i := slices.IndexFunc(s.Sensors, func(x sim.Sensor) bool { return x.ID == f.Element })
		for _, k := range s.Controls {
			if k.Kind == sim.Cutout && reads(s.Leaves(k.Condition), i) {
				return true
			}
		}
		for _, a := range s.Alarms {
			if a.Condition >= 0 && reads(s.Leaves(a.Condition), i) ||
				slices.ContainsFunc(a.Differ, func(x sim.Reader) bool { return x.Sensor == i }) {
				return true
			}
		}
	}
	return false
}

func reads(conditions []*sim.Condition, sensor int) bool {
	return slices.ContainsFunc(conditions, func(c *sim.Condition) bool { return c.Sensor == sensor })
}

// place is what an injection acts on; two on one place contradict each other.
type place struct {
	what  sim.Fault
	index int
}

func placeOf(in sim.Injection) place {
	what := in.Fault
	switch what {
	case sim.ThermostatOpen:
		what = sim.ThermostatClosed
	case sim.ProgrammeOff:
		what = sim.ProgrammeOn
	case sim.RelayOpen:
		what = sim.RelayClosed
	case sim.SensorFixed, sim.SensorTrue, sim.SensorFalse, sim.SensorLost:
		what = sim.SensorOffset
	case sim.ControlOff:
		what = sim.ControlOn
	case sim.ContactorOpen:
		what = sim.ContactorWelded
	}
	return place{what, in.Index}
}

func (st *study) contradict(a, b int) bool {
	return slices.ContainsFunc(st.faults[a].injections, func(x sim.Injection) bool {
		return slices.ContainsFunc(st.faults[b].injections, func(y sim.Injection) bool {
			return placeOf(x) == placeOf(y)
		})
	})
}
