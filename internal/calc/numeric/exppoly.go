package numeric

import "math"

// ExpPoly is a polynomial plus two decaying exponentials, the shape of every
// linear quantity of a lumped tank between two switching instants:
//
//	f(t) = P0 + P1·t + P2·t² + B0·exp(-L0·t) + B1·exp(-L1·t)
//
// t is in seconds and at least 0, L in 1/s and at least 0; the unit of f is the caller's.
type ExpPoly struct {
	P [3]float64
	B [2]float64
	L [2]float64
}

// Constant returns the function that is c everywhere.
//
//	f(t) = c
//
// Accuracy: exact. Errors: none. Source: [Derived].
func Constant(c float64) ExpPoly { return ExpPoly{P: [3]float64{c}} }

// Linear returns the straight line through c at t = 0.
//
//	f(t) = c + slope·t
//
// Accuracy: exact. Errors: none. Source: [Derived].
func Linear(c, slope float64) ExpPoly { return ExpPoly{P: [3]float64{c, slope}} }

// At returns f(t).
//
// Accuracy: rounding. Errors: none. Source: [Derived].
func (f ExpPoly) At(t float64) float64 {
	v := f.P[0] + t*(f.P[1]+t*f.P[2])
	if f.B[0] != 0 {
		v += f.B[0] * math.Exp(-f.L[0]*t)
	}
	if f.B[1] != 0 {
		v += f.B[1] * math.Exp(-f.L[1]*t)
	}
	return v
}

// Decay is what is left of each exponential at one time. Quantities of one segment share
// their rates, so that one pair of exponentials serves them all.
type Decay [2]float64

// DecayAt returns exp(-L t) of both rates.
//
//	t  [s]
//
// Accuracy: rounding. Errors: none. Source: [Derived].
func (f *ExpPoly) DecayAt(t float64) Decay { return DecayOf(f.L, t) }

// DecayOf returns exp(-rate t) of two rates, a rate of 0 being one that is not used.
//
//	rates  [1/s]
//	t      [s]
//
// Accuracy: rounding. Errors: none. Source: [Derived].
func DecayOf(rates [2]float64, t float64) Decay {
	e := Decay{1, 1}
	if rates[0] != 0 {
		e[0] = math.Exp(-rates[0] * t)
	}
	if rates[1] != 0 {
		e[1] = math.Exp(-rates[1] * t)
	}
	return e
}

// With returns f(t), the decay of its rates at t being known.
//
// Accuracy: rounding. Errors: none; the decay must be that of f's own rates. Source: [Derived].
func (f *ExpPoly) With(t float64, d Decay) float64 {
	return f.P[0] + t*(f.P[1]+t*f.P[2]) + f.B[0]*d[0] + f.B[1]*d[1]
}

// Derivative returns df/dt.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (f ExpPoly) Derivative() ExpPoly {
	return ExpPoly{
		P: [3]float64{f.P[1], 2 * f.P[2], 0},
		B: [2]float64{-f.L[0] * f.B[0], -f.L[1] * f.B[1]},
		L: f.L,
	}
}

// IntegralFrom returns the antiderivative that is start at t = 0.
//
//	F(t) = start + ∫0..t f
//
// f must have no t² term (it would need a t³ one) and a rate above 0 wherever
// it has an exponential; a term that breaks this is a programmer's mistake and panics.
// Accuracy: rounding. Errors: none. Source: [Derived].
func (f ExpPoly) IntegralFrom(start float64) ExpPoly {
	if f.P[2] != 0 {
		panic("numeric: integral of a quadratic is out of the ExpPoly's shape")
	}
	b0, b1 := weight(f.B[0], f.L[0]), weight(f.B[1], f.L[1])
	return ExpPoly{P: [3]float64{start + b0 + b1, f.P[0], f.P[1] / 2}, B: [2]float64{-b0, -b1}, L: f.L}
}

// weight returns the integral of b·exp(-rate·t) from 0 on.
func weight(b, rate float64) float64 {
	if b == 0 {
		return 0
	}
	if rate <= 0 {
		panic("numeric: an exponential needs a rate above zero")
	}
	return b / rate
}

