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
// Accuracy: twice the tolerance at worst, usually rounding. Inverse quadratic interpolation through the
// last three points wherever Chandrupatla's criterion says that it will do,
// bisection where not: some eight evaluations for a smooth function.
// Errors: calc.ErrNoSolution when f has the same sign at both ends,
// calc.ErrNoConvergence when f is not finite inside the bracket.
// Source: [Chandrupatla1997].
func Root(f func(float64) float64, lo, hi, tolerance float64) (float64, error) {
	a, b := lo, hi // the zero lies between them; b is the newer
	fA, fB := f(a), f(b)
	switch {
	case fA == 0:
		return a, nil
	case fB == 0:
		return b, nil
	case math.IsNaN(fA) || math.IsNaN(fB):
		return 0, calc.ErrNoConvergence
	case (fA < 0) == (fB < 0):
		return 0, calc.ErrNoSolution
	}
	step := 0.5 // of the way from b to a
	for range maxIterations {
		x := b + step*(a-b)
		fx := f(x)
		if math.IsNaN(fx) || math.IsInf(fx, 0) {
			return 0, calc.ErrNoConvergence
		}
		if fx == 0 {
			return x, nil
		}
		c, fC := b, fB // what is left of the older points
		if (fx < 0) == (fB < 0) {
			b, fB = x, fx
		} else {
			c, fC = a, fA
			a, fA, b, fB = b, fB, x, fx
		}
		best := b
		if math.Abs(fA) < math.Abs(fB) {
			best = a
		}
		width := math.Abs(a - b)
		if mid := b + (a-b)/2; width <= 2*tolerance || mid == a || mid == b {
			return best, nil
		}
		step = 0.5
		xi, phi := (b-a)/(c-a), (fB-fA)/(fC-fA)
		if phi*phi < xi && (1-phi)*(1-phi) < 1-xi {
			step = fB/(fA-fB)*fC/(fA-fC) + (c-b)/(a-b)*fB/(fC-fB)*fA/(fC-fA)
		}
		// Not nearer to an end than the tolerance, so that the far end is drawn in.
		least := tolerance / width
		step = math.Min(1-least, math.Max(least, step))
	}
	return 0, calc.ErrNoConvergence
}
