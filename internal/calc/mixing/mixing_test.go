package mixing

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/reference"
	"saltwright/internal/calc/seawater"
)

// Kester, D. R., Duedall, I. W., Connors, D. N. and Pytkowicz, R. M. 1967, Preparation of artificial seawater,
// Limnology and Oceanography 12, 176-179: salts for 1 kg of sea water of salinity 35 (from memory).
// Gravimetric salts in grams; the chlorides of magnesium, calcium and strontium in moles, here with their
// anhydrous molar masses (IUPAC, from memory).
func TestIdealSaltIsThePublishedRecipe(t *testing.T) {
	anhydrous := 23.926 + 4.008 + 0.677 + 0.196 + 0.098 + 0.026 + 0.003 + 0.05327*95.211 + 0.01033*110.984 +
		0.00009*158.53
	r, err := SaltMix(MixInput{VolumeL: 1000 / 1.0233430, Basis: Finished, Target: 35, Water: 25})
	require.NoError(t, err)
	perKg := 1000 * r.AnhydrousKg / r.FinishedKg
	// The recipe's digits give 0.01 g; bicarbonate and boric acid count otherwise in the reference composition.
	assert.InDelta(t, anhydrous, perKg, 0.02)
	assert.InDelta(t, 35.16504, perKg, 1e-5, "Millero 2008: reference salinity of S = 35, g/kg")
}

// The salinity_scales table: grams of salt in a litre at the listed temperature (TEOS-10 densities).
func TestSaltPerLitreAgreesWithTable(t *testing.T) {
	var worst reference.Worst
	for _, row := range reference.Load(t, "salinity_scales.csv") {
		s, at := row.F(t, "sp"), row.F(t, "t_degC")
		if s < 1 {
			continue
		}
		r, err := SaltMix(MixInput{
			VolumeL: 10, Basis: Finished, Target: quantity.PracticalSalinity(s), Water: quantity.Celsius(at),
		})
		require.NoError(t, err)
		// EOS-80 density for TEOS-10's
		worst.Relative(t, row.F(t, "salt_at_t_g_per_L"), r.SaltPerLitreG, 1e-5, row["sp"])
	}
	t.Logf("salt per litre: worst %.2g", worst.Difference)
}

func TestMixKeepsMassAndMeetsItsTarget(t *testing.T) {
	for _, in := range []MixInput{
		{VolumeL: 100, Basis: Finished, Target: 35, Water: 25},
		{VolumeL: 100, Basis: FreshWater, Target: 35, Water: 20},
		{VolumeL: 100, Basis: Finished, Target: 35, Start: 20, Water: 25, BoundPct: 12},
		{VolumeL: 60, Basis: FreshWater, Target: 36, Start: 1, Water: 15, Yield: &Yield{
			GramsPerLitre: 38.5, Salinity: 35,
		}},
	} {
		r, err := SaltMix(in)
		require.NoError(t, err)
		start, err := seawater.Density(in.Start, in.Water)
		require.NoError(t, err)
		waterKg := r.WaterL * start / 1000
		assert.InDelta(t, r.FinishedKg, waterKg+r.SaltKg, 1e-9, "mass")
		salt := waterKg*float64(in.Start)/35*0.03516504 + r.AnhydrousKg
		assert.InDelta(t, float64(in.Target)/35*0.03516504, salt/r.FinishedKg, 1e-12, "salt")
		if in.Basis == Finished {
			assert.InDelta(t, in.VolumeL, r.FinishedL, 1e-9)
		} else {
			assert.InDelta(t, in.VolumeL, r.WaterL, 1e-9)
		}
	}
}

func TestStatedYieldIsWhatIsWeighed(t *testing.T) {
	r, err := SaltMix(MixInput{
		VolumeL: 200, Basis: Finished, Target: 35, Water: 25, Yield: &Yield{GramsPerLitre: 39, Salinity: 35},
	})
	require.NoError(t, err)
	assert.InDelta(t, 200*0.039, r.SaltKg, 1e-9)
}

func TestMixRefusesTheImpossible(t *testing.T) {
	ok := MixInput{VolumeL: 100, Basis: Finished, Target: 35, Water: 25}
	for name, change := range map[string]func(*MixInput){
		"start above":   func(in *MixInput) { in.Start = 36 },
		"basis":         func(in *MixInput) { in.Basis = "half" },
		"yield too low": func(in *MixInput) { in.Yield = &Yield{GramsPerLitre: 20, Salinity: 35} },
	} {
		in := ok
		change(&in)
		_, err := SaltMix(in)
		var conflict *calc.ConflictError
		assert.ErrorAs(t, err, &conflict, name)
	}
	in := ok
	in.VolumeL = math.NaN()
	_, err := SaltMix(in)
	var out *calc.RangeError
	assert.ErrorAs(t, err, &out)
}

