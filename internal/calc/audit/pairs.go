package audit

import (
	"context"
	"slices"
	"sort"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
)

// maxPairEvents bounds the [Work] of all pairs together; what is left out then is counted.
const maxPairEvents = 1_500_000

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

// Combined is the audit with pairs.
type Combined struct {
	Report     Report
	CutSets    []CutSet // minimal, order 1 before 2, then by loss and faults
	Rescues    []Rescue // order 1 and 2, minimal in the same sense
	Considered int      // pairs of any fault with a hidden or protective one
	Inert      int      // of them: one leaves the water as it was in the run of the other, which was watched for it
	AlarmsOnly int      // of them: neither harms by itself and the second only silences, so nothing is to be beaten
	Simulated  int      // of them: run with what both do to the water; pairs that do the same share a run
	LeftOut    int      // of them: not reached within the budget
	Events     int      // of the pairs' runs
}

// Pairs audits a plan with every single fault and with every pair of a fault and a hidden or protective one.
//
// A pair is run with both faults in each room, unless the run of one of them shows that the
// other would have left the water alone: each switch is watched, and a fault that forces on
// it only what it did of its own accord, or nothing that shows, leaves the run as it was.
// Pairs that do the same to the water share a run. When alarms are raised is taken from the
// run, and looked at only where a pair could be a minimal set. A fault that touches alarms
// alone matters only where there is harm to beat.
//
// A set is minimal for a kind of loss when no part of it causes that loss.
// Accuracy: as Single. Errors: as Single.
// Source: [IEC61025] (minimal cut sets), [IEC60812].
func Pairs(ctx context.Context, in plan.Plan) (Combined, error) {
	return pairs(ctx, in, maxPairEvents, false)
}

// pairs with force runs every pair, whatever the watch says; tests hold both against each other.
func pairs(ctx context.Context, in plan.Plan, budget int, force bool) (Combined, error) {
	st, err := newStudyOf(ctx, in, study{watch: true})
	if err != nil {
		return Combined{}, err
	}
	c := Combined{Report: st.report}
	sets := newCutSets()
	for i := range st.faults {
		for r := range st.rooms {
			sets.add(st.harms(*st.trials[i][r].out, r), []int{i}, st.rooms[r].name)
		}
	}
	for _, ab := range st.candidates() {
		c.Considered++
		if err := st.pair(ctx, ab[0], ab[1], budget, force, &c, sets); err != nil {
			return Combined{}, err
		}
	}
	c.Report.WorstBalance = st.report.WorstBalance
	c.CutSets, c.Rescues = sets.list(st)
	return c, nil
}

// candidates returns the pairs with a hidden or protective fault, those with a protective one first.
func (st *study) candidates() [][2]int {
	protective, quiet := make([]bool, len(st.faults)), make([]bool, len(st.faults))
	for i, f := range st.faults {
		protective[i] = st.protects(f)
		quiet[i] = st.report.Faults[i].Hidden
	}
	var first, rest [][2]int
	for a := range st.faults {
		for b := a + 1; b < len(st.faults); b++ {
			switch {
			case st.contradict(a, b):
			case protective[a] || protective[b]:
				first = append(first, [2]int{a, b})
			case quiet[a] || quiet[b]:
				rest = append(rest, [2]int{a, b})
			}
		}
	}
	return append(first, rest...)
}

// protects tells whether a fault takes away a protection: an alarm, a supervisor, a heater's or
// chiller's own thermostat under a control, or a sensor that one of them reads.
func (st *study) protects(f Fault) bool {
	s := st.rooms[1].system
	switch f.Kind {
	case "alarm", "network":
		return true
	case "heater", "chiller":
		return f.Mode == "thermostat_welded"
	case "control":
		i := slices.IndexFunc(s.Controls, func(c sim.Control) bool { return c.ID == f.Element })
		return i >= 0 && s.Controls[i].Kind == sim.Cutout
	case "sensor":
		i := slices.IndexFunc(s.Sensors, func(x sim.Sensor) bool { return x.ID == f.Element })
		for _, k := range s.Controls {
			if k.Kind == sim.Cutout && s.Conditions[k.Condition].Sensor == i {
				return true
			}
		}
		for _, a := range s.Alarms {
			if s.Conditions[a.Condition].Sensor == i {
				return true
			}
		}
	}
	return false
}

// place is what an injection acts on; two on one place contradict each other.
type place struct {
	what  int
	index int
}

func places(f Fault) []place {
	var out []place
	for _, in := range f.injections {
		what := int(in.Fault)
		switch in.Fault {
		case sim.ThermostatClosed, sim.ThermostatOpen:
			what = int(sim.ThermostatClosed)
		case sim.ProgrammeOn, sim.ProgrammeOff:
			what = int(sim.ProgrammeOn)
		case sim.RelayClosed, sim.RelayOpen:
			what = int(sim.RelayClosed)
		case sim.SensorOffset, sim.SensorFixed, sim.SensorTrue, sim.SensorFalse, sim.SensorLost:
			what = int(sim.SensorOffset)
		case sim.ControlOn, sim.ControlOff:
			what = int(sim.ControlOn)
		}
		out = append(out, place{what, in.Index})
	}
	return out
}

