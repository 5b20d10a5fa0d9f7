package carbonate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
)

// Hand: 420 mg/L over 40.078 g/mol and 1023.34 kg/m³ (the published check value of the density at 35 and 25 °C) are
// 0.010241 mol/kg. Water vapour over the sea is 0.981 of 3.169 kPa there, 3.07 % of an atmosphere: 400 µatm in wet air
// are 412.7 ppm of dry air (vapour pressure of pure water from handbooks, from memory).
func TestCalciumAndAir(t *testing.T) {
	mol, err := CalciumMolKg(420, 35, 25)
	require.NoError(t, err)
	assert.InDelta(t, 0.0102407, mol, 2e-7)
	back, err := CalciumMgL(mol, 35, 25)
	require.NoError(t, err)
	assert.InDelta(t, 420, back, 1e-9)
	ppm, err := AirPPM(400, 35, 25)
	require.NoError(t, err)
	assert.InDelta(t, 412.7, ppm, 0.2)
	_, err = CalciumMolKg(420, -1, 25)
	assert.Error(t, err)
	_, err = AirPPM(400, -1, 25)
	assert.Error(t, err)
}

// Hand, by the formulas that ConstantsAt names: at 35 and 25 °C the activity is 1.2948 - 0.60703 + 0.02564 = 0.7134,
// and fluoride, 6.83e-5 over 2.26e-3 mol/kg, adds 0.0302 of the hydrogen ions. So the scale of the buffers lies
// -log10(1.0302 · 0.7134) = 0.134 above the total one; sulfate, 0.0282 over 10^-1, puts the free one 0.11 above it.
func TestScalesOfPH(t *testing.T) {
	k, err := ConstantsAt(35, 25)
	require.NoError(t, err)
	assert.InDelta(t, 0.7134, k.NBSActivity, 1e-4)
	assert.InDelta(t, 1.0302, k.SeawaterOverTotal, 2e-4)
	for scale, above := range map[Scale]float64{Total: 0, Free: math.Log10(1 + 0.0282/0.1), NBS: 0.1338} {
		got, err := k.OnScale(8, scale)
		require.NoError(t, err)
		assert.InDelta(t, 8+above, got, 2e-3, scale)
		back, err := k.OnTotal(got, scale)
		require.NoError(t, err)
		assert.InDelta(t, 8, back, 1e-12, scale)
	}
	var conflict *calc.ConflictError
	_, err = k.OnScale(8, "paper")
	assert.ErrorAs(t, err, &conflict)
}

// 20000 µmol/kg are 57.4 German degrees.
func TestMostAlkalinity(t *testing.T) {
	_, err := FromUnit(57, DKH, 35, 25)
	require.NoError(t, err)
	var out *calc.RangeError
	_, err = FromUnit(58, DKH, 35, 25)
	assert.ErrorAs(t, err, &out)
}

// A pair that no water has is refused by its names.
func TestTheRefusedPairIsNamed(t *testing.T) {
	alkalinity, pH := 20000.0, 4.5
	_, err := Solve(Input{Salinity: 35, Water: 25, BoronShare: 1, AlkalinityKg: &alkalinity, PHTotal: &pH})
	var conflict *calc.ConflictError
	require.ErrorAs(t, err, &conflict)
	assert.Equal(t, []string{"alkalinity", "ph"}, conflict.Params)
}
