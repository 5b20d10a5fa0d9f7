// Package numeric holds root finding, interpolation and event location. It
// knows no physics.
package numeric

import (
	"math"

	"saltwright/internal/calc"
)

const maxIterations = 200

// Root returns an x in lo … hi at which the continuous function f is zero.
//
//	f(x) = 0, f(lo) · f(hi) <= 0
//
//	lo, hi     ends of the bracket, any unit
//	tolerance  largest acceptable half-width of the last bracket, same unit, > 0
//
// Accuracy: tolerance, or rounding. Bisection with a secant step that is only
// taken while it at least halves the bracket, so it never takes more than
// about twice the steps of bisection.
// Errors: calc.ErrNoSolution when f has the same sign at both ends,
// calc.ErrNoConvergence when f is not finite inside the bracket.
// Source: [Derived].
func Root(f func(float64) float64, lo, hi, tolerance float64) (float64, error) {
	fLo, fHi := f(lo), f(hi)
	switch {
	case fLo == 0:
		return lo, nil
	case fHi == 0:
		return hi, nil
	case math.IsNaN(fLo) || math.IsNaN(fHi):
		return 0, calc.ErrNoConvergence
	case (fLo < 0) == (fHi < 0):
		return 0, calc.ErrNoSolution
	}
	useSecant := true
	for range maxIterations {
		width := hi - lo
		mid := lo + width/2
		if math.Abs(width) <= 2*tolerance || mid == lo || mid == hi {
			return mid, nil
		}
		x := mid
		if useSecant {
			if s := lo - fLo*width/(fHi-fLo); s > math.Min(lo, hi) && s < math.Max(lo, hi) {
				x = s
			}
		}
		fx := f(x)
		if math.IsNaN(fx) || math.IsInf(fx, 0) {
			return 0, calc.ErrNoConvergence
		}
		if fx == 0 {
			return x, nil
		}
		if (fx < 0) == (fLo < 0) {
			lo, fLo = x, fx
		} else {
			hi, fHi = x, fx
		}
		// A secant step that did not halve the bracket is followed by a bisection.
		useSecant = math.Abs(hi-lo) <= math.Abs(width)/2 || !useSecant
	}
	return 0, calc.ErrNoConvergence
}
