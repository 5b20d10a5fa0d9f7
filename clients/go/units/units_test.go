package units

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Source: NIST SP 811, appendix B.8, from memory: t/°C = (t/°F - 32)/1.8, and the litres of a US gallon.
func TestUnitsAsPeopleReadThem(t *testing.T) {
	for _, c := range []struct {
		name    string
		metric  float64
		us      float64
		written string
	}{
		{"degC", 25, 77, "°F"}, {"K", 1, 1.8, "°F"}, {"L/h", 3.785411784, 1, "gal/h"}, {"W", 300, 300, "W"},
		{"mg/L", 8, 8, "mg/L"}, {"1", 35, 35, ""},
	} {
		number, written := Of(c.name).For(true, c.metric)
		assert.InDelta(t, c.us, number, 1e-12, "%s: rounding of binary fractions", c.name)
		assert.Equal(t, c.written, written)
		assert.InDelta(t, c.metric, Of(c.name).FromUS(number), 1e-12, "%s: there and back", c.name)
	}
	number, written := Of("degC").For(false, 25.5)
	assert.InDelta(t, 25.5, number, 0, "a metric reader is shown the contract's number")
	assert.Equal(t, "°C", written)
	assert.Equal(t, "mg/L", Of("mg/L").Metric, "a unit that the table does not list")
}
