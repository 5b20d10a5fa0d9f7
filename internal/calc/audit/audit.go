// Package audit proves a plan by simulation: it runs the tank with nothing
// wrong and then with every single fault of every element, in the room that
// makes it worst, until the longest absence is over.
package audit

import (
	"context"
	"fmt"
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
)

// MaxEvents bounds an audit: events of all its runs together, some two seconds of one core.
const MaxEvents = 600_000

const (
	nominalHours      = 14 * 24.0
	secondsPerHour    = 3600.0
	joulesPerKWh      = 3.6e6
	balanceTolerance  = 1e-6 // a run that conserves worse than this is a defect of ours
	chatterPerHour    = 60.0 // more starts an hour than this wear out a relay; common practice, no source
	visibleLightShare = 0.02 // a lamp that gives this much more or less than usual is seen
)

// Verdict says how a fault ends.
type Verdict string

// The verdicts, from good to bad.
const (
	Held    Verdict = "held"    // no harm limit crossed with nobody there, but for those the plan crosses with nothing broken
	Rescued Verdict = "rescued" // an alarm and the response beat the harm
	Lost    Verdict = "lost"    // harm came first
)

func (v Verdict) rank() int {
	return map[Verdict]int{Held: 0, Rescued: 1, Lost: 2}[v]
}

// RoomName is one of the three states of the room.
type RoomName string

// The rooms.
const (
	Coldest RoomName = "coldest"
	Usual   RoomName = "usual"
	Warmest RoomName = "warmest"
)

// LossNames are the kinds of loss as answers call them, by sim.LimitKind.
var LossNames = [sim.LimitKinds]string{
	sim.Overheated: "overheated", sim.Chilled: "chilled", sim.Diluted: "diluted", sim.Concentrated: "concentrated",
	sim.Flooded: "flooded", sim.RunDry: "run_dry", sim.NoDark: "no_dark", sim.NoLight: "no_light", sim.Airless: "airless",
}

// Crossing is one kind of limit that a run crossed, hours after the start; nil: never.
type Crossing struct {
	Loss            string
	ComfortH, HarmH *float64
	WithoutFault    bool // the nominal run of that room crosses it as far and no more than an hour later
}

// Extremes are the peaks of a run.
type Extremes struct {
	TempMinC, TempMaxC       float64 // display, held between freezing and boiling
	SalinityMin, SalinityMax float64 // display, PSS-78
	LevelMinMM, LevelMaxMM   float64 // from the normal line of the level chamber
	OxygenMinMgL             float64
	SpilledL                 float64
}

// AlarmReport is the first alarm that reached somebody far away.
type AlarmReport struct {
	ID      string
	RaisedH float64 // after the fault
	ActH    float64 // raised plus the response
}

// FaultReport is one fault followed to the end.
type FaultReport struct {
	Fault      Fault
	Verdict    Verdict
	Hidden     bool // nothing reveals it: it waits for the second fault
	RevealedBy []string
	Room       RoomName // the room that makes it worst
	Crossings  []Crossing
	FirstHarm  string   // kind of the first loss, empty when none
	HarmH      *float64 // when
	Alarm      *AlarmReport
	MarginH    *float64 // harm minus the time somebody can act; negative: too late; nil without harm or without alarm
	NearestK   float64  // how near the display came to a temperature harm limit, K; negative: beyond it
	NearestPSU float64  // the same for salinity
	StoppedBy  []string // what stepped in
	Extremes   Extremes
	Events     int
	Truncated  bool // it switched without end and was cut short
}

// DeviceUse is what a device does with nothing wrong.
type DeviceUse struct {
	ID           string
	DutyShare    float64
	StartsPerDay float64
	KWhPerDay    float64
}

// NominalReport is the plan with nothing wrong in one room.
type NominalReport struct {
	Room           RoomName
	TempC          float64
	RHPercent      float64
	Hours          float64
	InComfort      bool
	Crossings      []Crossing
	Extremes       Extremes
	Devices        []DeviceUse
	EvaporationLD  float64
	TopOffLD       float64
	ReservoirEmpty []ReservoirEmpty
	KWhPerDay      float64
	Events         int
	Truncated      bool

	energy []float64 // per device over the first absence, J
	first  sim.Outcome
}

// ReservoirEmpty is when a reservoir ran out with nothing wrong.
type ReservoirEmpty struct {
	ID     string
	AfterH float64
}

