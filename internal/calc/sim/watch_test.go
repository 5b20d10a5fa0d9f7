package sim

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// ticking has a timer that calls from 10:00 to 11:00 and from 12:00 to 15:00 for a lamp; a run starts at 08:00.
func ticking() *System {
	s := still(200, 35, 0)
	s.Chamber = Chamber{AreaM2: 1, WideAreaM2: 1, IntakeMM: -1e6, FloorMM: -1e6, BaffleMM: 1e6, RimMM: 1e6}
	s.StartSecond = 8 * 3600
	h := 3600.0
	s.Programmes = []Programme{{
		{0, 10 * h, 0, 0}, {10 * h, 11 * h, 1, 1}, {11 * h, 12 * h, 0, 0}, {12 * h, 15 * h, 1, 1},
		{15 * h, 24 * h, 0, 0},
	}}
	s.Devices = []Device{{ID: "lamp", Kind: Light, ElectricW: 50, Programme: -1, Thermostat: -1}}
	s.Controls = []Control{{ID: "timer", Kind: Timer}}
	s.Relays = []Relay{{Control: 0, Device: 0, Target: -1}}
	return s
}

// By hand, from 08:00: the lamp runs 2 h to 3 h, 4 h to 7 h, 26 h to 27 h and so on.
func TestAlarmsOnRunning(t *testing.T) {
	const h = 3600.0
	cases := []struct {
		name   string
		watch  Watch
		inject []Injection
		delayS float64
		want   float64 // h; Never as it is
	}{
		{"an hour is passed in the second stretch", Watch{Kind: RunsLong, Seconds: h}, nil, 0, 5},
		{"with a delay", Watch{Kind: RunsLong, Seconds: h}, nil, h / 2, 5.5},
		{"three hours are not passed", Watch{Kind: RunsLong, Seconds: 3 * h}, nil, 0, Never},
		{"a welded relay", Watch{Kind: RunsLong, Seconds: 3 * h}, []Injection{{Fault: RelayClosed}}, 0, 3},
		{"two starts within three hours", Watch{Kind: StartsOften, Starts: 1, Seconds: 3 * h}, nil, 0, 4},
		{"three starts within a day", Watch{Kind: StartsOften, Starts: 2, Seconds: 24.5 * h}, nil, 0, 26},
		{"no three within less", Watch{Kind: StartsOften, Starts: 2, Seconds: 23 * h}, nil, 0, Never},
		{"stands from 15:00 to 10:00", Watch{Kind: StandsStill, Seconds: 18 * h}, nil, 0, 25},
		{"stands no longer", Watch{Kind: StandsStill, Seconds: 19 * h}, nil, 0, Never},
		{"the timer hangs off", Watch{Kind: StandsStill, Seconds: 19 * h}, []Injection{{Fault: ControlOff}}, 0, 19},
		{"dead", Watch{Kind: StandsStill, Seconds: 19 * h}, []Injection{{Fault: DeviceDead}}, 0, 19},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			for _, control := range []bool{false, true} {
				s, w := ticking(), c.watch
				if w.Control = -1; control {
					if len(c.inject) > 0 && c.inject[0].Fault != ControlOff {
						continue // the relay and the lamp say nothing of what the control calls for
					}
					w.Device, w.Control = -1, 0
				}
				s.Ways = []Way{{Kind: Cellular, Circuit: -1}}
				s.Alarms = []Alarm{{ID: "a", Condition: -1, Circuit: -1, Ways: []int{0}, Watch: &w, DelayS: c.delayS}}
				e := EffectOf(s, c.inject)
				course, err := RunEffect(context.Background(), s, nil, e, 50*h, nil)
				require.NoError(t, err)
				want := c.want
				if want != Never {
					want *= h
				}
				assert.InDelta(t, want, course.Alarms(c.inject)[0], 1e-6, "control %v", control)
			}
		})
	}
}

// Nobody counts on the look at the power of a motor that may hum and stand.
func TestADeadMotorMayStillDraw(t *testing.T) {
	s := ticking()
	s.Devices[0].Kind = CirculationPump
	s.Ways = []Way{{Kind: Cellular, Circuit: -1}}
	s.Alarms = []Alarm{{ID: "a", Condition: -1, Circuit: -1, Ways: []int{0},
		Watch: &Watch{Kind: StandsStill, Control: -1, Seconds: 3600}}}
	dead := []Injection{{Fault: DeviceDead}}
	course, err := Run(context.Background(), s, nil, dead, daySeconds)
	require.NoError(t, err)
	assert.Equal(t, Never, course.Alarms(dead)[0])
}

func TestTracesOfOneInstantAreNoStarts(t *testing.T) {
	flicker := timeline{true, []float64{0, 0, 5, 7, 7, 9, 9, 12}}
	assert.Equal(t, timeline{true, []float64{5, 12}}, flicker.without(1e-6))
	assert.Equal(t, timeline{true, nil}, timeline{false, []float64{0}}.without(1e-6))
}
