package numeric

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
)

// first crossing by brute force: a fine scan, then bisection. Independent of the derivative chain.
func scan(f ExpPoly, level float64, rising bool, h float64, steps int) (float64, bool) {
	hit := func(t float64) bool {
		if rising {
			return f.At(t) >= level
		}
		return f.At(t) <= level
	}
	if hit(0) {
		return 0, true
	}
	prev := 0.0
	for i := 1; i <= steps; i++ {
		t := h * float64(i) / float64(steps)
		if hit(t) {
			lo, hi := prev, t
			for range 80 {
				mid := (lo + hi) / 2
				if hit(mid) {
					hi = mid
				} else {
					lo = mid
				}
			}
			return hi, true
		}
		prev = t
	}
	return 0, false
}

func TestFirstReachingAgreesWithAFineScan(t *testing.T) {
	r := rand.New(rand.NewPCG(20, 1)) // fixed seed
	const h = 100.0
	found := 0
	for range 3000 {
		f := ExpPoly{
			P: [3]float64{r.NormFloat64(), r.NormFloat64() * 0.05, r.NormFloat64() * 0.0005},
			B: [2]float64{r.NormFloat64() * 3, r.NormFloat64() * 3},
			L: [2]float64{0.01 + r.Float64(), 0.01 + 0.1*r.Float64()},
		}
		level, rising := r.NormFloat64(), r.IntN(2) == 0
		want, wantOK := scan(f, level, rising, h, 20000)
		got, ok := f.FirstReaching(level, rising, h)
		if ok != wantOK {
			// The scan can miss a touch that is narrower than its step; the answer must then really touch.
			require.True(
				t, ok, "a crossing the scan sees at %g was missed: %+v level %g rising %v", want, f, level, rising,
			)
			assert.InDelta(t, level, f.At(got), 1e-9)
			continue
		}
		if ok {
			found++
			// scan bisects to 1e-9 s; slope may be flat
			assert.InDelta(t, want, got, 1e-6, "%+v level %g rising %v", f, level, rising)
		}
	}
	assert.Greater(t, found, 1000)
}

func TestFirstReachingHandCases(t *testing.T) {
	// Cooling from 26 to 20 with a time constant of 1000 s: 25 is reached at 1000·ln(6/5).
	f := ExpPoly{P: [3]float64{20}, B: [2]float64{6, 0}, L: [2]float64{0.001, 0}}
	got, ok := f.FirstReaching(25, false, 1e6)
	require.True(t, ok)
	assert.InEpsilon(t, 1000*math.Log(6.0/5), got, 1e-12)

	_, ok = f.FirstReaching(19.9, false, 1e6)
	assert.False(t, ok, "never falls below its equilibrium")
	_, ok = f.FirstReaching(25, false, 100)
	assert.False(t, ok, "not before the end of the interval")
	got, ok = f.FirstReaching(26, false, 10)
	assert.True(t, ok)
	assert.Zero(t, got, "already there")

	// A rise that turns round: 10·(exp(-0.1 t) - exp(-t)) has its peak at ln(10)/0.9.
	g := ExpPoly{B: [2]float64{10, -10}, L: [2]float64{0.1, 1}}
	peak := math.Log(10) / 0.9
	_, most := g.Extremes(50)
	assert.InEpsilon(t, g.At(peak), most, 1e-12)
	_, ok = g.FirstReaching(most*(1+1e-9), true, 50)
	assert.False(t, ok)
	got, ok = g.FirstReaching(most*(1-1e-9), true, 50)
	require.True(t, ok)
	assert.Less(t, got, peak)
}

func TestIntegralAndDerivativeUndoEachOther(t *testing.T) {
	f := ExpPoly{P: [3]float64{1, 0.3}, B: [2]float64{2, -0.7}, L: [2]float64{0.2, 0.05}}
	F := f.IntegralFrom(4)
	assert.InDelta(t, 4, F.At(0), 1e-12) // rounding of B/L
	for _, x := range []float64{0, 1, 10, 40} {
		assert.InEpsilon(t, f.At(x), F.Derivative().At(x), 1e-12)
	}
	// Simpson's rule on a fine grid as the second method.
	const n, h = 2000, 40.0
	sum := 0.0
	for i := range n {
		a, b := h*float64(i)/n, h*float64(i+1)/n
		sum += (b - a) / 6 * (f.At(a) + 4*f.At((a+b)/2) + f.At(b))
	}
	assert.InEpsilon(t, sum, F.At(h)-4, 1e-10)
	assert.Panics(t, func() { ExpPoly{P: [3]float64{0, 0, 1}}.IntegralFrom(0) })
	assert.Panics(t, func() { ExpPoly{B: [2]float64{1}}.IntegralFrom(0) })
}

