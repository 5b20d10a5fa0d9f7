package uncertainty

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
)

func TestFactorsOnTheirLimits(t *testing.T) {
	half := math.MaxFloat64 * 0.75
	for _, c := range []struct {
		name                string
		low, expected, high float64
		refused             bool
	}{
		{"at its low end", 1, 1, 2, false}, {"at its high end", 1, 2, 2, false}, {"no width", 1, 1, 1, true},
		{"below", 1, 0.9, 2, true}, {"above", 1, 2.1, 2, true}, {"wider than numbers reach", -half, 0, half, true},
	} {
		_, err := Study(context.Background(), Input{
			Factors: []Factor{{Name: "a", Low: c.low, Expected: c.expected, High: c.high}}, Results: 1,
		}, func(_ context.Context, v []float64) ([]float64, error) { return []float64{v[0]}, nil })
		var conflict *calc.ConflictError
		if c.refused {
			require.ErrorAs(t, err, &conflict, c.name)
			assert.Equal(t, []string{"a"}, conflict.Params)
		} else {
			assert.NoError(t, err, c.name)
		}
	}
}

// Factors of one weight keep their order; two samples are the fewest with a spread.
func TestEqualFactorsKeepTheirOrder(t *testing.T) {
	in := Input{Results: 1, Samples: 2, Factors: []Factor{
		{Name: "a", Low: 0, Expected: 1, High: 2}, {Name: "b", Low: 0, Expected: 1, High: 2},
	}}
	sum := func(_ context.Context, v []float64) ([]float64, error) { return []float64{v[0] + v[1]}, nil }
	r, err := Study(context.Background(), in, sum)
	require.NoError(t, err)
	assert.Equal(t, []int{0, 1}, []int{r.Outputs[0].Effects[0].Factor, r.Outputs[0].Effects[1].Factor})
	assert.NotNil(t, r.Outputs[0].Spread)
	in.Samples = 1
	r, err = Study(context.Background(), in, sum)
	require.NoError(t, err)
	assert.Nil(t, r.Outputs[0].Spread)
}
