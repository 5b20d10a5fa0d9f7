package sim

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// By hand: a timer calls from 12 to 20 o'clock and a day begins at 08:00. With its clock 12 hours ahead it calls from 0
// to 8 o'clock by the true clock, and of that a day from 08:00 has all 8 h, at its end. With its clock at midnight when
// the day begins it calls 12 h to 20 h later.
func TestAClockThatIsWrong(t *testing.T) {
	const h = 3600.0
	for _, c := range []struct {
		name   string
		aheadH float64
		on     []float64 // h after the start: on and off
	}{
		{"right", 0, []float64{4, 12}}, {"day for night", 12, []float64{16, 24}},
		{"at midnight", 16, []float64{12, 20}},
		{"an hour behind", 23, []float64{5, 13}},
	} {
		s := ticking()
		s.Programmes = []Programme{daily(12, 20)}
		in := []Injection{{Fault: ClockWrong, Value: c.aheadH * h}}
		course, err := RunEffect(context.Background(), s, nil, EffectOf(s, in), daySeconds, nil)
		require.NoError(t, err)
		watch := Watch{Device: 0, Control: -1}
		got := course.running(&watch).without(timeTolerance)
		require.NotEmpty(t, got.turns, c.name)
		assert.InDelta(t, c.on[0]*h, got.turns[0], 1e-6, c.name)
		assert.InDelta(t, 8*h, course.Devices[0].OnS, 1e-6, c.name)
	}
}

// By hand: mains are out for the first 8 h of a day from 08:00. A timer from 9 to 21 o'clock then calls 5 h, or not at
// all where its box stays off. A latching cut-out whose water is too warm from the start stays cut where its box
// remembers, and where it forgets trips again at once.
func TestWhatABoxDoesAfterAnOutage(t *testing.T) {
	for _, c := range []struct {
		name     string
		restarts Restart
		want     float64
	}{{"afresh", Afresh, 5}, {"as before", AsBefore, 5}, {"off", StaysDown, 0}} {
		s := ticking()
		s.OutageS = 8 * 3600
		s.Programmes = []Programme{daily(9, 21)}
		s.Controls[0].Restarts = c.restarts
		out := []Injection{{Fault: MainsLost}}
		course, err := RunEffect(context.Background(), s, nil, EffectOf(s, out), daySeconds, nil)
		require.NoError(t, err)
		assert.InDelta(t, c.want*3600, course.Devices[0].OnS, 1e-6, c.name)
	}
}

// By hand: the water cools from 25.5 °C, below 24 °C after 25,476 s (see cooling). A cut-out above 25 °C has tripped at
// the start; mains go at once and come back after 8 h = 28,800 s, when the water is cold. A box that forgets lets its
// device run from then on, one that remembers does not.
func TestALatchAcrossAnOutage(t *testing.T) {
	for _, c := range []struct {
		name     string
		restarts Restart
		want     float64
	}{{"forgets", Afresh, daySeconds - 28800}, {"remembers", AsBefore, 0}} {
		s := chilled()
		s.OutageS = 28800
		s.Circuits[0].BackupS = 600 // so that it trips before its power goes
		s.Comparators = append(s.Comparators, Comparator{Quantity: DisplayTemp, Low: 24.8, High: 25, Sensor: 0})
		s.Conditions = append(s.Conditions, Condition{Index: 3, Sensor: 0})
		s.Devices = []Device{{ID: "pump", Kind: CirculationPump, Programme: -1, Thermostat: -1}}
		s.Controls = []Control{{ID: "cut", Kind: Cutout, Latching: true, Condition: 3, Programme: -1,
			Restarts: c.restarts}}
		s.Relays = []Relay{{Control: 0, Device: 0, Target: -1}}
		course, err := Run(context.Background(), s, nil, []Injection{{Fault: MainsLost}}, daySeconds)
		require.NoError(t, err)
		assert.InDelta(t, c.want, course.Devices[0].OnS, 1e-6, c.name)
	}
}
