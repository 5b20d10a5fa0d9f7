package sim

import (
	"context"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What an alarm makes of a course afterwards is what a control makes of the water as it goes: for every condition of
// wiredUp there is a control that has power for good and switches nothing, and when it called is compared with when an
// alarm on the same condition had reason to call, whatever is wrong.
func TestAlarmsSeeWhatControlsSee(t *testing.T) {
	s := wiredUp()
	faults := everyFault(s)
	const house, sure = 0, 4
	s.Circuits = append(s.Circuits, Circuit{ID: "sure", BackupS: 1e9})
	vane, eye, moist := len(s.Sensors), len(s.Sensors)+1, len(s.Sensors)+2
	s.Sensors = append(s.Sensors, Sensor{Kind: FlowSensor}, Sensor{Kind: LightSensor}, Sensor{Kind: ConductivitySensor})
	for _, i := range []int{vane, eye} {
		faults = append(faults, Injection{Fault: SensorTrue, Index: i}, Injection{Fault: SensorFalse, Index: i},
			Injection{Fault: SensorLost, Index: i})
	}
	faults = append(faults, Injection{Fault: SensorOffset, Index: moist, Value: 0.1})
	s.Comparators = append(s.Comparators, Comparator{Quantity: Salinity, Low: 35.05, High: 35.1, Sensor: moist},
		Comparator{Quantity: DisplayLevel, Low: -13, High: -12.1, Sensor: -1},
		Comparator{Quantity: RoomTemp, Low: 10, High: 15, Sensor: -1},
		Comparator{Quantity: Oxygen, Low: 5, High: 6, Sensor: -1},
		Comparator{Quantity: Spill, High: 0.5, Sensor: -1})
	first := len(s.Conditions)
	s.Conditions = append(s.Conditions,
		Condition{Kind: FlowRunning, Sensor: vane, LeastFlow: 0.5}, Condition{Kind: FlowRunning, Sensor: vane,
			Negate: true},
		Condition{Kind: LightSeen, Sensor: eye}, Condition{Kind: PowerPresent, Index: house, Sensor: -1},
		Condition{Kind: PowerPresent, Index: 2, Sensor: -1, Negate: true},
		Condition{Index: 8, Sensor: moist}, Condition{Index: 9, Sensor: -1}, Condition{Index: 10, Sensor: -1},
		Condition{Index: 11, Sensor: -1, Negate: true}, Condition{Index: 12, Sensor: -1},
		Condition{Kind: Vote, Sensor: -1, Of: []int{first, first + 2, first + 3}, Most: One},
		Condition{Kind: Vote, Sensor: -1, Of: []int{3, 4, first + 2}, Most: Each})
	s.Alarms = nil
	own := len(s.Controls)
	for i := range s.Conditions {
		for _, onLoss := range []bool{false, true} {
			k := len(s.Controls)
			s.Controls = append(s.Controls, Control{Kind: Regulator, Circuit: sure, Condition: i, OnLoss: onLoss,
				Programme: -1})
			s.Alarms = append(s.Alarms, Alarm{Condition: -1, Circuit: -1,
				Watch: &Watch{Kind: RunsLong, Device: -1, Control: k}})
		}
	}
	s.wiring = s.wired()
	const seconds = 14 * 3600 // the lamp comes and goes
	turned := 0
	alike := func(in ...Injection) {
		t.Helper()
		c, err := Run(context.Background(), s, nil, in, seconds)
		require.NoError(t, err)
		v := c.witness(in)
		for k := own; k < len(s.Controls); k++ {
			control := &s.Controls[k]
			want := c.commands[k].without(timeTolerance)
			got := v.reads(control.Condition, control.OnLoss).without(timeTolerance)
			require.Equal(t, want.first, got.first, "%v: condition %d", in, control.Condition)
			require.Len(t, got.turns, len(want.turns), "%v: condition %d", in, control.Condition)
			require.InDeltaSlice(t, want.turns, got.turns, 1e-4, "%v: condition %d", in, control.Condition)
			turned += len(got.turns)
		}
	}
	alike()
	assert.Greater(t, turned, 100)
	r := rand.New(rand.NewPCG(5, 8)) // fixed seed
	for _, in := range faults {
		alike(in)
		alike(in, faults[r.IntN(len(faults))])
	}
	t.Logf("%d turns", turned)
}
