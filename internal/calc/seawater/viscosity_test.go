package seawater

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/quantity"
)

// Pure water: IAPWS R12-08, dynamic viscosity at 298.15 K and 998 kg/m3 889.735100 µPa s (its table 4); CRC Handbook:
// 1.0016 mPa s at 20 °C, 1.7916 at 0 °C. Sea water of 35 g/kg: ITTC 7.5-02-01-03 (2011): 1.0765e-3 Pa s at 20 °C,
// 0.9588e-3 at 25 °C. All from memory.
func TestViscosityMeetsTables(t *testing.T) {
	for _, c := range []struct{ s, t, want, tolerance float64 }{
		{0, 25, 0.889735e-3, 1e-3}, {0, 20, 1.0016e-3, 1e-3}, {0, 0, 1.7916e-3, 2e-3},
		{35 * 35 / 35.16504, 20, 1.0765e-3, 3e-3}, {35 * 35 / 35.16504, 25, 0.9588e-3, 3e-3},
	} {
		got, err := Viscosity(quantity.PracticalSalinity(c.s), quantity.Celsius(c.t))
		require.NoError(t, err)
		assert.InEpsilon(t, c.want, got, c.tolerance, "S %v at %v °C", c.s, c.t)
	}
	_, err := Viscosity(50, 20)
	assert.Error(t, err)
}
