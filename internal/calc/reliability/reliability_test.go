package reliability

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// NUREG-0492, Fault Tree Handbook (1981), chapter VIII, the pressure tank (from memory): minimal cut sets {T}, {K2},
// {S, K1}, {S, R}, {S, S1} with T 5e-6, K2 3e-5, K1 3e-5, R 1e-4, S1 3e-5, S 1e-4. The handbook finds 3.4e-5 for the
// top event, of which the tank itself has 15 %, K2 86 to 88 % and the pairs with S less than 0.1 %.
func TestPressureTankOfTheFaultTreeHandbook(t *testing.T) {
	const tank, k2, s, k1, r, s1 = 0, 1, 2, 3, 4, 5
	q := []float64{5e-6, 3e-5, 1e-4, 3e-5, 1e-4, 3e-5}
	sets := [][]int{{tank}, {k2}, {s, k1}, {s, r}, {s, s1}}
	top, err := TopEvent(sets, products(sets, q), len(q))
	require.NoError(t, err)
	assert.InEpsilon(t, 3.4e-5, top.Total, 0.05)
	assert.InDelta(t, 5e-6+3e-5+1e-4*1.6e-4, top.Total, 1e-15)
	assert.InDelta(t, 0.15, top.FussellVesely[tank], 0.01)
	assert.InDelta(t, 0.87, top.FussellVesely[k2], 0.02)
	assert.Less(t, top.FussellVesely[s], 1e-3)
	t.Logf("top %.4g, tank %.1f %%, K2 %.1f %%", top.Total, 100*top.FussellVesely[tank], 100*top.FussellVesely[k2])
}

// products returns the probability of each set of independent parts.
func products(sets [][]int, probability []float64) []float64 {
	each := make([]float64, len(sets))
	for k, set := range sets {
		each[k] = 1
		for _, i := range set {
			each[k] *= probability[i]
		}
	}
	return each
}

// NUREG-0492, chapter VII (from memory): of T = (A+B)(A+C) absorption leaves {A} and {B, C}.
func TestAbsorption(t *testing.T) {
	assert.Equal(t, [][]int{{0}, {1, 2}}, Minimal([][]int{{0, 0}, {0, 2}, {1, 0}, {2, 1}}))
	assert.Empty(t, Minimal(nil))
}

// Of random sets, in any order, exactly those are kept that hold no other, whichever pair is looked at first.
func TestAbsorptionOfRandomSets(t *testing.T) {
	random := rand.New(rand.NewPCG(61, 25))
	absorbed := 0
	for range 500 {
		var all [][]int
		for range 1 + random.IntN(25) {
			set := []int{random.IntN(9), random.IntN(9), random.IntN(9)}[:1+random.IntN(3)]
			slices.Sort(set)
			all = append(all, slices.Compact(set))
		}
		var want [][]int
		for i, set := range all {
			holdsAnother := slices.ContainsFunc(all, func(other []int) bool {
				within := !slices.ContainsFunc(other, func(part int) bool { return !slices.Contains(set, part) })
				return within && len(other) < len(set)
			})
			again := slices.ContainsFunc(all[:i], func(other []int) bool { return slices.Equal(other, set) })
			if !holdsAnother && !again {
				want = append(want, set)
			}
		}
		absorbed += len(all) - len(want)
		require.ElementsMatch(t, want, Minimal(all), "%v", all)
	}
	assert.Greater(t, absorbed, 500, "sets absorbed")
}

// IEC 61508-6, annex B (from memory): for one channel PFD is λT/2, and two channels tested together have the mean of
// the product, (λT)²/3, not the product of the means, (λT)²/4.
func TestMeanUnavailabilityIsTheIntegral(t *testing.T) {
	for _, x := range []float64{1e-6, 1e-3, 0.1, 1, 5} {
		got, err := Tested(x, 1, 0)
		require.NoError(t, err)
		const n = 200000 // the mean of 1 - exp(-λt) over the interval, by midpoints
		sum := 0.0
		for i := range n {
			sum += -math.Expm1(-x * (float64(i) + 0.5) / n)
		}
		assert.InEpsilon(t, sum/n, got, 1e-8, "λT = %g", x)
		if x < 0.01 {
			assert.InEpsilon(t, x/2, got, 0.01)
		}
	}
	// With a loss that reveals it: the differential equation, by steps.
	got, err := Tested(0.3, 2, 1.5)
	require.NoError(t, err)
	q, mean := 0.0, 0.0
	const n, step = 400000, 2.0 / 400000
	for range n {
		mean += q / n
		q += step * (0.3*(1-q) - 1.5*q)
	}
	assert.InEpsilon(t, mean, got, 1e-5)
	_, err = Tested(-1, 1, 0)
	assert.Error(t, err)
	_, err = Tested(1, 1, -1)
	assert.Error(t, err)
	_, err = TopEvent([][]int{{3}}, []float64{0.1}, 1)
	assert.Error(t, err)
	_, err = TopEvent([][]int{{0}}, []float64{-0.1}, 1)
	assert.Error(t, err)
	_, err = TopEvent(nil, []float64{0.5}, 1)
	assert.Error(t, err)
}

// The exact probability by enumeration of all states lies below the sum of the sets, on random small trees.
func TestTheSumBoundsRandomTrees(t *testing.T) {
	source := rand.New(rand.NewPCG(5, 6)) // fixed seed
	for range 200 {
		n := 3 + source.IntN(5)
		q := make([]float64, n)
		for i := range q {
			q[i] = 0.3 * source.Float64()
		}
		var sets [][]int
		for range 1 + source.IntN(6) {
			var s []int
			for range 1 + source.IntN(3) {
				s = append(s, source.IntN(n))
			}
			sets = append(sets, s)
		}
		minimal := Minimal(sets)
		exact := 0.0
		for state := range 1 << n {
			p, failed := 1.0, false
			for i := range n {
				if state>>i&1 == 1 {
					p *= q[i]
				} else {
					p *= 1 - q[i]
				}
			}
			for _, s := range sets {
				all := true
				for _, i := range s {
					all = all && state>>i&1 == 1
				}
				failed = failed || all
			}
			if failed {
				exact += p
			}
		}
		top, err := TopEvent(minimal, products(minimal, q), n)
		require.NoError(t, err)
		assert.GreaterOrEqual(t, top.Total+1e-12, exact)
	}
}
