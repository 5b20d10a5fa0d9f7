package audit

import (
	"context"
	"slices"
	"strconv"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
)

// study is an audit with what each fault does in each room.
type study struct {
	p        plan.Plan
	rooms    []room
	report   Report
	faults   []Fault
	reports  [][]FaultReport   // by fault, then by room
	harms    [][][]harm        // by fault, then by room
	harmless []map[string]bool // by room, effects on the water that cross no harm limit
	spare    *sim.Course       // whose memory the next one uses
}

func newStudy(ctx context.Context, in plan.Plan) (*study, error) {
	p, assumptions, err := plan.Complete(in)
	if err != nil {
		return nil, err
	}
	return studyOf(ctx, p, assumptions)
}

// studyOf studies a plan that has been completed.
func studyOf(ctx context.Context, p plan.Plan, assumptions []plan.Assumption) (*study, error) {
	st, faults, err := begun(ctx, p, assumptions, mostEvents(p))
	if err != nil {
		return nil, err
	}
	if err := st.singles(ctx, faults); err != nil {
		return nil, err
	}
	st.report.Findings = findings(st.report, st.rooms)
	return st, nil
}

// begun has followed a plan with nothing broken, in no more than so many events, and lists what may break.
func begun(ctx context.Context, p plan.Plan, assumptions []plan.Assumption, most int) (*study, []Fault, error) {
	st := &study{p: p, report: Report{Plan: p, Assumptions: assumptions, HorizonH: *p.Attendance.LongestAbsenceH,
		most: most}}
	var err error
	if st.rooms, err = prepareRooms(ctx, p, &st.report, nominalHours); err != nil {
		return nil, nil, err
	}
	for range st.rooms {
		st.harmless = append(st.harmless, map[string]bool{})
	}
	st.report.Contacts = contactsOf(&st.rooms[1])
	if st.report.Containers, err = containersOf(p); err != nil {
		return nil, nil, err
	}
	return st, wearing(append(faultsOf(p, st.rooms[1].system), boxFaults(p, st.rooms[1].system)...),
		st.report.Contacts), nil
}

// singles adds faults and follows each in every room.
func (st *study) singles(ctx context.Context, faults []Fault) error {
	known := len(st.faults)
	st.faults = append(st.faults, faults...)
	var sets [][]int
	for i := known; i < len(st.faults); i++ {
		sets = append(sets, []int{i})
		st.reports = append(st.reports, make([]FaultReport, len(st.rooms)))
		st.harms = append(st.harms, make([][]harm, len(st.rooms)))
	}
	for _, g := range st.alike(sets) {
		for _, r := range g.rooms {
			course, err := st.follow(ctx, r, g)
			if err != nil {
				return err
			}
			if err := st.report.account(course); err != nil {
				return err
			}
			o := newOutcome(st.rooms[r].system, course)
			st.harmless[r][g.key] = !o.harmful()
			for _, k := range g.sets {
				rm, i := &st.rooms[r], known+k
				st.reports[i][r] = rm.judge(st.p, st.faults[i], o)
				st.harms[i][r] = rm.harmsOf(o, st.injections([]int{i}, r))
			}
		}
	}
	for i := known; i < len(st.faults); i++ {
		f := worstOf(st.reports[i])
		f.Endings = st.endings(i)
		st.report.Faults = append(st.report.Faults, f)
	}
	return nil
}

// endings are the first harm and the first loss that a fault brings in each room.
func (st *study) endings(fault int) []Ending {
	var out []Ending
	for r, list := range st.harms[fault] {
		for _, step := range []Step{HarmStep, LossStep} {
			var first *harm
			for k := range list {
				if h := &list[k]; h.step == step && (first == nil || h.atH < first.atH) {
					first = h
				}
			}
			if first != nil {
				out = append(out, Ending{step, st.rooms[r].name, first.atH, first.calls})
			}
		}
	}
	return out
}

