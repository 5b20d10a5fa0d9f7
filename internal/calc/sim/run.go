package sim

import (
	"context"
	"math"
)

const daySeconds = 86400.0

// settleSeconds is how long Settle lets the tank find its rhythm.
const settleSeconds = 3 * daySeconds

type compared struct {
	state     bool
	fixed     bool // reads a sensor that no longer follows the water
	low, high float64
}

// threshold is the value at which it switches next.
func (c *compared) threshold() float64 {
	if c.state {
		return c.low
	}
	return c.high
}

type controlState struct {
	powered, command, tripped, lockedOut bool
	since                                float64 // when command became true
}

type alarmState struct {
	pending bool
	since   float64
	raised  float64
}

type limitState struct {
	over  bool // harm limit exceeded now
	since float64
}

// run is one simulation under way.
type run struct {
	s *System
	w *wiring

	course courses // of the present segment
	f      faultState

	t, horizon                     float64
	now                            float64 // second of the day
	piece                          []Piece // of each programme, now
	second                         float64
	temp                           [2]float64
	level, deficit                 float64
	salt                           [2]float64
	stored, outflow                []float64
	oxygen, spilled                float64
	flowing, airLocked             bool
	lit                            bool
	silent                         bool // no alarm is raised
	unwatched                      bool // what switches decide is not kept
	asked                          bool // alarms have been looked at once
	litSince                       float64
	rimL, intakeL                  float64
	heatIn, heatTurnover           float64
	evaporated, toppedUp           float64
	saltSpilled                    float64
	comparators                    []compared // of the system, then two per limit
	relayClosed                    []bool
	circuitLive                    []bool
	control                        []controlState
	deviceOn                       []bool
	alarm                          []alarmState
	limit                          [LimitKinds]limitState
	out                            Outcome
	heatStart, waterStart, saltSum float64
	spilledStart                   float64
	every                          float64 // s between samples; 0: none
	samples                        []Sample
}

// Settle runs the tank for three days with nothing wrong and returns the state
// at the same hour, with level, salt and reservoirs as somebody leaves them.
//
// Accuracy: as Run. Errors: the context's. Source: [Derived].
func Settle(ctx context.Context, s *System) (State, error) {
	out, err := Run(ctx, s, nil, nil, settleSeconds)
	if err != nil {
		return State{}, err
	}
	return out.Final.Refilled(s), nil
}

// Run injects the faults at once and follows the tank until horizonS, or until
// MaxEvents switching instants have passed (Outcome.Truncated).
//
//	start     where it starts; nil: at its set-point and normal line
//	horizonS  length of the run  [s], > 0
//
// Between events temperatures, level and oxygen are sums of a polynomial and
// exponentials, so instants and values are exact but for rounding; heat, water
// and salt balances are returned with the outcome.
// Accuracy: rounding, for the linear tank it is given.
// Errors: the context's. Source: [Derived].
func Run(ctx context.Context, s *System, start *State, injections []Injection, horizonS float64) (Outcome, error) {
	r := newRun(s, start, newFaultState(s, injections), horizonS)
	err := r.loop(ctx)
	return r.out, err
}

// loop goes from event to event until the horizon.
func (r *run) loop(ctx context.Context) error {
	for r.t < r.horizon {
		if r.out.Events >= r.s.MaxEvents {
			r.out.Truncated = true
			break
		}
		if r.out.Events%256 == 0 {
			if err := ctx.Err(); err != nil {
				return err
			}
		}
		r.out.Events++
		r.resolve()
		r.segment()
	}
	r.resolve()
	r.finish()
	return nil
}

func newRun(s *System, start *State, f faultState, horizonS float64) *run {
	if start == nil {
		st := initialState(s)
		start = &st
	}
	r := &run{
		s: s, f: f, horizon: horizonS,
		second: start.Second, temp: start.TempC, level: start.LevelL, deficit: start.DeficitL, salt: start.Salt,
		stored: append([]float64(nil), start.StoredL...), outflow: make([]float64, len(s.Reservoirs)), oxygen: start.OxygenMgL, spilled: start.SpilledL, spilledStart: start.SpilledL,
		flowing: start.Flowing, lit: start.Lit, litSince: -start.SameLitS,
		rimL: s.Chamber.VolumeAtL(s.Chamber.RimMM), intakeL: s.Chamber.VolumeAtL(s.Chamber.IntakeMM),
		comparators: make([]compared, len(s.Comparators)+2*int(LimitKinds)),
		relayClosed: make([]bool, len(s.Relays)), circuitLive: make([]bool, len(s.Circuits)),
		control: make([]controlState, len(s.Controls)), deviceOn: make([]bool, len(s.Devices)),
		alarm: make([]alarmState, len(s.Alarms)), piece: make([]Piece, len(s.Programmes)),
	}
	if r.w = s.wiring; r.w == nil {
		r.w = newWiring(s)
	}
	r.readClock()
	for i := range r.stored {
		if r.f.reservoirEmpty[i] {
			r.stored[i] = 0
		}
	}
	for i := range r.circuitLive {
		r.circuitLive[i] = true
	}
	r.out.Devices = make([]DeviceOutcome, len(s.Devices))
	r.out.Touched = Touched{
		Relays: make([]Seen, len(s.Relays)), Controls: make([]Seen, len(s.Controls)), Thermostats: make([]Seen, len(s.Devices)),
		Devices: make([]Seen, len(s.Devices)), Conditions: make([]Seen, len(s.Conditions)),
	}
	r.out.Deciding = Deciding{
		Relays: make([]Seen, len(s.Relays)), Thermostats: make([]Seen, len(s.Devices)), Devices: make([]Seen, len(s.Devices)),
	}
	r.out.Called = make([]Turns, len(s.Alarms))
	r.out.Alarms = make([]AlarmOutcome, len(s.Alarms))
	for i := range r.alarm {
		r.alarm[i].raised = Never
	}
	for k := range r.out.Limits {
		r.out.Limits[k] = LimitOutcome{ComfortS: Never, HarmS: Never}
	}
	sal := r.salinity()
	r.out.Peaks = Peaks{
		TempMinC: r.temp[0], TempMaxC: r.temp[0], SalinityMin: sal, SalinityMax: sal,
		LevelMinL: r.level, LevelMaxL: r.level, OxygenMinMgL: r.oxygen,
		SumpTempMinC: r.temp[s.Nodes-1], SumpTempMaxC: r.temp[s.Nodes-1],
	}
	for i, c := range s.Comparators {
		r.comparators[i] = r.prepare(c, start.compared[i], deadBand(c.Quantity))
	}
	for k := range LimitKinds {
		comfort, harm := limitComparators(s.Limits[k], k)
		n := len(s.Comparators) + 2*int(k)
		for j, c := range []Comparator{comfort, harm} {
			r.comparators[n+j] = r.prepare(c, !exceededWhenTrue(k), limitBand)
			r.comparators[n+j].fixed = !s.Limits[k].Active || k == NoDark || k == NoLight
		}
	}
	r.heatStart, r.waterStart, r.saltSum = r.totals()
	return r
}

