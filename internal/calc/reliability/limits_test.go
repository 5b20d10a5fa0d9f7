package reliability

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
)

func TestTopEventOnItsLimits(t *testing.T) {
	top, err := TopEvent([][]int{{0}, {1}}, []float64{0, 0}, 2)
	require.NoError(t, err, "a set may never happen")
	assert.Equal(t, Top{FussellVesely: []float64{0, 0}}, top)
	var conflict *calc.ConflictError
	for _, part := range []int{-1, 2} {
		_, err = TopEvent([][]int{{part}}, []float64{1}, 2)
		assert.ErrorAs(t, err, &conflict, "part %d of two", part)
	}
	_, err = TopEvent([][]int{{0}}, []float64{-1e-9}, 1)
	assert.ErrorAs(t, err, &conflict)
}