// worstOf returns the report of the room that makes a fault worst.
func worstOf(reports []FaultReport) FaultReport {
	worst, usual := reports[0], reports[0]
	for _, r := range reports {
		if worse(r, worst) {
			worst = r
		}
		if r.Room == Usual {
			usual = r
		}
	}
	if worst.Verdict == Held { // a fault that shows only in rare weather waits hidden until then
		worst.Hidden, worst.RevealedBy = usual.Hidden, usual.RevealedBy
	}
	return worst
}

// group is some sets of faults with the same effect on the water, from the same start: they share a course in each of
// these rooms.
type group struct {
	key    string
	drifts []sim.Injection // probes that have drifted before somebody leaves, as far as anything listens to them
	effect sim.Effect      // of all
	rooms  []int
	sets   []int // of the list that was grouped
}

// alike groups sets of faults by their start and their effect on the water, in the order in which each first comes.
func (st *study) alike(sets [][]int) []*group {
	all := make([]int, len(st.rooms))
	for r := range all {
		all[r] = r
	}
	var list []*group
	known := map[string]*group{}
	add := func(k int, rooms []int, prefix string) {
		s, injections := st.rooms[rooms[0]].system, st.injections(sets[k], rooms[0])
		drifts, effect := driftsOf(injections), sim.EffectOf(s, injections)
		drifted := sim.EffectOf(s, drifts)
		if drifted.Nothing() {
			drifts = nil
		}
		key := drifted.Key() + " then " + effect.Key()
		if known[prefix+key] == nil {
			known[prefix+key] = &group{key: key, drifts: drifts, effect: effect, rooms: rooms}
			list = append(list, known[prefix+key])
		}
		known[prefix+key].sets = append(known[prefix+key].sets, k)
	}
	for k, set := range sets {
		if !slices.ContainsFunc(set, func(i int) bool { return st.faults[i].knowsRoom() }) {
			add(k, all, "")
			continue
		}
		for r := range all {
			add(k, all[r:r+1], "room "+strconv.Itoa(r))
		}
	}
	return list
}

// injections returns what to inject for a set of faults in a room.
func (st *study) injections(set []int, room int) []sim.Injection {
	var out []sim.Injection
	for _, i := range set {
		out = append(out, st.faults[i].injectionsIn(st.rooms[room].system)...)
	}
	return out
}

// follow returns the course of the water in a room under a group's faults. It lasts until the next is followed.
func (st *study) follow(ctx context.Context, room int, g *group) (*sim.Course, error) {
	rm := &st.rooms[room]
	if g.effect.Nothing() && g.drifts == nil {
		return rm.first.course, nil
	}
	start, err := st.startWith(ctx, rm, g.drifts)
	if err != nil {
		return nil, err
	}
	st.report.confine(rm)
	course, err := sim.RunEffect(ctx, rm.system, start, g.effect, st.report.HorizonH*secondsPerHour, st.spare)
	st.spare = course
	return course, err
}

// driftsOf returns the injections of probes that drift: they have done so for long when somebody leaves.
func driftsOf(injections []sim.Injection) []sim.Injection {
	var out []sim.Injection
	for _, in := range injections {
		if in.Fault == sim.SensorOffset {
			out = append(out, in)
		}
	}
	return out
}

// startWith returns the tank as somebody leaves it when probes have drifted: what regulates by them holds the wrong
// value. Where that made something cut, the drift has shown at once, and the tank is left as with nothing wrong.
func (st *study) startWith(ctx context.Context, rm *room, drifts []sim.Injection) (*sim.State, error) {
	if len(drifts) == 0 {
		return &rm.start, nil
	}
	key := sim.EffectOf(rm.system, drifts).Key()
	if known := rm.drifted[key]; known != nil {
		return known, nil
	}
	st.report.confine(rm)
	start, marks, events, err := sim.Settle(ctx, rm.system, drifts)
	if err != nil {
		return nil, err
	}
	if err := st.report.count(events); err != nil {
		return nil, err
	}
	if slices.ContainsFunc(marks, func(m sim.Mark) bool { return m.Kind == sim.CutoutTripped && !rm.marked(m) }) {
		start = rm.start
	}
	rm.drifted[key] = &start
	return &start, nil
}