func (st *study) contradict(a, b int) bool {
	pb := places(st.faults[b])
	return slices.ContainsFunc(places(st.faults[a]), func(x place) bool { return slices.Contains(pb, x) })
}

// pair finds what two faults do together, in each room.
func (st *study) pair(ctx context.Context, a, b, budget int, force bool, c *Combined, sets *cutSets) error {
	silentA, silentB := st.alarmsOnly(a), st.alarmsOnly(b)
	inert, nothing, ran, left := 0, 0, false, false
	var e *sim.Effect // of the room before, nil: not yet known
	for r := range st.rooms {
		ta, tb := &st.trials[a][r], &st.trials[b][r]
		rm := &st.rooms[r]
		if !force && (silentA && silentB || silentB && !harmful(ta.report) || silentA && !harmful(tb.report)) {
			nothing++
			continue
		}
		injections := st.together(a, b, rm)
		if force {
			out, err := st.both(ctx, rm, injections, c)
			if err != nil {
				return err
			}
			ran = true
			sets.add(st.harms(out, r), []int{a, b}, rm.name)
			continue
		}
		if e == nil || st.faults[a].knowsRoom() || st.faults[b].knowsRoom() {
			here := sim.EffectOf(rm.system, injections)
			e = &here
		}
		var way course // the water's with both
		switch {
		case st.along(ta.way, *e, r):
			inert++
			way = ta.way
		case st.along(tb.way, *e, r):
			inert++
			way = tb.way
		case st.work(c.Events) > budget:
			left = true
			continue
		default:
			ran = true
			var err error
			if way, err = st.shared(ctx, r, *e, st.runs, false, func(out sim.Outcome) error { return st.accountPair(out, c) }); err != nil {
				return err
			}
		}
		if !crossesHarm(way.out) {
			continue
		}
		list := st.harms(*way.out, r)
		if !slices.ContainsFunc(list, func(h harm) bool { return !sets.single(h.loss, a) && !sets.single(h.loss, b) }) {
			continue // nothing, or what one of them does alone: no minimal set
		}
		out := *way.out
		heard, known := sim.Heard(rm.system, &out, way.effect.Applied(), injections)
		switch {
		case known:
			out.Alarms = heard
		case st.work(c.Events) > budget:
			left = true
			continue
		default:
			var err error
			if out, err = st.both(ctx, rm, injections, c); err != nil {
				return err
			}
		}
		sets.add(st.harms(out, r), []int{a, b}, rm.name)
	}
	switch {
	case left:
		c.LeftOut++
	case ran:
		c.Simulated++
	case nothing == len(st.rooms):
		c.AlarmsOnly++
	default:
		c.Inert++
	}
	return nil
}

// work is [Work] of events of this plan.
func (st *study) work(events int) int {
	if st.elements == 0 {
		st.elements = plan.Elements(st.p)
	}
	return weighed(events, st.elements)
}

// together returns what to inject for two faults.
func (st *study) together(a, b int, rm *room) []sim.Injection {
	return append(slices.Clone(st.faults[a].injectionsIn(rm.system)), st.faults[b].injectionsIn(rm.system)...)
}

// crossesHarm tells whether a run crossed any harm limit, or was cut short.
func crossesHarm(out *sim.Outcome) bool {
	return out.Truncated || slices.ContainsFunc(out.Limits[:], func(l sim.LimitOutcome) bool { return l.HarmS != sim.Never })
}

func harmful(r FaultReport) bool { return r.HarmH != nil || r.Truncated }

// alarmsOnly tells whether nothing but alarms can notice a fault.
func (st *study) alarmsOnly(i int) bool {
	f, s := st.faults[i], st.rooms[1].system
	for _, in := range f.injections {
		switch in.Fault {
		case sim.AlarmDead, sim.NetworkLost:
		case sim.SensorOffset, sim.SensorFixed, sim.SensorTrue, sim.SensorFalse, sim.SensorLost:
			for _, k := range s.Controls {
				if k.Kind != sim.Timer && s.Conditions[k.Condition].Sensor == in.Index {
					return false
				}
			}
		default:
			return false
		}
	}
	return true
}

