package mixing

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/reference"
	"saltwright/internal/calc/seawater"
)

func weekly() ChangeInput {
	return ChangeInput{VolumeL: 400, ChangeL: 40, Changes: 4, DaysBetween: 7, EvaporationLD: 4, Tank: 35, New: 35,
		AllowedPSU: 0.5}
}

// Source: International Convention for the Control and Management of Ships' Ballast Water 2004, regulation D-1: pumping
// through three times the volume counts as an exchange of 95 per cent (from memory).
func TestThreeVolumesPumpedThrough(t *testing.T) {
	in := weekly()
	in.ChangeL, in.Changes = 400, 3
	r, err := Change(in)
	require.NoError(t, err)
	assert.InDelta(t, 0.95, 1-r.LeftByContinuous, 0.005) // the regulation's last digit
	assert.Zero(t, r.LeftBySeries)                       // the tank was emptied
}

// Source: testdata/reference/dosing_stoichiometry.csv, what balanced dosing leaves behind between water changes.
func TestSteadyExcessBetweenChanges(t *testing.T) {
	const rise = 20.842687 // mg/L of salt a day, at 1 dKH a day; the same table
	in := weekly()
	in.Changes, in.Solute = 1000, &Solute{PerDay: rise}
	r, err := Change(in)
	require.NoError(t, err)
	checked := 0
	var worst reference.Worst
	for _, row := range reference.Load(t, "dosing_stoichiometry.csv") {
		got, ok := map[string]float64{"steady_excess_before_change": r.SteadyBefore,
			"steady_excess_after_change": r.SteadyAfter}[row["item"]]
		if ok {
			worst.Relative(t, row.F(t, "value"), got, 1e-4, row["item"])
			checked++
		}
	}
	assert.Equal(t, 2, checked)
	t.Logf("steady excess: worst %.1g at %s", worst.Difference, worst.Where)
	assert.InEpsilon(t, r.SteadyAfter, r.SoluteBySeries, 1e-9, "a thousand changes are for ever")
}

// Step by step with litres and grams, as a person would on paper.
func TestChangesByHand(t *testing.T) {
	in := weekly()
	in.Tank, in.New, in.Solute = 33, 36, &Solute{Tank: 20, New: 1, PerDay: 0.5}
	r, err := Change(in)
	require.NoError(t, err)
	salt, solute := 33.0, 20.0
	for range in.Changes {
		salt = (360*salt + 40*36) / 400
		solute = (360*(solute+7*0.5) + 40*1) / 400
	}
	assert.InDelta(t, salt, r.PSUBySeries, 1e-9)
	assert.InDelta(t, solute, r.SoluteBySeries, 1e-9)
	salt, solute = 33, 20
	const steps = 200000
	for range steps { // what flows in a short time, many times
		part := 4 * 40.0 / steps
		salt += part * (36 - salt) / 400
		solute += part*(1-solute)/400 + 28*0.5/steps
	}
	assert.InDelta(t, salt, r.PSUByContinuous, 1e-4)
	assert.InDelta(t, solute, r.SoluteByContinuous, 1e-3)
}

// The ways between salinities go by grams a litre: they must agree with this within what Change states.
func TestChangeAgreesWithAdjust(t *testing.T) {
	in := weekly()
	in.Tank, in.New = 35, 25
	r, err := Change(in)
	require.NoError(t, err)
	var g [2]float64
	for i, s := range []float64{35, 25} {
		g[i], err = seawater.GramsPerLitre(quantity.PracticalSalinity(s), 25)
		require.NoError(t, err)
	}
	exact, err := salinityOf(g[1]+(g[0]-g[1])*r.LeftBySeries, 25)
	require.NoError(t, err)
	assert.InDelta(t, exact, r.PSUBySeries, 0.05)
}

// Two pumps in a tank whose level a top-off holds, hour by hour.
func TestDriftByHand(t *testing.T) {
	for _, mismatch := range []float64{-5, -2, 2, 5} {
		in := weekly()
		in.MismatchPct = mismatch
		r, err := Change(in)
		require.NoError(t, err)
		salt, hours := 35.0, 0.0
		drained := 40.0 / 7 / 24
		for math.Abs(salt-35) < in.AllowedPSU && hours < 24*10000 {
			salt += drained * ((1+mismatch/100)*35 - salt) / 400
			hours++
		}
		assert.InDelta(t, hours/24, r.CalibrateEveryD, 0.1, "mismatch of %g %%", mismatch)
		assert.InDelta(t, 35*mismatch/100, r.DriftPSU, 1e-9)
		assert.InDelta(t, -mismatch/100*40/7, r.ExtraTopOffLD, 1e-9)
		assert.Zero(t, r.LevelRisesLD)
	}
	in := weekly()
	in.MismatchPct = 1
	r, err := Change(in)
	require.NoError(t, err)
	assert.Zero(t, r.CalibrateEveryD, "1 % moves salinity by 0.35 at most")
	in.MismatchPct, in.EvaporationLD = 10, 0.5
	r, err = Change(in)
	require.NoError(t, err)
	assert.InDelta(t, 4.0/7-0.5, r.LevelRisesLD, 1e-9)
	assert.InDelta(t, -0.5, r.ExtraTopOffLD, 1e-9)
	salt := 35.0
	for range 24 * 2000 { // what evaporation cannot take runs over with its salt
		salt += (1.1*40*35 - (1.1*40-7*0.5)*salt) / (7 * 24 * 400)
	}
	assert.InDelta(t, salt-35, r.DriftPSU, 1e-3)
}

func TestChangeRefuses(t *testing.T) {
	var out *calc.RangeError
	for name, change := range map[string]func(*ChangeInput){
		"volume_l":              func(in *ChangeInput) { in.VolumeL = 0 },
		"change_l":              func(in *ChangeInput) { in.ChangeL = 400.1 },
		"changes":               func(in *ChangeInput) { in.Changes = 0 },
		"days_between":          func(in *ChangeInput) { in.DaysBetween = math.NaN() },
		"pump_mismatch_percent": func(in *ChangeInput) { in.MismatchPct = 51 },
		"evaporation_l_d":       func(in *ChangeInput) { in.EvaporationLD = -1 },
		"salinity_psu":          func(in *ChangeInput) { in.Tank = 46 },
		"new_water_psu":         func(in *ChangeInput) { in.New = -1 },
		"allowed_drift_psu":     func(in *ChangeInput) { in.AllowedPSU = 0 },
		"solute":                func(in *ChangeInput) { in.Solute = &Solute{Tank: -1} },
	} {
		in := weekly()
		change(&in)
		_, err := Change(in)
		if assert.ErrorAs(t, err, &out, name) {
			assert.Equal(t, name, out.Param)
		}
	}
}