// Integral returns the integral of f from 0 to h, the decay of f's rates at h being known; shape and panics as
// IntegralFrom's.
//
//	∫0..h f
//
// Accuracy: rounding. Errors: none. Source: [Derived].
func (f *ExpPoly) Integral(h float64, e Decay) float64 {
	if f.P[2] != 0 {
		panic("numeric: integral of a quadratic is out of the ExpPoly's shape")
	}
	b0, b1 := weight(f.B[0], f.L[0]), weight(f.B[1], f.L[1])
	return h*(f.P[0]+h*f.P[1]/2) + b0*(1-e[0]) + b1*(1-e[1])
}

// Plus returns f + k·g; f and g must share their rates wherever both have an exponential.
//
// Accuracy: exact. Errors: none (differing rates are a programmer's mistake and panic). Source: [Derived].
func (f ExpPoly) Plus(k float64, g *ExpPoly) ExpPoly {
	f.P[0] += k * g.P[0]
	f.P[1] += k * g.P[1]
	f.P[2] += k * g.P[2]
	for i := range f.B {
		if g.B[i] == 0 {
			continue
		}
		if f.B[i] != 0 && f.L[i] != g.L[i] {
			panic("numeric: sum of exponentials with different rates")
		}
		f.L[i] = g.L[i]
		f.B[i] += k * g.B[i]
	}
	return f
}

// Later returns the same function counted from a later instant.
//
//	g(t) = f(seconds + t)
//
// Accuracy: rounding. Errors: none. Source: [Derived].
func (f ExpPoly) Later(seconds float64) ExpPoly {
	e := f.DecayAt(seconds)
	return ExpPoly{
		P: [3]float64{f.P[0] + seconds*(f.P[1]+seconds*f.P[2]), f.P[1] + 2*seconds*f.P[2], f.P[2]},
		B: [2]float64{f.B[0] * e[0], f.B[1] * e[1]},
		L: f.L,
	}
}

// FirstReaching returns the first t in 0 … h at which f(t) >= level (rising) or
// f(t) <= level (not rising), and whether there is one. No step size enters:
// the interval is cut at the zeros of the derivative, found the same way, so
// that each piece is monotonic.
//
// Accuracy: rounding of f at the crossing. Errors: none. Source: [Derived] (Rolle's theorem).
func (f ExpPoly) FirstReaching(level float64, rising bool, h float64) (float64, bool) {
	return f.FirstReachingWith(level, rising, h, f.DecayAt(h))
}

// FirstReachingWith returns the same, the decay of f's rates at h being known.
//
// Accuracy: rounding of f at the crossing. Errors: none. Source: [Derived] (Rolle's theorem).
func (f *ExpPoly) FirstReachingWith(level float64, rising bool, h float64, e Decay) (float64, bool) {
	lo, hi := f.BoundsWith(h, e)
	now, sign := f.P[0]+f.B[0]+f.B[1], 1.0
	switch {
	case rising && now >= level, !rising && now <= level:
		return 0, true
	case rising && hi < level, !rising && lo > level:
		return 0, false
	}
	if !rising {
		sign = -1
	}
	// now: first t with sign·(f(t) - level) >= 0
	from := 0.0
	d := f.Derivative()
	var turns [maxZeros]float64
	n := d.zeros(h, e, &turns)
	for i := 0; i <= n; i++ {
		to, fTo := h, 0.0
		if i < n {
			to = turns[i]
			fTo = f.At(to)
		} else {
			fTo = f.With(h, e)
		}
		if sign*(fTo-level) >= 0 {
			return f.reachedBetween(from, to, level, sign), true
		}
		from = to
	}
	return 0, false
}

// Extremes returns the least and the greatest value of f on 0 … h.
//
// Accuracy: rounding. Errors: none. Source: [Derived].
func (f ExpPoly) Extremes(h float64) (least, greatest float64) {
	return f.ExtremesWith(h, f.DecayAt(h))
}

