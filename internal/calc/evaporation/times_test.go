package evaporation

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
)

// Worked by hand: 2 kg/h measured to be 1.5 times that, to 20 %, are 3 between 2.4 and 3.6.
func TestTimesByHand(t *testing.T) {
	r, err := Range{Low: 1, Expected: 2, High: 4}.Times(1.5, 20)
	require.NoError(t, err)
	assert.InDelta(t, 2.4, r.Low, 1e-12)
	assert.InDelta(t, 3, r.Expected, 1e-12)
	assert.InDelta(t, 3.6, r.High, 1e-12)
	for param, x := range map[string][2]float64{
		"evaporation_factor": {0.049, 20}, "evaporation_uncertainty_percent": {1, 90.1},
	} {
		_, err := Range{Expected: 2}.Times(x[0], x[1])
		var out *calc.RangeError
		if assert.ErrorAs(t, err, &out, param) {
			assert.Equal(t, param, out.Param)
		}
	}
}

// A lid that lets half through halves it.
func TestShahBehindALid(t *testing.T) {
	open, err := Shah(pool())
	require.NoError(t, err)
	half := pool()
	half.LidFactor = 0.5
	got, err := Shah(half)
	require.NoError(t, err)
	assert.InEpsilon(t, open/2, got, 1e-12)
}
