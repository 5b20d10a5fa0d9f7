package numeric

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestRoundedDropsWhatRoundingLeaves(t *testing.T) {
	for _, x := range []float64{1, -1, 35.99999999999999, 36.00000000000001, 1e-300, 1e300, 0.1 + 0.2,
		-29.999999999999996} {
		assert.InEpsilon(t, x, Rounded(x), 1.2e-10)
		assert.Equal(t, Rounded(x), Rounded(x*(1+1e-15)), "%g", x)
		assert.Equal(t, -Rounded(x), Rounded(-x))
		assert.Equal(t, Rounded(x), Rounded(Rounded(x)))
	}
	assert.Equal(t, 36.0, Rounded(35.99999999999999))
	assert.NotEqual(t, Rounded(36), Rounded(36+1e-8), "a difference of its own stays")
	assert.Zero(t, Rounded(0))
	assert.True(t, math.IsInf(Rounded(math.Inf(1)), 1))
	assert.True(t, math.IsNaN(Rounded(math.NaN())))
	assert.Equal(t, 2.0, Rounded(math.Nextafter(2, 1)), "over a power of two")
}
