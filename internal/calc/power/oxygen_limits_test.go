package power

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Worked by hand: in a steady state the demand is what comes in, D = k (Osat - O)/depth. Over 45 cm at 15 cm/h a demand
// of 0.15 mg/(L h) keeps 0.15·45/15 = 0.45 mg/L under saturation; half the demand at 1.5 times the exchange a third of
// that, 10/3 of the demand at the exchange over 1.5 five times, which no view begins with: 5 mg/L are comfortable.
func TestSteadyOxygenByHand(t *testing.T) {
	r := endure(t, func(in *OutageInput) { in.Oxygen.StillCMH = in.Oxygen.StirredCMH })
	for i, deficit := range []float64{0.15, 0.45, 2.25} {
		assert.InDelta(t, max(5, r.SaturationMgL-deficit), r.Oxygen[i].StartMgL, 1e-9, r.Oxygen[i].Case)
		assert.InDelta(t, r.SaturationMgL-deficit, r.Oxygen[i].StillMgL, 1e-9, r.Oxygen[i].Case)
		assert.Nil(t, r.Oxygen[i].HarmH)
	}
}

// A battery that stirs one part in a hundred is hardly one: the oxygen falls to a level while it lasts, and little
// later than without.
func TestOxygenFallsWhileTheBatteryLasts(t *testing.T) {
	without := endure(t, func(*OutageInput) {})
	with := endure(t, func(in *OutageInput) {
		in.Battery = &Battery{CapacityWh: 100, UsableShare: 1, Efficiency: 1, LoadW: 10, OnPercent: 1}
	})
	require.InDelta(t, 1000, with.BatteryH, 1e-9)
	require.NotNil(t, with.Oxygen[1].ComfortH)
	assert.Greater(t, *with.Oxygen[1].ComfortH, *without.Oxygen[1].ComfortH)
	assert.InEpsilon(t, *without.Oxygen[1].ComfortH, *with.Oxygen[1].ComfortH, 0.2)
}
