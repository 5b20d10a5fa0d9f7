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
func Settle(ctx context.Context, s *System, drifts []Injection) (State, []Mark, error) {
	c, err := Run(ctx, s, nil, drifts, settleSeconds)
	if err != nil {
		return State{}, nil, err
	}
	return c.End().Refilled(s), c.Marks(drifts), nil
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
		WaterResidualL: water - water0 - r.toppedUp + r.evaporated + spilled,
		WaterTurnoverL: water0 + r.toppedUp + r.evaporated + spilled,
		SaltResidual:   salt - salt0 + r.saltSpilled, SaltTurnover: salt0,
		EvaporatedL: r.evaporated, ToppedUpL: r.toppedUp, SpilledL: spilled,
	}
	states := append([]bool(nil), c.before...)
	for _, i := range r.w.switching {
		states[i] = r.comparators[i].state
	}
	c.final = State{
		Second: math.Mod(r.second+r.t, daySeconds), TempC: r.temp, LevelL: r.level, DeficitL: r.deficit,
		Salt: r.salt, StoredL: r.stored, OxygenMgL: r.oxygen, SpilledL: r.spilled, Flowing: r.flowing,
		Lit: c.lit.last(), SameLitS: r.t - c.lit.turns[len(c.lit.turns)-1], compared: states,
	}
	c.bound = c.Segments[0].bound
	for i := range c.Segments {
		for q := range c.bound {
			b, all := &c.Segments[i].bound[q], &c.bound[q]
			if b[0] < all[0] {
				all[0] = b[0]
			}
			if b[1] > all[1] {
				all[1] = b[1]
			}
		}
	}
}
