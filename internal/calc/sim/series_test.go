package sim

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// daily is a programme that calls from one hour to another.
func daily(fromH, toH float64) Programme {
	const h = 3600.0
	return Programme{{0, fromH * h, 0, 0}, {fromH * h, toH * h, 1, 1}, {toH * h, 24 * h, 0, 0}}
}

// By hand: one timer calls from 9 to 15 o'clock, the other from 12 to 20. In a day from 08:00 the lamp burns 3 h, with
// the first welded 8 h, with the second 6 h, and with either hanging off not at all.
func TestTwoTimersInSeries(t *testing.T) {
	for _, c := range []struct {
		name   string
		inject []Injection
		want   float64
	}{
		{"both well", nil, 3}, {"first welded", []Injection{{Fault: RelayClosed, Index: 0}}, 8},
		{"second welded", []Injection{{Fault: RelayClosed, Index: 1}}, 6},
		{"first hangs off", []Injection{{Fault: ControlOff, Index: 0}}, 0},
		{"both welded", []Injection{{Fault: RelayClosed, Index: 0}, {Fault: RelayClosed, Index: 1}}, 24},
	} {
		s := ticking()
		s.Programmes = []Programme{daily(9, 15), daily(12, 20)}
		s.Controls = []Control{{ID: "one", Kind: Timer}, {ID: "two", Kind: Timer, Programme: 1}}
		s.Relays = []Relay{{Control: 0, Device: 0, Target: -1}, {Control: 1, Device: 0, Target: -1}}
		course, err := RunEffect(context.Background(), s, nil, EffectOf(s, c.inject), daySeconds, nil)
		require.NoError(t, err)
		assert.InDelta(t, c.want*3600, course.Devices[0].OnS, 1e-6, c.name)
	}
}

// By hand: a heater under a control that always calls (the water is colder than it ever gets warm) and a timer from 12
// to 20 o'clock runs 8 h of a day.
func TestAControlAndATimerInSeries(t *testing.T) {
	s := ticking()
	s.Programmes = []Programme{daily(12, 20)}
	s.Devices[0] = Device{ID: "heater", Kind: Heater, HeatW: [2]float64{1, 0}, Programme: -1, Thermostat: -1}
	s.Comparators = []Comparator{{Quantity: DisplayTemp, Low: 90, High: 91, Sensor: -1}}
	s.Conditions = []Condition{{Kind: ComparatorTrue, Negate: true, Sensor: -1}}
	s.Controls = []Control{{ID: "heat", Kind: Regulator, Programme: -1}, {ID: "hours", Kind: Timer}}
	s.Relays = []Relay{{Control: 0, Device: 0, Target: -1}, {Control: 1, Device: 0, Target: -1}}
	course, err := Run(context.Background(), s, nil, nil, daySeconds)
	require.NoError(t, err)
	assert.InDelta(t, 8*3600, course.Devices[0].OnS, 1e-6)
}

// By hand: two timers, 9 to 15 and 12 to 20, drive a contactor that feeds a lamp and a pump. Both run 3 h of a day;
// welded they run on for good, though both timers are well; without power at the coil they stand.
func TestAContactorFeedsAll(t *testing.T) {
	for _, c := range []struct {
		name   string
		inject []Injection
		want   float64
	}{
		{"well", nil, 3},
		{"welded", []Injection{{Fault: ContactorWelded, Index: 2}}, 24},
		{"open", []Injection{{Fault: ContactorOpen, Index: 2}}, 0},
		{"coil without power", []Injection{{Fault: CircuitLost, Index: 1}}, 0},
		{"one timer's output welded", []Injection{{Fault: RelayClosed, Index: 0}}, 8},
		{"a timer hangs off", []Injection{{Fault: ControlOff, Index: 1}}, 0},
	} {
		s := ticking()
		s.Circuits = append(s.Circuits, Circuit{ID: "coil"})
		s.Programmes = []Programme{daily(9, 15), daily(12, 20)}
		s.Devices = append(s.Devices, Device{ID: "pump", Kind: CirculationPump, Programme: -1, Thermostat: -1})
		s.Controls = []Control{{ID: "one", Kind: Timer}, {ID: "two", Kind: Timer, Programme: 1},
			{ID: "contactor", Kind: Contactor, Circuit: 1, Condition: -1, Programme: -1}}
		s.Relays = []Relay{{Control: 0, Device: -1, Target: 2}, {Control: 1, Device: -1, Target: 2},
			{Control: 2, Device: 0, Target: -1}, {Control: 2, Device: 1, Target: -1}}
		course, err := RunEffect(context.Background(), s, nil, EffectOf(s, c.inject), daySeconds, nil)
		require.NoError(t, err)
		for i := range s.Devices {
			assert.InDelta(t, c.want*3600, course.Devices[i].OnS, 1e-6, "%s: %s", c.name, s.Devices[i].ID)
		}
	}
}
