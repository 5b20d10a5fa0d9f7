package quantity

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Source: NIST SP 811 appendix B.8 and the definitions it rests on, from memory.
func TestExactFactors(t *testing.T) {
	const rounding = 1e-12
	assert.InDelta(t, 25, float64(CelsiusFromFahrenheit(77)), rounding)
	assert.InDelta(t, -40, float64(CelsiusFromFahrenheit(-40)), rounding, "where the scales meet")
	assert.InDelta(t, 298.15, Celsius(25).Kelvin(), rounding)
	assert.InDelta(t, 231*0.0254*0.0254*0.0254*1000, LitresPerUSGallon, 1e-9, "231 cubic inches")
	assert.InDelta(t, 15.0036, Celsius(15).IPTS68(), rounding)
}
