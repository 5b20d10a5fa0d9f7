package mixing

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/seawater"
)

// shareLeft returns the salinity of 45 thinned until a share of its salt is left, at 25 °C.
func shareLeft(t *testing.T, share float64) float64 {
	t.Helper()
	full, err := seawater.GramsPerLitre(45, 25)
	require.NoError(t, err)
	s, err := salinityOf(share*full, 25)
	require.NoError(t, err)
	return s
}

// Worked by hand: after n changes of a fifth 0.8^n of the salt is left, after n of a hundredth 0.99^n; 0.99^200 is
// 0.1340.
func TestFewestChanges(t *testing.T) {
	for _, c := range []struct {
		left, largest float64
		want          int
	}{{0.81, 20, 1}, {0.79, 20, 2}, {0.65, 20, 2}, {0.63, 20, 3}, {0.63, 40, 1}, {0.1341, 1, 200}} {
		in := adjust(400, 45, shareLeft(t, c.left), 0)
		in.LargestChangePct = c.largest
		r, err := Adjust(in)
		require.NoError(t, err)
		assert.Len(t, r.Steps, c.want, "%v left by changes of %v %%", c.left, c.largest)
	}
	in := adjust(400, 45, shareLeft(t, 0.1339), 0)
	in.LargestChangePct = 1
	_, err := Adjust(in)
	var conflict *calc.ConflictError
	require.ErrorAs(t, err, &conflict)
	assert.Equal(t, []string{"pace_psu_d", "largest_change_percent"}, conflict.Params)
}

// Half a unit a day with two days between allows moves of one unit.
func TestStepsAreSpacedAndAddUp(t *testing.T) {
	in := adjust(400, 39, 35, 0)
	in.PacePSUPerDay, in.DaysBetween = 0.5, 2
	r, err := Adjust(in)
	require.NoError(t, err)
	require.Len(t, r.Steps, 5, "four would begin with more than 1")
	moved := 0.0
	for i, s := range r.Steps {
		assert.InDelta(t, 2*float64(i), s.Day, 1e-12)
		assert.InDelta(t, r.TotalL/5, s.ChangeL, 1e-9)
		moved += s.MovePSU
	}
	assert.InDelta(t, -4, moved, 1e-9)
	assert.InDelta(t, 8, r.Days, 1e-12)
	assert.InDelta(t, -r.Steps[0].MovePSU/2, r.FastestPSUD, 1e-12, "the first moves most")
	assert.True(t, r.WithinPace)
}

// Worked by hand: with salt proportional to salinity, 400 L move by 2 a day when 400·2/(39 - 10) = 27.6 L of water
// of 10 are exchanged, and by 6·35.5/400 = 0.53 a day when water of 35.5 replaces 6 L of evaporation. A litre of
// saltier water is heavier too: 0.75 kg/m3 for each unit (UNESCO 44), 3 % at 35 to 39.
func TestContinuousWaysByHand(t *testing.T) {
	in := adjust(400, 39, 35, 10)
	in.PacePSUPerDay, in.EvaporatedLPerD = 2, 6
	r, err := Adjust(in)
	require.NoError(t, err)
	assert.InEpsilon(t, 27.6*1.03, r.ContinuousLD, 0.01)
	assert.InEpsilon(t, r.ContinuousL/r.ContinuousLD, r.ContinuousD, 1e-12)
	assert.Zero(t, r.TopOffD, "topping off never lowers the salinity")

	up := adjust(400, 32, 35, 35.5)
	r, err = Adjust(up)
	require.NoError(t, err)
	assert.Zero(t, r.TopOffD, "nothing evaporates")
	up.EvaporatedLPerD = 6
	r, err = Adjust(up)
	require.NoError(t, err)
	assert.InEpsilon(t, 0.5325/1.025, r.TopOffPace, 0.01)
	assert.InEpsilon(t, 3/r.TopOffPace, r.TopOffD, 0.01, "three units at nearly that pace")
}

func TestUsualNewWater(t *testing.T) {
	for _, c := range []struct{ from, to, want quantity.PracticalSalinity }{
		{39, 35, 0}, {35, 35, 0}, {32, 35, 39}, {35, 43, 45},
	} {
		assert.Equal(t, c.want, UsualNewWater(c.from, c.to), "%v to %v", c.from, c.to)
	}
}

func TestNewWaterIsToldItsSide(t *testing.T) {
	for side, in := range map[string]AdjustInput{"above": adjust(400, 32, 35, 34), "below": adjust(400, 39, 35, 36)} {
		_, err := Adjust(in)
		assert.ErrorContains(t, err, "adjust_new_water_"+side)
	}
}

// A mix with 12 % of bound water takes 1/0.88 of the salt. A litre of 35 at 25 °C holds 35.165·1.02334 = 35.99 g
// (Millero 2008, UNESCO 44): a label of 72 g is twice that and the last believed.
func TestBoundWaterAndLabels(t *testing.T) {
	in := MixInput{VolumeL: 100, Basis: Finished, Target: 35, Water: 25, BoundPct: 12}
	r, err := SaltMix(in)
	require.NoError(t, err)
	assert.InEpsilon(t, 1/0.88, r.SaltKg/r.AnhydrousKg, 1e-12)

	ideal, err := seawater.GramsPerLitre(20, 25) // within the 60 g/L that a label may state
	require.NoError(t, err)
	for _, c := range []struct {
		times float64
		taken bool
	}{{0.899, false}, {0.9, true}, {2, true}, {2.001, false}} {
		in.Yield = &Yield{GramsPerLitre: c.times * ideal, Salinity: 20}
		_, err = SaltMix(in)
		assert.Equal(t, c.taken, err == nil, "%v times: %v", c.times, err)
	}
	in.Yield = &Yield{GramsPerLitre: 20, Salinity: 35}
	_, err = SaltMix(in)
	var conflict *calc.ConflictError
	require.ErrorAs(t, err, &conflict)
	assert.Equal(t, "mix_yield_implausible", conflict.Reason.Code)
	assert.InDelta(t, 0.9*35.99, conflict.Reason.Params["least"], 0.01)
	assert.InDelta(t, 2*35.99, conflict.Reason.Params["most"], 0.02)
}

func TestMixRangesNameTheirFields(t *testing.T) {
	for param, change := range map[string]func(*MixInput){
		"yield_g_l":           func(in *MixInput) { in.Yield.GramsPerLitre = 4.9 },
		"yield_psu":           func(in *MixInput) { in.Yield.Salinity = 45.1 },
		"bound_water_percent": func(in *MixInput) { in.BoundPct = 30.1 },
		"target_psu":          func(in *MixInput) { in.Target = 0.9 },
	} {
		in := MixInput{
			VolumeL: 100, Basis: Finished, Target: 35, Water: 25, Yield: &Yield{GramsPerLitre: 38, Salinity: 35},
		}
		change(&in)
		_, err := SaltMix(in)
		var out *calc.RangeError
		if assert.ErrorAs(t, err, &out, param) {
			assert.Equal(t, param, out.Param)
		}
	}
	_, err := SaltMix(MixInput{VolumeL: 100, Basis: Finished, Target: 35, Start: 35, Water: 25})
	var conflict *calc.ConflictError
	require.ErrorAs(t, err, &conflict)
	assert.Equal(t, []string{"start_psu", "target_psu"}, conflict.Params)
}
