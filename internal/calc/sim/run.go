package sim

import (
	"context"
	"math"
)

// settleSeconds is how long Settle lets the tank find its rhythm.
const settleSeconds = 3 * daySeconds

// Settle runs the tank for three days and returns the state at the same hour, with level, salt and reservoirs as
// somebody leaves them, and what stepped in meanwhile.
//
//	drifts  sensors that have drifted before; none: nothing is wrong
//
// Accuracy: as Run. Errors: the context's. Source: [Derived].
func Settle(ctx context.Context, s *System, drifts []Injection) (start State, marks []Mark, events int, err error) {
	c, err := Run(ctx, s, nil, drifts, settleSeconds)
	if err != nil {
		return State{}, nil, 0, err
	}
	return c.End().Refilled(s), c.Marks(drifts), len(c.Segments), nil
}

// Run injects the faults at once and follows the water until horizonS, or until
// MaxEvents switching instants have passed (Course.Truncated).
//
//	start     where it starts; nil: at its set-point and normal line
//	horizonS  length of the run  [s], > 0
//
// Between events temperatures, level and oxygen are sums of a polynomial and
// exponentials, so instants and values are exact but for rounding; heat, water
// and salt balances are returned with the course.
//
// Water that runs back into a reservoir which stands below the end of its line is not followed.
// Accuracy: rounding, for the linear tank it is given.
// Errors: the context's. Source: [Derived].
func Run(ctx context.Context, s *System, start *State, injections []Injection, horizonS float64) (*Course, error) {
	return newRun(s, start, newFaultState(s, injections), horizonS, nil).complete(ctx)
}

// RunEffect runs as Run does with faults that have this effect.
//
//	reuse  a course that nobody needs any more, to use its memory again; or nil
//
// Accuracy: as Run. Errors: the context's. Source: [Derived].
func RunEffect(ctx context.Context, s *System, start *State, e Effect, horizonS float64, reuse *Course) (*Course,
	error) {
	return newRun(s, start, e.f, horizonS, reuse).complete(ctx)
}

// newRun prepares a run; reuse is a course that nobody needs any more, or nil.
func newRun(s *System, start *State, f faultState, horizonS float64, reuse *Course) *run {
	if start == nil {
		st := initialState(s)
		start = &st
	}
	r := &run{
		water: waterOf(s, start), w: s.wired(), f: f, horizon: horizonS, second: start.Second,
		comparators: make([]comparing, len(s.Comparators)),
		relayClosed: make([]bool, len(s.Relays)), circuitLive: make([]bool, len(s.Circuits)),
		control: make([]controlState, len(s.Controls)), called: make([]bool, len(s.Devices)),
		siphon: make([]bool, len(s.Reservoirs)), on: make([]bool, len(s.Devices)),
		piece: make([]Piece, len(s.Programmes)), halted: make([]bool, len(s.Devices)),
	}
	for i := range r.stored {
		if f.reservoirEmpty[i] {
			r.stored[i] = 0
		}
	}
	r.air, r.roomTarget, r.lit = -1, r.room, start.Lit
	r.plumb()
	r.flowShare = f.flowShare(s)
	r.readClock()
	for _, i := range r.w.switching {
		c := &s.Comparators[i]
		r.comparators[i] = c.compare(r.value(c), start.compared[i], f.faultOf(c.Sensor))
	}
	if reuse == nil {
		reuse = &Course{}
	}
	*reuse = Course{
		s: s, start: r.water, before: start.compared, airless: Never,
		Devices: make([]DeviceUse, len(s.Devices)), emptied: make([]float64, len(s.Reservoirs)),
		RelayStarts: append(reuse.RelayStarts[:0], make([]int, len(s.Relays))...),
		lit:         timeline{!start.Lit, append(reuse.lit.turns[:0], -start.SameLitS)},
		flow:        timeline{start.Flowing, reuse.flow.turns[:0]},
		Segments:    reuse.Segments[:0], switched: reuse.switched[:0], numbers: reuse.numbers[:0],
	}
	r.course = reuse
	r.course.second = r.second
	r.takeCups()
	r.connect()
	if r.w.starts {
		r.starting = newStarting(s)
	}
	r.course.start.stored = append([]float64(nil), r.stored...)
	for i := range r.course.emptied {
		r.course.emptied[i] = Never
	}
	if r.w.anyWatched {
		r.course.commands = make([]timeline, len(s.Controls))
	}
	return r
}

// complete goes from event to event until the horizon.
func (r *run) complete(ctx context.Context) (*Course, error) {
	heat, water, salt := r.totals()
	for r.t < r.horizon {
		events := len(r.course.Segments)
		if events >= r.s.MaxEvents {
			r.course.Truncated = true
			break
		}
		if events%256 == 0 {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
		}
		r.resolve()
		r.follow()
	}
	r.resolve()
	r.close(heat, water, salt)
	return r.course, nil
}

// close ends a course with a segment of no length and balances the accounts against what there was at the start.
func (r *run) close(heat0, water0, salt0 float64) {
	g := r.begin()
	g.lookTo(0)
	g.confine()
	c := r.course
	c.EndS = r.t
	heat, water, salt := r.totals()
	spilled := r.spilled - c.start.spilled
	c.Balance = Balance{
		HeatResidualJ: heat - heat0 - r.heatIn, HeatTurnoverJ: math.Abs(heat0) + r.heatTurnover,
		WaterResidualL: water - water0 - r.toppedUp - r.dosed + r.drained + r.evaporated + spilled + r.skimmed,
		WaterTurnoverL: water0 + r.toppedUp + r.evaporated + spilled + r.dosed + r.drained,
		SaltResidual:   salt - salt0 + r.saltSpilled - r.saltAdded, SaltTurnover: salt0 + r.saltAdded,
		EvaporatedL: r.evaporated, ToppedUpL: r.toppedUp, SpilledL: spilled,
		DosedL: r.dosed, DrainedL: r.drained,
	}
	states := append([]bool(nil), c.before...)
	for _, i := range r.w.switching {
		states[i] = r.comparators[i].state
	}
	c.final = State{
		Second: math.Mod(r.second+r.t, daySeconds), TempC: r.temp, LevelL: r.level, DeficitL: r.deficit,
		Salt: r.salt, StoredL: r.stored, OxygenMgL: r.oxygen, SpilledL: r.spilled, Flowing: r.flowing,
		Dissolved: r.dissolved,
		Lit:       c.lit.last(), SameLitS: r.t - c.lit.turns[len(c.lit.turns)-1], compared: states,
	}
	c.bound = c.Segments[0].bound
	for i := range c.Segments {
		for q := range c.bound {
			b, all := &c.Segments[i].bound[q], &c.bound[q]
			all[0], all[1] = min(all[0], b[0]), max(all[1], b[1])
		}
	}
}