// ExtremesWith returns the same, the decay of f's rates at h being known.
//
// Accuracy: rounding. Errors: none. Source: [Derived].
func (f *ExpPoly) ExtremesWith(h float64, e Decay) (least, greatest float64) {
	a, b := f.P[0]+f.B[0]+f.B[1], f.With(h, e)
	least, greatest = min(a, b), max(a, b)
	d := f.Derivative()
	var turns [maxZeros]float64
	n := d.zeros(h, e, &turns)
	for _, t := range turns[:n] {
		v := f.At(t)
		least, greatest = min(least, v), max(greatest, v)
	}
	return least, greatest
}

// maxZeros is what degree 2 and two exponentials have at most: one more than their derivative, which ends at two
// exponentials alone.
const maxZeros = 4

// BoundsWith returns limits that f cannot leave on 0 … h, from each term alone; they need not be reached.
//
//	e  the decay of f's rates at h
//
// Accuracy: rounding. Errors: none. Source: [Derived] (every term is monotonic).
func (f *ExpPoly) BoundsWith(h float64, e Decay) (lo, hi float64) {
	lo, hi = plus(f.P[0], f.P[0], 0, f.P[1]*h)
	lo, hi = plus(lo, hi, 0, f.P[2]*h*h)
	lo, hi = plus(lo, hi, f.B[0], f.B[0]*e[0])
	return plus(lo, hi, f.B[1], f.B[1]*e[1])
}

// plus adds a term that goes from a to b, or back, to bounds.
func plus(lo, hi, a, b float64) (float64, float64) {
	return lo + min(a, b), hi + max(a, b)
}

// zeros writes where f changes sign after 0 and up to h, ascending, and returns how often it does;
// e is the decay of its rates at h.
func (f *ExpPoly) zeros(h float64, e Decay, out *[maxZeros]float64) int {
	if lo, hi := f.BoundsWith(h, e); lo > 0 || hi < 0 {
		return 0
	}
	if f.P == [3]float64{} {
		// Two exponentials alone: B0·exp(-L0 t) = -B1·exp(-L1 t).
		if f.B[0] == 0 || f.B[1] == 0 || f.L[0] == f.L[1] || math.Signbit(f.B[0]) == math.Signbit(f.B[1]) {
			return 0
		}
		t := math.Log(-f.B[1]/f.B[0]) / (f.L[1] - f.L[0])
		if t > 0 && t < h {
			out[0] = t
			return 1
		}
		return 0
	}
	var turns [maxZeros]float64
	d := f.Derivative()
	n := d.zeros(h, e, &turns)
	count := 0
	from, fFrom := 0.0, f.At(0)
	for i := 0; i <= n; i++ {
		to := h
		if i < n {
			to = turns[i]
		}
		fTo := f.At(to)
		if fFrom != 0 && math.Signbit(fFrom) != math.Signbit(fTo) {
			out[count] = f.reachedBetween(from, to, 0, math.Copysign(1, fTo))
			count++
		}
		from, fFrom = to, fTo
	}
	return count
}

// reachedBetween returns where g = sign·(f - level) is zero, by Newton's method from the middle. A step that would
// leave what is left of the bracket halves it instead.
//
//	g is monotonic on from … to, with g(from) < 0 <= g(to)
func (f *ExpPoly) reachedBetween(from, to, level, sign float64) float64 {
	const smallStep = 1e-7 // as a share: the next is about its square
	lo, hi, x := from, to, from+(to-from)/2
	for range maxIterations {
		value, slope := f.withSlope(x)
		g := sign * (value - level)
		if g < 0 {
			lo = x
		} else {
			hi = x
		}
		if g == 0 || hi-lo <= 4e-16*hi {
			return hi
		}
		next := x - g/(sign*slope)
		switch {
		case next <= lo || next >= hi:
			next = lo + (hi-lo)/2
		case math.Abs(next-x) <= smallStep*x:
			return next
		}
		x = next
	}
	return hi
}

// withSlope returns f(t) and df/dt, which share their exponentials.
func (f *ExpPoly) withSlope(t float64) (value, slope float64) {
	value, slope = f.P[0]+t*(f.P[1]+t*f.P[2]), f.P[1]+2*t*f.P[2]
	for i, b := range f.B {
		if b != 0 {
			b *= math.Exp(-f.L[i] * t)
			value, slope = value+b, slope-f.L[i]*b
		}
	}
	return value, slope
}