// The topoff_stuck_on table holds an independent integration (scipy solve_ivp) of water mixed with fresh:
// while the volume grows it is the way of adding, once it spills at constant volume it is continuous exchange.
// The table takes salinity as salt per volume, so its salinities are read as g/L here.
func TestDilutionAgreesWithTable(t *testing.T) {
	var growing, exchange reference.Worst
	rows := 0
	for _, row := range reference.Load(t, "topoff_stuck_on.csv") {
		v0, vMax, s0 := row.F(t, "volume_start_L"), row.F(t, "volume_overflow_L"), row.F(t, "salinity_start")
		n := row.F(t, "topoff_rate_L_per_h") - row.F(t, "evaporation_L_per_h")
		at, s := row.F(t, "t_query_h"), row.F(t, "salinity_at_query_integrated")
		fill := (vMax - v0) / n
		// From a salinity S whose litres hold s0 grams to one whose litres hold s grams.
		from, err := salinityOf(s0, 25)
		require.NoError(t, err)
		if at <= fill {
			to, err := salinityOf(s, 25)
			require.NoError(t, err)
			r, err := Adjust(adjust(v0, from, to, 0))
			require.NoError(t, err)
			growing.Relative(t, n*at, r.GrowingL, 2e-6, "case "+row["case"])
			rows++
			continue
		}
		full, err := salinityOf(s0*v0/vMax, 25)
		require.NoError(t, err)
		to, err := salinityOf(s, 25)
		require.NoError(t, err)
		r, err := Adjust(adjust(vMax, full, to, 0))
		require.NoError(t, err)
		exchange.Relative(t, n*(at-fill), r.ContinuousL, 2e-6, "case "+row["case"])
		rows++
	}
	require.Greater(t, rows, 30)
	t.Logf("added: worst %.2g, exchanged: worst %.2g", growing.Difference, exchange.Difference)
}

func adjust(volume, from, to, fresh float64) AdjustInput {
	return AdjustInput{
		VolumeL: volume, From: quantity.PracticalSalinity(from), To: quantity.PracticalSalinity(to),
		New:   quantity.PracticalSalinity(fresh),
		Water: 25, PacePSUPerDay: 50, DaysBetween: 1, LargestChangePct: 100,
	}
}

func TestStepsArriveAndKeepThePace(t *testing.T) {
	in := adjust(400, 39, 35, 0)
	in.PacePSUPerDay, in.LargestChangePct = SafePacePSUPerDay, 20
	r, err := Adjust(in)
	require.NoError(t, err)
	assert.InDelta(t, 35, r.Steps[len(r.Steps)-1].Salinity, 1e-9)
	assert.True(t, r.WithinPace)
	assert.LessOrEqual(t, -r.Steps[0].MovePSU, 1.0)
	assert.Len(t, r.Steps, 5, "four would begin with more than 1 a day")
	in.Changes = 4
	r, err = Adjust(in)
	require.NoError(t, err)
	assert.False(t, r.WithinPace)
	assert.InDelta(t, 35, r.Steps[3].Salinity, 1e-9)
	// Many small changes are continuous exchange.
	in.Changes = 200
	r, err = Adjust(in)
	require.NoError(t, err)
	assert.InEpsilon(t, r.ContinuousL, r.TotalL, 1e-3)
	assert.Less(t, r.TotalL, r.ContinuousL)
}

func TestRaisingByTopOffAddsTheMissingSalt(t *testing.T) {
	in := adjust(400, 32, 35, 35.5)
	in.EvaporatedLPerD = 6
	r, err := Adjust(in)
	require.NoError(t, err)
	g, err := seawater.GramsPerLitre(35.5, 25)
	require.NoError(t, err)
	assert.InDelta(t, r.SaltMovedKg*1000, r.TopOffD*6*g, 1e-9, "salt that came with the top-off")
	assert.Positive(t, r.SaltMovedKg)
}

func TestAdjustRefusesNewWaterShortOfTheTarget(t *testing.T) {
	for _, in := range []AdjustInput{
		adjust(400, 39, 35, 36), adjust(400, 32, 35, 35), adjust(400, 35, 35, 0), adjust(400, 32, 35, 0),
	} {
		_, err := Adjust(in)
		var conflict *calc.ConflictError
		assert.ErrorAs(t, err, &conflict)
	}
	in := adjust(400, 45, 1, 0)
	in.PacePSUPerDay = 0.1
	_, err := Adjust(in)
	var conflict *calc.ConflictError
	assert.ErrorAs(t, err, &conflict, "hundreds of changes")
}

func FuzzAdjust(f *testing.F) {
	f.Add(400.0, 39.0, 35.0, 0.0, 1.0, 30.0, 0)
	f.Add(400.0, 32.0, 35.0, 36.0, 1.0, 30.0, 7)
	f.Fuzz(func(t *testing.T, v, from, to, fresh, pace, largest float64, steps int) {
		in := adjust(v, from, to, fresh)
		in.PacePSUPerDay, in.LargestChangePct, in.Changes = pace, largest, steps
		r, err := Adjust(in)
		if err != nil {
			var out *calc.RangeError
			var conflict *calc.ConflictError
			if !errors.As(err, &out) && !errors.As(err, &conflict) && !errors.Is(err, calc.ErrNoSolution) {
				t.Fatalf("%v", err)
			}
			return
		}
		for _, x := range []float64{r.TotalL, r.ContinuousL, r.ContinuousD, r.GrowingL, r.FastestPSUD, r.SaltMovedKg} {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Fatalf("%+v gives %+v", in, r)
			}
		}
	})
}