// prepare applies the sensor's fault to a comparator and finds its state now;
// within the dead band it keeps the state it had.
func (r *run) prepare(c Comparator, before bool, band float64) compared {
	p := compared{state: before, low: math.Min(c.Low, c.High-band), high: c.High}
	value := r.value(c)
	if c.Sensor >= 0 {
		f := r.f.sensor[c.Sensor]
		p.low -= f.offset
		p.high -= f.offset
		if f.fixed {
			p.fixed, value = true, f.value
		}
	}
	switch {
	case value >= p.high:
		p.state = true
	case value <= p.low:
		p.state = false
	}
	return p
}

// deadBand returns the smallest dead band of a switching comparator.
func deadBand(q Quantity) float64 {
	switch q {
	case DisplayTemp, SumpTemp:
		return minBandK
	case Level, Stored:
		return minBandLevelL
	}
	return limitBand
}

// exceededWhenTrue tells whether the comparator of a limit is true beyond it.
func exceededWhenTrue(k LimitKind) bool {
	return k == Overheated || k == Concentrated || k == Flooded
}

// limitQuantity is what each limit watches; NoDark and NoLight are timed instead.
var limitQuantity = [LimitKinds]Quantity{
	Overheated: DisplayTemp, Chilled: DisplayTemp, Diluted: Salinity, Concentrated: Salinity,
	Flooded: Spill, RunDry: Level, Airless: Oxygen,
}

// limitComparators returns the comparators of a comfort edge and a harm limit.
func limitComparators(l Limit, k LimitKind) (comfort, harm Comparator) {
	at := func(x float64) Comparator {
		c := Comparator{Quantity: limitQuantity[k], Low: x, High: x + limitBand, Sensor: -1}
		if exceededWhenTrue(k) {
			c.Low, c.High = x-limitBand, x
		}
		return c
	}
	return at(l.Comfort), at(l.Harm)
}

func (r *run) salinity() float64 { return r.salt[Display] / r.displayVolume() }

func (r *run) value(c Comparator) float64 {
	switch c.Quantity {
	case DisplayTemp:
		return r.temp[Display]
	case SumpTemp:
		return r.temp[r.s.Nodes-1]
	case Level:
		return r.level
	case Salinity:
		return r.salinity()
	case Oxygen:
		return r.oxygen
	case Spill:
		return r.spilled
	default:
		return r.stored[c.Reservoir]
	}
}

func (r *run) mark(kind MarkKind, index int) {
	for _, m := range r.out.Marks {
		if m.Kind == kind && m.Index == index {
			return
		}
	}
	r.out.Marks = append(r.out.Marks, Mark{Kind: kind, Index: index, AtS: r.t})
}

func (r *run) finish() {
	p := &r.out.Peaks
	p.SalinityMin, p.SalinityMax = math.Min(p.SalinityMin, r.salinity()), math.Max(p.SalinityMax, r.salinity())
	r.out.EndS = r.t
	for i, a := range r.alarm {
		r.out.Alarms[i].RaisedS = a.raised
	}
	heat, water, salt := r.totals()
	b := &r.out.Balance
	b.HeatResidualJ, b.HeatTurnoverJ = heat-r.heatStart-r.heatIn, math.Abs(r.heatStart)+r.heatTurnover
	spilled := r.spilled - r.spilledStart
	b.WaterResidualL = water - r.waterStart - r.toppedUp + r.evaporated + spilled
	b.WaterTurnoverL = r.waterStart + r.toppedUp + r.evaporated + spilled
	b.SaltResidual, b.SaltTurnover = salt-r.saltSum+r.saltSpilled, r.saltSum
	b.EvaporatedL, b.ToppedUpL, b.SpilledL = r.evaporated, r.toppedUp, spilled
	states := make([]bool, len(r.s.Comparators))
	for i := range states {
		states[i] = r.comparators[i].state
	}
	r.out.Final = State{
		Second: math.Mod(r.second+r.t, daySeconds), TempC: r.temp, LevelL: r.level, DeficitL: r.deficit,
		Salt: r.salt, StoredL: r.stored, OxygenMgL: r.oxygen, SpilledL: r.spilled, Flowing: r.flowing,
		Lit: r.lit, SameLitS: r.t - r.litSince, compared: states,
	}
}