// Report is the whole audit.
type Report struct {
	Plan         plan.Plan // completed
	Assumptions  []plan.Assumption
	Nominal      []NominalReport
	Faults       []FaultReport
	Findings     []Finding
	Tank         Tank
	HorizonH     float64
	Events       int
	WorstBalance float64 // largest relative residual of heat, water and salt over all runs
}

// Tank is the tank as the simulation of the usual room sees it.
type Tank struct {
	DisplayL, SumpL, DrainBackL float64 // water with the return running, and what runs down when it stops
	FreeSumpL                   float64 // above the normal line, up to the rim
	HeatLossWK                  float64 // evaporation included
	TimeConstantH               float64
}

func tank(s *sim.System) Tank {
	t := Tank{DisplayL: s.Node[sim.Display].VolumeL, SumpL: s.Node[sim.Sump].VolumeL, DrainBackL: s.DrainBackL}
	t.FreeSumpL = s.Chamber.VolumeAtL(s.Chamber.RimMM)
	for _, n := range s.Node[:s.Nodes] {
		t.HeatLossWK += n.DryLossW.Slope + s.LatentJL*n.EvaporationLS[0].Slope
	}
	t.TimeConstantH = (t.DisplayL + t.SumpL) * s.VolumicHeatJLK / t.HeatLossWK / secondsPerHour
	return t
}

// Sound tells whether nothing is lost, neither by a single fault nor without one.
//
// Errors: none. Source: [Derived].
func (r Report) Sound() bool {
	for _, n := range r.Nominal {
		if n.Truncated {
			return false
		}
		for _, c := range n.Crossings {
			if c.HarmH != nil {
				return false
			}
		}
	}
	return r.Count(Lost) == 0
}

// Count returns the number of faults with a verdict.
//
// Errors: none. Source: [Derived].
func (r Report) Count(v Verdict) int {
	n := 0
	for _, f := range r.Faults {
		if f.Verdict == v {
			n++
		}
	}
	return n
}

// FirstLost returns the lost fault whose harm comes first, the first in the list of those at one instant; nil: none is.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (r Report) FirstLost() *FaultReport {
	var first *FaultReport
	for i := range r.Faults {
		f := &r.Faults[i]
		if f.Verdict == Lost && f.HarmH != nil && (first == nil || sooner(*f.HarmH, *first.HarmH)) {
			first = f
		}
	}
	return first
}

// HiddenCount returns the number of faults that nothing reveals.
//
// Errors: none. Source: [Derived].
func (r Report) HiddenCount() int {
	n := 0
	for _, f := range r.Faults {
		if f.Hidden {
			n++
		}
	}
	return n
}

// room is one state of the room with its system and nominal run.
type room struct {
	name    RoomName
	system  *sim.System
	start   sim.State
	nominal NominalReport
}

// Single audits a plan: fourteen days with nothing wrong in each room, then
// every single fault of every element until the longest absence is over, in
// the room that makes it worst.
//
// Accuracy: that of the heat balance and of the expected evaporation; each run is exact but for rounding.
// Errors: the plan's conflicts (joined *calc.ConflictError), *calc.RangeError
// when the room or the tank is outside a relation's range, a *calc.ConflictError
// when all runs together would take more than 600,000 events, the context's, and
// calc.ErrNoConvergence when a run does not conserve heat, water or salt.
// Source: [IEC60812] for the method (every failure mode of every element, its
// local and end effect, its detection).
func Single(ctx context.Context, in plan.Plan) (Report, error) {
	st, err := newStudy(ctx, in)
	if err != nil {
		return Report{}, err
	}
	return st.report, nil
}

// study is an audit with every trial kept, as the pairs need them.
type study struct {
	p      plan.Plan
	rooms  []room
	report Report
	faults []Fault
	trials [][]trial // by fault, then by room
	runs   shared    // by effect
	watch  bool      // see what switches decide in each of them
	runAll bool      // run every fault in full, too: tests hold both against each other
	ran    int       // faults run in full, each room counted

	elements int // of the plan, once counted
}

// trial is one fault in one room.
type trial struct {
	out    *sim.Outcome
	way    course // of the water
	report FaultReport
}

func newStudy(ctx context.Context, in plan.Plan) (*study, error) { return newStudyOf(ctx, in, study{}) }

