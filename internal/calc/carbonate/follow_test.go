package carbonate

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/reference"
)

// What follows a tank second by second tells what Solve tells, which is held to three other codes.
// Source: testdata/reference/carbonate_chemistry.csv for the waters.
func TestFollowedWaterIsTheSolvedOne(t *testing.T) {
	for _, r := range reference.Load(t, "carbonate_chemistry.csv") {
		in := rowInput(t, r)
		alkalinity, carbon := r.F(t, "ta_umol_per_kg"), r.F(t, "dic_umol_per_kg")
		in.AlkalinityKg, in.CarbonKg = &alkalinity, &carbon
		want, err := Solve(in)
		require.NoError(t, err)
		k, err := ConstantsAt(in.Salinity, in.Water)
		require.NoError(t, err)
		w := Water{Alkalinity: alkalinity * 1e-6, Carbon: carbon * 1e-6, Calcium: want.CalciumMolKg}
		for name, got := range map[string]Seen{"seen": k.See(w), "held": k.Held(w)} {
			assert.InDelta(t, want.PHTotal, got.PH, 1e-8, name)
			assert.InEpsilon(t, want.OmegaAragonite, got.Aragonite, 1e-6, name)
			assert.InEpsilon(t, want.CarbonDioxide*1e-6, got.Dioxide, 1e-6, name)
		}
		assert.InEpsilon(t, w.Carbon, k.CarbonAt(w.Alkalinity, want.PHTotal), 1e-7)
		held, err := k.CarbonWith(w.Alkalinity, want.CarbonDioxide*1e-6)
		require.NoError(t, err)
		assert.InEpsilon(t, w.Carbon, held, 1e-7)
	}
}

// No water has ten moles of alkalinity in a kilogram, nor as much acid; and none holds a tenth of a mole of carbon at
// one atmosphere: it keeps the carbon dioxide that is in balance with that gas alone, K0 and its fugacity.
func TestWaterBeyondAllWaters(t *testing.T) {
	k, err := ConstantsAt(35, 25)
	require.NoError(t, err)
	assert.InDelta(t, 13.5, k.See(Water{Alkalinity: 10}).PH, 0)
	assert.InDelta(t, 1.0, k.See(Water{Alkalinity: -10}).PH, 0)
	assert.InDelta(t, HighestPH, k.Held(Water{Alkalinity: 10}).PH, 0)
	assert.InDelta(t, LowestPH, k.Held(Water{Alkalinity: -10}).PH, 0)
	_, err = k.CarbonWith(-10, 1e-5)
	assert.Error(t, err)

	fizzy := Water{Alkalinity: 2300e-6, Carbon: 0.1, Calcium: 0.01}
	held := k.Held(fizzy)
	assert.InEpsilon(t, k.K0*k.FugacityShare, held.Dioxide, 1e-6)
	assert.InDelta(t, k.See(fizzy).PH+0.53, held.PH, 0.02, "a third of the gas is left: log10 of 0.1 over 0.0307")
}

// Hand: 0.0203 mol of calcium hydroxide in a litre at 25 °C are 40.6 meq and 813.6 mg of calcium; at 10 °C 1.76 g
// dissolve where 1.585 do at 25.
func TestContentOfLimeWater(t *testing.T) {
	meq, calcium := LimeContent(25, 1)
	assert.InDelta(t, 40.6, meq, 1e-9)
	assert.InDelta(t, 813.58, calcium, 0.01)
	meq, calcium = LimeContent(10, 0.5)
	assert.InDelta(t, 0.5*40.6*1.76/1.585, meq, 1e-3)
	assert.InDelta(t, 0.5*813.58*1.76/1.585, calcium, 0.02)
}

// Lime water by amounts: what a litre of tank holds in kilograms of its water, what comes in, over what there is then.
func TestLimeWaterByAmounts(t *testing.T) {
	in := topOff()
	in.Strength = 0.5
	r, err := LimeWater(in)
	require.NoError(t, err)
	assert.InDelta(t, 20.3, r.MeqPerL, 1e-9)
	kgPerL := func(psu float64) float64 {
		one, err := ToUnit(1, MeqPerLitre, quantity.PracticalSalinity(psu), 25)
		require.NoError(t, err)
		return one * 1e3
	}
	before, after := kgPerL(35), kgPerL(35/1.1)
	// A day's litre into a hundred, half of it by night, at constant salinity.
	assert.InDelta(t, r.Now.Alkalinity+0.01*0.5*20300/before, r.AfterNight.Alkalinity, 1e-6)
	assert.InDelta(t, r.Now.Carbon, r.AfterNight.Carbon, 1e-6)
	// All ten litres into the full tank.
	assert.InDelta(t, (r.Now.Alkalinity*before+0.1*20300)/1.1/after, r.AllAtOnce.Alkalinity, 1e-6)
	assert.InDelta(t, r.Now.Carbon*before/1.1/after, r.AllAtOnce.Carbon, 1e-6)
	assert.InDelta(t, (r.Now.CalciumMolKg*before+0.1*0.01015)/1.1/after, r.AllAtOnce.CalciumMolKg, 1e-9)

	sour, base := 6.0, 9.0
	in.Tank.PHTotal, in.Strength = &sour, 0.1
	r, err = LimeWater(in)
	require.NoError(t, err)
	assert.InDelta(t, 50, r.LargestHarmlessL, 0, "so much free carbon dioxide takes up half a tank of weak lime water")
	in.Tank.PHTotal = &base
	r, err = LimeWater(in)
	require.NoError(t, err)
	assert.Zero(t, r.LargestHarmlessL, "falls out already")
}

// The words for a saturation: below 1 aragonite dissolves, up to 5 it keeps, from 7 on it falls out.
func TestWordsOfSaturation(t *testing.T) {
	for _, c := range []struct {
		omega float64
		want  Saturation
	}{{0.99, Dissolving}, {1, Steady}, {5, Steady}, {5.01, NearTheLimit}, {7, NearTheLimit}, {7.01, FallingOut}} {
		assert.Equal(t, c.want, State{OmegaAragonite: c.omega}.Saturation(), "%g", c.omega)
	}
}

// Carbon is the sum of its three forms, and alkalinity that of its bases; free acid is a hundredth of a micromole at
// pH 8.
func TestSumsOfAWater(t *testing.T) {
	alkalinity, pH := 2300.0, 8.0
	s, err := Solve(Input{Salinity: 35, Water: 25, BoronShare: 1, AlkalinityKg: &alkalinity, PHTotal: &pH})
	require.NoError(t, err)
	assert.InDelta(t, s.Carbon, s.CarbonDioxide+s.Bicarbonate+s.Carbonate, 1e-9)
	assert.InDelta(t, s.Alkalinity, s.Bicarbonate+2*s.Carbonate+s.Borate+s.Hydroxide, 0.02)
}
