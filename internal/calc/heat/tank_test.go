package heat

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
	"saltwright/internal/calc/reference"
)

func relative(got, want float64) float64 { return math.Abs(got-want) / math.Abs(want) }

// closed compares one optional column and returns the relative disagreement.
func closed(t *testing.T, row reference.Row, column string, got float64, happens bool) float64 {
	t.Helper()
	require.Equal(t, row.Has(column), happens, "case %s: %s", row["case"], column)
	if !happens {
		return 0
	}
	return relative(got, row.F(t, column))
}

func TestClosedFormsMeetTheReferenceTable(t *testing.T) {
	var worst float64
	rows := reference.Load(t, "thermal_faults.csv")
	for _, row := range rows {
		capacity := row.F(t, "mass_kg") * row.F(t, "cp_J_per_kgK")
		tau, err := TimeConstantH(capacity, row.F(t, "ua_W_per_K"))
		require.NoError(t, err)
		gains := row.F(t, "other_gain_W") - row.F(t, "evaporative_loss_W")
		off := row.F(t, "t_ambient_degC") + gains/row.F(t, "ua_W_per_K")
		on := off + row.F(t, "heater_W")/row.F(t, "ua_W_per_K")
		to := func(fromC, equilibriumC float64, target string) (float64, bool) {
			h, reached, err := Approach{FromC: fromC, EquilibriumC: equilibriumC, TauH: tau}.TimeTo(row.F(t, target))
			require.NoError(t, err)
			return h, reached
		}
		high, reachesHigh := to(row.F(t, "t_set_degC"), on, "t_limit_high_degC")
		low, reachesLow := to(row.F(t, "t_set_degC"), off, "t_limit_low_degC")
		coolingH, cools := to(row.F(t, "t_switch_off_degC"), off, "t_switch_on_degC")
		heatingH, heats := to(row.F(t, "t_switch_on_degC"), on, "t_switch_off_degC")
		for _, d := range []float64{
			relative(tau, row.F(t, "time_constant_h")),
			relative(on, row.F(t, "t_equilibrium_heater_on_degC")),
			relative(off, row.F(t, "t_equilibrium_heater_off_degC")),
			closed(t, row, "stuck_on_time_to_high_h_closed", high, reachesHigh),
			closed(t, row, "dead_time_to_low_h_closed", low, reachesLow),
			closed(t, row, "band_cooling_time_h", coolingH, cools),
			closed(t, row, "band_heating_time_h", heatingH, heats),
		} {
			worst = math.Max(worst, d)
		}
	}
	t.Logf("worst disagreement over %d rows: %.2g relative", len(rows), worst)
	assert.Less(t, worst, 1e-6, "exact arithmetic, README of the tables")
}

func TestApproachAndItsInverse(t *testing.T) {
	a := Approach{FromC: 26, EquilibriumC: 20, TauH: 10}
	last := 26.0
	for h := 0.5; h < 80; h += 0.5 {
		c, err := a.At(h)
		require.NoError(t, err)
		assert.Less(t, c, last)
		last = c
		back, reached, err := a.TimeTo(c)
		require.NoError(t, err)
		require.True(t, reached)
		assert.InEpsilon(t, h, back, 1e-9, "round trip; rounding grows as exp(t/tau) near the equilibrium")
	}
	for name, target := range map[string]float64{"beyond": 19, "at the equilibrium": 20, "other side": 27} {
		_, reached, err := a.TimeTo(target)
		require.NoError(t, err)
		assert.False(t, reached, name)
	}
	h, reached, err := a.TimeTo(26)
	require.NoError(t, err)
	assert.True(t, reached)
	assert.Zero(t, h)
	_, reached, err = Approach{FromC: 20, EquilibriumC: 20, TauH: 1}.TimeTo(21)
	require.NoError(t, err)
	assert.False(t, reached, "nothing moves")
}

func TestClosedFormsRefuseWhatTheyCannot(t *testing.T) {
	second := func(_ float64, err error) error { return err }
	third := func(_ float64, _ bool, err error) error { return err }
	nan := math.NaN()
	for name, err := range map[string]error{
		"capacity":    second(TimeConstantH(0, 1)),
		"ua":          second(TimeConstantH(1e6, 0)),
		"from":        second(Approach{FromC: nan, TauH: 1}.At(1)),
		"equilibrium": second(Approach{EquilibriumC: math.Inf(1), TauH: 1}.At(1)),
		"tau":         third(Approach{}.TimeTo(1)),
		"target":      third(Approach{TauH: 1}.TimeTo(nan)),
		"hours":       second(Approach{TauH: 1}.At(-1)),
		"reaction":    second(ReactionLimitW(ReactionInput{UAWPerK: 1, RiseK: -1, TauH: 1, ResponseH: 1})),
	} {
		var out *calc.RangeError
		assert.ErrorAs(t, err, &out, name)
	}
}

// The two limits of a stuck heater agree where the time is endless, and the
// reaction limit leads back to its time through TimeTo.
func TestReactionLimitClosesWithTheApproach(t *testing.T) {
	in := ReactionInput{LossW: 120, GainsW: 40, UAWPerK: 9, RiseK: 2.5, TauH: 20, ResponseH: 6}
	p, err := ReactionLimitW(in)
	require.NoError(t, err)
	a := Approach{FromC: 25, EquilibriumC: 25 + (p+in.GainsW-in.LossW)/in.UAWPerK, TauH: in.TauH}
	h, reached, err := a.TimeTo(27.5)
	require.NoError(t, err)
	require.True(t, reached)
	assert.InEpsilon(t, 6, h, 1e-9)
	in.ResponseH = 1e6
	endless, err := ReactionLimitW(in)
	require.NoError(t, err)
	assert.InEpsilon(t, 120-40+9*2.5, endless, 1e-12)
	assert.Less(t, endless, p)
}