// newStudyOf takes from how what is to be run.
func newStudyOf(ctx context.Context, in plan.Plan, how study) (*study, error) {
	p, assumptions, err := plan.Complete(in)
	if err != nil {
		return nil, err
	}
	st := &study{p: p, watch: how.watch, runAll: how.runAll, report: Report{Plan: p, Assumptions: assumptions, HorizonH: *p.Attendance.LongestAbsenceH}}
	if st.rooms, err = prepareRooms(ctx, p, &st.report); err != nil {
		return nil, err
	}
	st.faults = faultsOf(p, st.rooms[1].system)
	st.runs = st.nominalCourses()
	for k := range st.faults {
		var worst, atUsual FaultReport
		trials := make([]trial, len(st.rooms))
		for i := range st.rooms {
			t, err := st.follow(ctx, k, i)
			if err != nil {
				return nil, err
			}
			trials[i] = t
			r := t.report
			if i == 0 || worse(r, worst) {
				worst = r
			}
			if st.rooms[i].name == Usual {
				atUsual = r
			}
		}
		if worst.Verdict == Held { // a fault that shows only in rare weather waits hidden until then
			worst.Hidden, worst.RevealedBy = atUsual.Hidden, atUsual.RevealedBy
		}
		st.trials = append(st.trials, trials)
		st.report.Faults = append(st.report.Faults, worst)
	}
	st.report.Findings = findings(st.report, st.rooms)
	return st, nil
}

func prepareRooms(ctx context.Context, p plan.Plan, report *Report) ([]room, error) {
	states := []struct {
		name RoomName
		air  plan.RoomState
	}{{Coldest, *p.Room.Coldest}, {Usual, p.Room.Usual}, {Warmest, *p.Room.Warmest}}
	var rooms []room
	for _, st := range states {
		system, err := sim.Compile(p, st.air)
		if err != nil {
			return nil, err
		}
		start, err := sim.Settle(ctx, system)
		if err != nil {
			return nil, err
		}
		r := room{name: st.name, system: system, start: start}
		if r.nominal, err = nominal(ctx, p, r, st.air, report); err != nil {
			return nil, err
		}
		if st.name == Usual {
			report.Tank = tank(system)
		}
		rooms = append(rooms, r)
		report.Nominal = append(report.Nominal, r.nominal)
	}
	return rooms, nil
}

// account adds a run to the totals and refuses one that does not conserve.
func (r *Report) account(o sim.Outcome) error {
	r.Events += o.Events
	if err := r.conserves(o); err != nil {
		return err
	}
	if r.Events > MaxEvents {
		return &calc.ConflictError{Params: []string{"controls", "heaters", "chillers", "attendance"}, Reason: "something in this plan switches so often, or the absence is so long, " +
			"that following every fault would take too long; widen the hysteresis of what switches fastest, or shorten the absence"}
	}
	return nil
}

// conserves keeps the worst balance and refuses a run that does not close.
func (r *Report) conserves(o sim.Outcome) error {
	w := o.Balance.WorstRelative()
	r.WorstBalance = math.Max(r.WorstBalance, w)
	if !(w <= balanceTolerance) {
		return fmt.Errorf("a run does not conserve (relative residual %g): %w", w, calc.ErrNoConvergence)
	}
	return nil
}

// nominal follows the tank for fourteen days, or for the longest absence if
// that is longer. Somebody refills the reservoirs each time an absence is over.
func nominal(ctx context.Context, p plan.Plan, r room, air plan.RoomState, report *Report) (NominalReport, error) {
	absence := *p.Attendance.LongestAbsenceH
	n := NominalReport{
		Room: r.name, TempC: air.TempC, RHPercent: air.RHPercent, Hours: math.Max(nominalHours, absence),
		Devices: make([]DeviceUse, len(r.system.Devices)), energy: make([]float64, len(r.system.Devices)),
	}
	state := r.start
	at := 0.0
	for first := true; at < n.Hours; first = false {
		length := math.Min(absence, n.Hours-at)
		out, err := sim.Run(ctx, r.system, &state, nil, length*secondsPerHour)
		if err != nil {
			return n, err
		}
		if err := report.account(out); err != nil {
			return n, err
		}
		n.add(r.system, out, at, first)
		state = out.Final.Refilled(r.system)
		at += length
		if out.Truncated {
			break
		}
	}
	days := n.Hours / 24
	for i := range n.Devices {
		d := &n.Devices[i]
		d.ID = r.system.Devices[i].ID
		d.DutyShare = math.Min(1, d.DutyShare/n.Hours) // chunks add up to a rounding more
		d.StartsPerDay /= days
		d.KWhPerDay /= days
		n.KWhPerDay += d.KWhPerDay
	}
	n.EvaporationLD /= days
	n.TopOffLD /= days
	n.InComfort = len(n.Crossings) == 0
	return n, nil
}

