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
	case math.Signbit(fA) == math.Signbit(fB):
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
		if math.Signbit(fx) == math.Signbit(fB) {
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
		step = min(1-least, max(least, step))
	}
	return 0, calc.ErrNoConvergence
}

// RootFrom returns an x in lo … hi at which the continuous function f is zero, from a good guess.
//
//	x' = x - f(x)/slope, the slope being that between the last two points
//
//	lo, hi     ends of the bracket, lo <= hi, any unit
//	guess      in lo … hi, near the zero
//	slope      of f near the guess, not 0; a rough one does
//	tolerance  largest acceptable last step, same unit, > 0
//
// Accuracy: the last step is taken, so the error is far below the tolerance; some four
// evaluations for a function that is nearly straight. Where the steps do not settle, Root takes over.
// Errors: as Root. Source: [Chandrupatla1997] for Root; the secants are [Derived].
func RootFrom(f func(float64) float64, lo, hi, guess, slope, tolerance float64) (float64, error) {
	const most = 10 // steps; a good guess settles in four
	x, fx := guess, f(guess)
	for range most {
		step := -fx / slope
		next := max(lo, min(hi, x+step))
		if fx == 0 || math.Abs(step) <= tolerance {
			return next, nil
		}
		if next == x { // held by an end of the bracket
			break
		}
		fNext := f(next)
		slope = (fNext - fx) / (next - x)
		x, fx = next, fNext
	}
	return Root(f, lo, hi, tolerance)
}