// inert tells whether a fault would have changed nothing in a run in a room: what it forces is all that was seen.
func (st *study) inert(i, in int, run sim.Outcome) bool {
	s, t := st.rooms[in].system, run.Touched
	for _, in := range st.faults[i].injectionsIn(s) {
		k := in.Index
		same := false
		switch in.Fault {
		case sim.RelayClosed:
			same = !t.Relays[k].No
		case sim.RelayOpen:
			same = !t.Relays[k].Yes
		case sim.ControlOn:
			same = !t.Controls[k].No
		case sim.ControlOff:
			same = !t.Controls[k].Yes
		case sim.ThermostatClosed:
			same = !t.Thermostats[k].No
		case sim.ThermostatOpen:
			same = !t.Thermostats[k].Yes
		case sim.DeviceDead:
			same = !t.Devices[k].Yes
		case sim.AlarmDead:
			same = run.Alarms[k].RaisedS == sim.Never
		case sim.NetworkLost:
			same = true
			for n, a := range s.Alarms {
				same = same && (a.Path != sim.Network || run.Alarms[n].RaisedS == sim.Never)
			}
		case sim.SensorFixed:
			same = true
			for n, c := range s.Conditions {
				if c.Sensor == k && c.Kind == sim.ComparatorTrue {
					said, known := s.Comparators[c.Index].Says(in.Value)
					same = same && known && !(said && t.Conditions[n].No) && !(!said && t.Conditions[n].Yes)
				}
			}
		case sim.SensorTrue, sim.SensorFalse:
			same = true
			for n, c := range s.Conditions {
				if c.Sensor == k {
					seen := t.Conditions[n]
					same = same && !(in.Fault == sim.SensorTrue && seen.No) && !(in.Fault == sim.SensorFalse && seen.Yes)
				}
			}
		}
		if !same {
			return false
		}
	}
	return true
}

// harm is one kind of loss in one run.
type harm struct {
	loss    string
	harmH   float64
	raisedH *float64
	lost    bool // no alarm, or too late
}

// harms lists the harm of a run that the plan does not do by itself.
func (st *study) harms(out sim.Outcome, r int) []harm {
	rm := &st.rooms[r]
	var raised *float64
	for i, a := range out.Alarms {
		if a.RaisedS == sim.Never || rm.system.Alarms[i].Path == sim.Audible {
			continue
		}
		if h := a.RaisedS / secondsPerHour; raised == nil || h < *raised {
			raised = &h
		}
	}
	var list []harm
	for _, c := range crossings(out) {
		if c.HarmH == nil || happensAnyway(rm.nominal.Crossings, c) {
			continue
		}
		late := raised == nil || *c.HarmH < *raised+*st.p.Attendance.ResponseH || out.Truncated
		list = append(list, harm{c.Loss, *c.HarmH, raised, late})
	}
	if out.Truncated && len(list) == 0 { // never call a run that was cut short safe
		list = append(list, harm{"switching_without_end", out.EndS / secondsPerHour, raised, true})
	}
	return list
}

// cutSets gathers sets of faults by kind of loss, the earliest harm of each.
type cutSets struct {
	lost, rescued map[string]map[[2]int]CutSet // loss -> faults (second -1 for a single)
}

func newCutSets() *cutSets {
	return &cutSets{map[string]map[[2]int]CutSet{}, map[string]map[[2]int]CutSet{}}
}

func (c *cutSets) add(list []harm, faults []int, in RoomName) {
	key := [2]int{faults[0], -1}
	if len(faults) == 2 {
		key[1] = faults[1]
	}
	for _, h := range list {
		into := c.rescued
		if h.lost {
			into = c.lost
		}
		if into[h.loss] == nil {
			into[h.loss] = map[[2]int]CutSet{}
		}
		if old, ok := into[h.loss][key]; !ok || sooner(h.harmH, old.HarmH) {
			into[h.loss][key] = CutSet{Loss: h.loss, Room: in, HarmH: h.harmH, RaisedH: h.raisedH, index: faults}
		}
	}
}

// single tells whether a fault alone brings a loss that no alarm beats.
func (c *cutSets) single(loss string, fault int) bool {
	_, ok := c.lost[loss][[2]int{fault, -1}]
	return ok
}

// list returns the minimal sets, sorted.
func (c *cutSets) list(st *study) ([]CutSet, []Rescue) {
	var sets []CutSet
	var rescues []Rescue
	minimal := func(all map[[2]int]CutSet, key [2]int) bool {
		if key[1] < 0 {
			return true
		}
		_, a := all[[2]int{key[0], -1}]
		_, b := all[[2]int{key[1], -1}]
		return !a && !b
	}
	named := func(s CutSet) CutSet {
		for _, i := range s.index {
			s.Faults = append(s.Faults, st.faults[i].ID)
		}
		return s
	}
	for _, all := range c.lost {
		for key, s := range all {
			if minimal(all, key) {
				sets = append(sets, named(s))
			}
		}
	}
	for loss, all := range c.rescued {
		for key, s := range all {
			if _, worse := c.lost[loss][key]; worse || !minimal(all, key) || key[1] >= 0 && !minimal(withSingles(c.lost[loss], all), key) {
				continue
			}
			rescues = append(rescues, Rescue{named(s), s.HarmH - *s.RaisedH - *st.p.Attendance.ResponseH})
		}
	}
	sort.Slice(sets, func(i, j int) bool { return before(sets[i], sets[j]) })
	sort.Slice(rescues, func(i, j int) bool { return before(rescues[i].CutSet, rescues[j].CutSet) })
	return sets, rescues
}

func withSingles(lost, rescued map[[2]int]CutSet) map[[2]int]CutSet {
	out := map[[2]int]CutSet{}
	for _, m := range []map[[2]int]CutSet{lost, rescued} {
		for k, s := range m {
			if k[1] < 0 {
				out[k] = s
			}
		}
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