func TestPlus(t *testing.T) {
	f := Linear(1, 2)
	g := ExpPoly{P: [3]float64{1}, B: [2]float64{3}, L: [2]float64{0.5}}
	sum := f.Plus(2, &g)
	for _, x := range []float64{0, 1, 7} {
		assert.InEpsilon(t, f.At(x)+2*g.At(x), sum.At(x), 1e-12)
	}
	assert.Panics(t, func() { g.Plus(1, &ExpPoly{B: [2]float64{1}, L: [2]float64{0.6}}) })
	assert.Equal(t, 5.0, Constant(5).At(1e9))
}

func TestRoot(t *testing.T) {
	x, err := Root(func(x float64) float64 { return x*x - 2 }, 0, 2, 1e-12)
	require.NoError(t, err)
	assert.InDelta(t, math.Sqrt2, x, 2e-12)
	// steep on one side: a plain secant would crawl
	x, err = Root(func(x float64) float64 { return math.Expm1(50 * (x - 0.9)) }, 0, 1, 1e-12)
	require.NoError(t, err)
	assert.InDelta(t, 0.9, x, 2e-12)
	x, err = Root(func(x float64) float64 { return x }, 0, 1, 1e-9)
	require.NoError(t, err)
	assert.Zero(t, x)
	x, err = Root(func(x float64) float64 { return x - 1 }, 0, 1, 1e-9)
	require.NoError(t, err)
	assert.Equal(t, 1.0, x)
	_, err = Root(func(x float64) float64 { return 1 + x }, 0, 1, 1e-9)
	assert.ErrorIs(t, err, calc.ErrNoSolution)
	_, err = Root(func(x float64) float64 { return math.NaN() }, 0, 1, 1e-9)
	assert.ErrorIs(t, err, calc.ErrNoConvergence)
	_, err = Root(func(x float64) float64 {
		if x > 0 && x < 1 {
			return math.NaN()
		}
		return x - 0.5
	}, 0, 1, 1e-9)
	assert.ErrorIs(t, err, calc.ErrNoConvergence)
}

// Against plain bisection, on monotonic functions of many shapes, steep, flat and with a kink.
func TestRootAgreesWithBisectionInFewerSteps(t *testing.T) {
	draw := rand.New(rand.NewPCG(3, 4))
	most, all, runs := 0, 0, 2000
	for range runs {
		zero, k, bend := draw.Float64()*2-1, math.Exp(draw.Float64()*8-4), draw.Float64()*3
		f := func(x float64) float64 {
			y := math.Expm1(k*(x-zero)) + bend*math.Pow(x-zero, 3)
			if x > zero+0.3 {
				y += 5 * (x - zero - 0.3)
			}
			return y
		}
		steps := 0
		got, err := Root(func(x float64) float64 { steps++; return f(x) }, -2, 3, 1e-11)
		require.NoError(t, err)
		lo, hi := -2.0, 3.0
		for hi-lo > 1e-13 {
			if mid := (lo + hi) / 2; f(mid) < 0 {
				lo = mid
			} else {
				hi = mid
			}
		}
		require.InDelta(t, lo, got, 2e-11, "the tolerance, twice") // Root's own bound
		most, all = max(most, steps), all+steps
	}
	t.Logf("%.1f evaluations on average, %d at most; bisection takes 38", float64(all)/float64(runs), most)
	assert.Less(t, float64(all)/float64(runs), 13.1)
}

// Far out a decaying quantity is flat, and a method that follows its slope creeps: exp(-t) = 0.5 at ln 2, sought up to
// ten thousand time constants.
func TestACrossingIsFoundFromFarOut(t *testing.T) {
	f := ExpPoly{B: [2]float64{1}, L: [2]float64{1}}
	got, found := f.FirstReaching(0.5, false, 1e4)
	require.True(t, found)
	assert.InDelta(t, math.Ln2, got, 1e-15)
}

func TestLaterAndIntegralAgreeWithTheFunction(t *testing.T) {
	f := ExpPoly{P: [3]float64{25, -1e-4}, B: [2]float64{2, -0.3}, L: [2]float64{1e-5, 3e-3}}
	for _, at := range []float64{0, 10, 5000} {
		assert.InDelta(t, f.At(at+700), f.Later(at).At(700), 1e-12)
		assert.InEpsilon(t, f.IntegralFrom(3).At(at+1)-3, f.Integral(at+1, f.DecayAt(at+1)), 1e-11)
	}
}
