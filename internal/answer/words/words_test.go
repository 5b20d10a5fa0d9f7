package words

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestTextsInBothUnits(t *testing.T) {
	assert.Equal(t, "25.5 °C", Text(25.5, "degC", Metric))
	assert.Equal(t, "77.9 °F", Text(25.5, "degC", US))
	assert.Equal(t, "2 °F", Text(1.11111111, "K", US), "a difference has no 32 in it")
	assert.Equal(t, "0.00123 L", Text(0.001234, "L", Metric))
	assert.Equal(t, "12345 W", Text(12345.4, "W", Metric))
	assert.Equal(t, "0", Text(0, "1", Metric))
}
