package numeric

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A root finder that has lost its interpolation still finds the root, by bisection in some forty evaluations. What is
// counted here is what the docstrings promise.
func TestRootsTakeFewEvaluations(t *testing.T) {
	for name, c := range map[string]struct {
		f                          func(float64) float64
		lo, hi, want, guess, slope float64
	}{
		// Wallis's equation (1685), root 2.0945514815423265; Dottie's number 0.7390851332151607 (both well known)
		"Wallis": {func(x float64) float64 { return x*x*x - 2*x - 5 }, 2, 3, 2.0945514815423265, 2.1, 11},
		"Dottie": {func(x float64) float64 { return math.Cos(x) - x }, 0, 1, 0.7390851332151607, 0.74, -1.67},
		"log":    {func(x float64) float64 { return math.Log(x) - 1 }, 1, 5, math.E, 2.7, 0.37},
		"square": {func(x float64) float64 { return x*x - 2 }, 0, 2, math.Sqrt2, 1.4, 2.8},
	} {
		n := 0
		count := func(x float64) float64 { n++; return c.f(x) }
		got, err := Root(count, c.lo, c.hi, 1e-12)
		require.NoError(t, err)
		assert.InDelta(t, c.want, got, 2e-12, name)
		assert.LessOrEqual(t, n, 9, name)
		n = 0
		got, err = RootFrom(count, c.lo, c.hi, c.guess, c.slope, 1e-9)
		require.NoError(t, err)
		assert.InDelta(t, c.want, got, 1e-14, name)
		assert.LessOrEqual(t, n, 5, name)
	}
}

// A wide tolerance ends the search early, and then the end of the bracket that is nearer to the root is given. One
// below what numbers can tell ends it where no number is left between the ends.
func TestRootGivesTheBetterEnd(t *testing.T) {
	square := func(x float64) float64 { return x*x - 2 }
	for _, tolerance := range []float64{1e-3, 1e-6, 1e-300} {
		got, err := Root(square, 0, 2, tolerance)
		require.NoError(t, err)
		assert.InDelta(t, math.Sqrt2, got, math.Max(1e-15, tolerance/10), "tolerance %v", tolerance)
	}
}

// What is reached at the very end counts, and what is there already, even when it moves away.
func TestFirstReachingAtTheEnds(t *testing.T) {
	rise, fall := Linear(0, 1), Linear(0, -1)
	at, ok := rise.FirstReaching(10, true, 10)
	assert.True(t, ok)
	assert.InDelta(t, 10, at, 1e-12)
	at, ok = fall.FirstReaching(-10, false, 10)
	assert.True(t, ok)
	assert.InDelta(t, 10, at, 1e-12)
	for _, rising := range []bool{true, false} {
		away := fall
		if !rising {
			away = rise
		}
		at, ok = away.FirstReaching(0, rising, 10)
		assert.True(t, ok)
		assert.Zero(t, at)
	}
}

// By hand: t² is 4 at 2; (t - 5)² is least at 5 and 1 at 4; 8 exp(-t/2) - 4 exp(-t/4) is least at 4 ln 4,
// 8/16 - 4/4 = -1/2 there.
func TestTurnsByHand(t *testing.T) {
	fall := Linear(0, -2) // the slope of -t²: what turns where it begins has no turn behind it
	assert.Zero(t, fall.zeros(10, fall.DecayAt(10), new([maxZeros]float64)))
	square := ExpPoly{P: [3]float64{0, 0, 1}}
	at, ok := square.FirstReaching(4, true, 10)
	assert.True(t, ok)
	assert.InDelta(t, 2, at, 1e-12)
	valley := ExpPoly{P: [3]float64{25, -10, 1}}
	least, greatest := valley.Extremes(10)
	assert.InDelta(t, 0, least, 1e-12)
	assert.InDelta(t, 25, greatest, 1e-12)
	at, ok = valley.FirstReaching(1, false, 10)
	assert.True(t, ok)
	assert.InDelta(t, 4, at, 1e-12)
	two := ExpPoly{B: [2]float64{8, -4}, L: [2]float64{0.5, 0.25}}
	least, greatest = two.Extremes(100)
	assert.InDelta(t, -0.5, least, 1e-14)
	assert.InDelta(t, 4, greatest, 1e-14)
}

// The same curve told in microseconds or in years crosses at the same point, to rounding.
func TestACrossingKnowsNoUnitOfTime(t *testing.T) {
	for _, unit := range []float64{1e-9, 1e-6, 1e-3, 1, 1e3, 1e6, 1e9} {
		f := ExpPoly{P: [3]float64{20, -0.1 / unit}, B: [2]float64{6, -2}, L: [2]float64{1 / unit, 0.1 / unit}}
		at, ok := f.FirstReaching(21, false, 10*unit)
		require.True(t, ok)
		assert.InDelta(t, 21, f.At(at), 2e-14, "unit %g", unit)
		g := ExpPoly{P: [3]float64{0, 0.5 / unit, 0.25 / unit / unit}}
		at, ok = g.FirstReaching(2, true, 10*unit)
		require.True(t, ok)
		assert.InEpsilon(t, 2*unit, at, 1e-14, "t/2 + t²/4 is 2 at 2")
	}
}

func TestSumsAndShiftsWithASquare(t *testing.T) {
	f := ExpPoly{P: [3]float64{3, 0.5, -0.25}, B: [2]float64{2, -1}, L: [2]float64{0.2, 0.05}}
	value := func(t float64) float64 {
		return 3 + 0.5*t - 0.25*t*t + 2*math.Exp(-0.2*t) - math.Exp(-0.05*t)
	}
	twice := f.Plus(2, &f)
	for _, x := range []float64{0, 1, 4, 9} {
		assert.InDelta(t, value(x), f.At(x), 1e-12)
		assert.InDelta(t, value(x), f.With(x, f.DecayAt(x)), 1e-12)
		assert.InDelta(t, value(x+3), f.Later(3).At(x), 1e-12)
		assert.InDelta(t, 3*value(x), twice.At(x), 1e-12)
	}
}