func (n *NominalReport) add(s *sim.System, out sim.Outcome, atH float64, first bool) {
	if first {
		n.first = out
		n.Extremes = extremes(s, out)
		for i, d := range out.Devices {
			n.energy[i] = d.EnergyJ
		}
		for _, m := range out.Marks {
			if m.Kind == sim.ReservoirRanEmpty {
				n.ReservoirEmpty = append(n.ReservoirEmpty, ReservoirEmpty{ID: s.Reservoirs[m.Index].ID, AfterH: m.AtS / secondsPerHour})
			}
		}
	} else {
		n.Extremes = n.Extremes.with(extremes(s, out))
	}
	n.Events += out.Events
	n.Truncated = n.Truncated || out.Truncated
	for i, d := range out.Devices {
		n.Devices[i].DutyShare += d.OnS / secondsPerHour
		n.Devices[i].StartsPerDay += float64(d.Starts)
		n.Devices[i].KWhPerDay += d.EnergyJ / joulesPerKWh
	}
	n.EvaporationLD += out.Balance.EvaporatedL
	n.TopOffLD += out.Balance.ToppedUpL
	for _, c := range crossings(out) {
		shift(c.ComfortH, atH)
		shift(c.HarmH, atH)
		n.merge(c)
	}
}

func shift(h *float64, by float64) {
	if h != nil {
		*h += by
	}
}

func (n *NominalReport) merge(c Crossing) {
	for i := range n.Crossings {
		if n.Crossings[i].Loss == c.Loss {
			if n.Crossings[i].HarmH == nil {
				n.Crossings[i].HarmH = c.HarmH
			}
			return
		}
	}
	n.Crossings = append(n.Crossings, c)
}

func hours(s float64) *float64 {
	if s == sim.Never {
		return nil
	}
	h := s / secondsPerHour
	return &h
}

func crossings(out sim.Outcome) []Crossing {
	var list []Crossing
	for k, l := range out.Limits {
		if l.ComfortS == sim.Never && l.HarmS == sim.Never {
			continue
		}
		list = append(list, Crossing{Loss: LossNames[k], ComfortH: hours(l.ComfortS), HarmH: hours(l.HarmS)})
	}
	return list
}

// Water freezes and boils; the simulation, which is linear, would go on.
const (
	freezesC = -2.0  // sea water of 35; from memory
	boilsC   = 100.0 // and a little more with salt
)

func extremes(s *sim.System, out sim.Outcome) Extremes {
	p := out.Peaks
	within := func(t float64) float64 { return math.Max(freezesC, math.Min(boilsC, t)) }
	return Extremes{
		TempMinC: within(p.TempMinC), TempMaxC: within(p.TempMaxC), SalinityMin: p.SalinityMin, SalinityMax: p.SalinityMax,
		LevelMinMM: s.Chamber.HeightAtMM(p.LevelMinL), LevelMaxMM: s.Chamber.HeightAtMM(p.LevelMaxL),
		OxygenMinMgL: p.OxygenMinMgL, SpilledL: out.Balance.SpilledL,
	}
}

func (e Extremes) with(o Extremes) Extremes {
	e.TempMinC, e.TempMaxC = math.Min(e.TempMinC, o.TempMinC), math.Max(e.TempMaxC, o.TempMaxC)
	e.SalinityMin, e.SalinityMax = math.Min(e.SalinityMin, o.SalinityMin), math.Max(e.SalinityMax, o.SalinityMax)
	e.LevelMinMM, e.LevelMaxMM = math.Min(e.LevelMinMM, o.LevelMinMM), math.Max(e.LevelMaxMM, o.LevelMaxMM)
	e.OxygenMinMgL = math.Min(e.OxygenMinMgL, o.OxygenMinMgL)
	e.SpilledL += o.SpilledL
	return e
}
