package uncertainty

import (
	"context"
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
)

func weighted(_ context.Context, v []float64) ([]float64, error) {
	return []float64{2*v[0] + v[1], v[0] * v[1]}, nil
}

var two = []Factor{{"a", -1, 0, 1}, {"b", -1, 0, 1}}

// JCGM 101:2008 (GUM, supplement 1), section 6.4.5 (from memory): a triangular quantity over c - w … c + w has
// the standard uncertainty w/sqrt(6); a linear model's uncertainties add as squares (JCGM 100).
func TestLinearModelHasTheVarianceOfTheGuide(t *testing.T) {
	r, err := Study(context.Background(), Input{Factors: two, Results: 2, Samples: 5000, Seed: 1}, weighted)
	require.NoError(t, err)
	s := r.Outputs[0].Spread
	want := math.Sqrt(5.0 / 6)
	assert.InEpsilon(t, want, s.StandardDev, 4/math.Sqrt(2*5000.0), "four standard errors of a standard deviation")
	assert.InDelta(t, 0, s.Mean, 4*want/math.Sqrt(5000))
	// The sum of a triangle and one twice as wide is symmetric: percentiles mirror.
	assert.InDelta(t, -s.P5, s.P95, 0.1)
	assert.Equal(t, 5000, r.Drawn)
}

func TestOneAtATime(t *testing.T) {
	r, err := Study(context.Background(), Input{Factors: two, Results: 2}, weighted)
	require.NoError(t, err)
	e := r.Outputs[0].Effects
	assert.Equal(t, 0, e[0].Factor)
	assert.InDelta(t, 4, e[0].Swing, 1e-12)
	assert.InDelta(t, 2, e[1].Swing, 1e-12)
	assert.InDelta(t, 0.8, e[0].Share, 1e-12)
	assert.InDelta(t, -2, e[0].AtLow, 1e-12)
	assert.Nil(t, r.Outputs[0].Spread)
	// A product at zero hides both factors one at a time; the samples show them.
	assert.Zero(t, r.Outputs[1].Effects[0].Swing)
	r, err = Study(context.Background(), Input{Factors: two, Results: 2, Samples: 2000, Seed: 1}, weighted)
	require.NoError(t, err)
	assert.InEpsilon(t, 1.0/6, r.Outputs[1].Spread.StandardDev, 0.1)
}

func TestSameSeedSameAnswer(t *testing.T) {
	run := func(seed uint64) Result {
		r, err := Study(context.Background(), Input{Factors: two, Results: 2, Samples: 300, Seed: seed}, weighted)
		require.NoError(t, err)
		return r
	}
	assert.Equal(t, run(7), run(7))
	assert.NotEqual(t, run(7).Outputs[0].Spread.P50, run(8).Outputs[0].Spread.P50)
}

func TestImpossibleSamplesAreCounted(t *testing.T) {
	half := func(_ context.Context, v []float64) ([]float64, error) {
		if v[0] > 0 {
			return nil, errors.New("impossible")
		}
		return []float64{v[0]}, nil
	}
	r, err := Study(context.Background(), Input{Factors: two[:1], Results: 1, Samples: 1000, Seed: 3}, half)
	require.NoError(t, err)
	assert.InDelta(t, 500, r.Refused, 80)
	assert.Equal(t, 1000, r.Drawn+r.Refused)
	assert.True(t, r.Outputs[0].Effects[0].Refused)
	assert.InDelta(t, 1, r.Outputs[0].Effects[0].Swing, 1e-12)
}

func TestStudyRefusesAndStops(t *testing.T) {
	var conflict *calc.ConflictError
	_, err := Study(context.Background(), Input{Factors: []Factor{{"a", 1, 0, 2}}, Results: 1}, weighted)
	assert.ErrorAs(t, err, &conflict)
	var out *calc.RangeError
	_, err = Study(context.Background(), Input{Factors: two, Results: 2, Samples: 6000}, weighted)
	assert.ErrorAs(t, err, &out)
	ctx, cancel := context.WithCancel(context.Background())
	n := 0
	_, err = Study(ctx, Input{
		Factors: two, Results: 2, Samples: 5000,
	}, func(c context.Context, v []float64) ([]float64, error) {
		if n++; n == 20 {
			cancel()
		}
		return weighted(c, v)
	})
	assert.ErrorIs(t, err, context.Canceled)
	assert.Less(t, n, 30)
	_, err = Study(context.Background(), Input{Factors: two, Results: 3}, weighted)
	assert.Error(t, err)
}
