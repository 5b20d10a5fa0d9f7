package sim

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// whenCold is when the water of chilled falls below 24 °C, s: 80,000 s · ln(5.5/4).
const whenCold = 25476.298

// cold is chilled with an alarm below 24 °C by two ways; a circuit of their own feeds what wants one.
func cold() *System {
	s := chilled()
	s.Circuits = append(s.Circuits, Circuit{ID: "feed"})
	s.Ways = []Way{{Kind: Cellular, Circuit: -1}, {Kind: Network, Circuit: -1}}
	s.Alarms = []Alarm{{ID: "cold", Condition: 0, Circuit: -1, Ways: []int{0, 1}}}
	return s
}

// By hand: mains are out from the start for 28,800 s, the water is cold from 25,476.3 s on. A router without power
// carries nothing before mains are back; with a battery of an hour neither, with one of eight hours all the time. A
// battery that is flat 523.7 s after the water is cold does not last through a delay of 600 s, which begins again when
// mains return; one that lasts 700 s more does.
func TestAWayNeedsPower(t *testing.T) {
	outage := []Injection{{Fault: MainsLost}}
	for _, c := range []struct {
		name             string
		batteryS, delayS float64
		want             float64
	}{
		{"no battery", 0, 0, 28800}, {"a battery of an hour", 3600, 0, 28800}, {"of eight hours", 28800, 0, whenCold},
		{"flat within the delay", 26000, 600, 29400}, {"flat after the delay", 26700, 600, whenCold + 600},
	} {
		s := cold()
		s.OutageS = 28800
		s.Ways[1] = Way{Kind: Network, Circuit: 1, BatteryS: c.batteryS}
		s.Alarms[0].Ways, s.Alarms[0].DelayS = []int{1}, c.delayS
		out, err := Run(context.Background(), s, nil, outage, daySeconds)
		require.NoError(t, err)
		assert.InDelta(t, c.want, out.Alarms(outage)[0], 1e-2, c.name)
		// The alarm itself on that circuit, its way independent of it.
		s.Ways[1] = Way{Kind: Cellular, Circuit: -1}
		s.Alarms[0].Circuit, s.Circuits[1].BackupS = 1, c.batteryS
		out, err = Run(context.Background(), s, nil, outage, daySeconds)
		require.NoError(t, err)
		assert.InDelta(t, c.want, out.Alarms(outage)[0], 1e-2, "the alarm, %s", c.name)
	}
}

// Each way for itself: one that is dead, one that waits for mains; the alarm is raised by the first that works.
func TestEachWayCallsForItself(t *testing.T) {
	s := cold()
	s.OutageS = 28800
	s.Ways = append(s.Ways, Way{Kind: Audible, Circuit: 1})
	s.Alarms[0].Ways = []int{1, 2, 0}
	in := []Injection{{Fault: MainsLost}, {Fault: WayDead, Index: 1}}
	out, err := Run(context.Background(), s, nil, in, daySeconds)
	require.NoError(t, err)
	calls := out.Calls(in)
	require.Len(t, calls, 1)
	assert.InDeltaSlice(t, []float64{Never, 28800, whenCold}, calls[0], 1e-2)
	assert.InDelta(t, whenCold, out.Alarms(in)[0], 1e-2)
	in = append(in, Injection{Fault: WayDead, Index: 0})
	assert.InDelta(t, 28800, out.Alarms(in)[0], 1e-2)
	broken := append(in, Injection{Fault: AlarmDead})
	assert.Equal(t, []float64{Never, Never, Never}, out.Calls(broken)[0])
}

// The water is cold from 25,476.3 s after 08:00 on, which is 15:04:36.
func TestAnAlarmCountsInItsHours(t *testing.T) {
	const h = 3600.0
	for _, c := range []struct {
		name  string
		hours Hours
		want  float64
	}{
		{"in the afternoon", Hours{14 * h, 16 * h}, whenCold}, {"from the evening on", Hours{18 * h, 23 * h}, 10 * h},
		{"over before", Hours{10 * h, 14 * h}, Never}, {"across midnight", Hours{22 * h, 6 * h}, 14 * h},
		{"only after midnight", Hours{1 * h, 6 * h}, 17 * h}, {"across midnight, on before", Hours{12 * h, 6 * h},
			whenCold},
	} {
		s := cold()
		s.StartSecond = 8 * h
		s.Alarms[0].Hours = &c.hours
		out, err := Run(context.Background(), s, nil, nil, daySeconds)
		require.NoError(t, err)
		assert.InDelta(t, c.want, out.Alarms(nil)[0], 1e-2, c.name)
	}
}

// Hours of the day as turns of a run, in hours after its start.
func TestHoursOfARun(t *testing.T) {
	const h = 3600.0
	for _, c := range []struct {
		name     string
		startH   float64
		hours    Hours
		endH     float64
		first    bool
		turns    []float64
		covers   []float64 // hours of the day
		uncovers []float64
	}{
		{"a morning", 8, Hours{6 * h, 10 * h}, 48, true, []float64{2, 22, 26, 46}, []float64{6, 8, 9.9},
			[]float64{5.9, 10, 20}},
		{"across midnight", 8, Hours{22 * h, 6 * h}, 48, false, []float64{14, 22, 38, 46}, []float64{22, 23.9, 0, 5.9},
			[]float64{21.9, 6, 12}},
		{"from its start on", 8, Hours{8 * h, 9 * h}, 24, true, []float64{1, 24}, []float64{8}, []float64{9, 7.9}},
		{"up to its start", 8, Hours{7 * h, 8 * h}, 24, false, []float64{23, 24}, []float64{7}, []float64{8, 6.9}},
		{"within one day", 1, Hours{2 * h, 3 * h}, 10, false, []float64{1, 2}, []float64{2.5}, []float64{1, 3}},
	} {
		course := &Course{second: c.startH * h, EndS: c.endH * h}
		got := course.daily(&c.hours)
		assert.Equal(t, c.first, got.first, c.name)
		require.Len(t, got.turns, len(c.turns), c.name)
		for i, at := range c.turns {
			assert.InDelta(t, at*h, got.turns[i], 1e-6, c.name)
		}
		for _, at := range c.covers {
			assert.True(t, c.hours.covers(at*h), "%s: %g", c.name, at)
		}
		for _, at := range c.uncovers {
			assert.False(t, c.hours.covers(at*h), "%s: %g", c.name, at)
		}
	}
}

// Sensors of an alarm that give no signal: of those that are compared, of one that is read, and of none.
func TestAnAlarmOnItsSensorsLoss(t *testing.T) {
	lost := []Injection{{Fault: SensorLost, Index: 1}}
	for _, c := range []struct {
		name   string
		onLoss bool
		in     []Injection
		alarm  Alarm
		want   float64
	}{
		{"compared, said", true, lost, Alarm{Condition: -1, DifferK: 1,
			Differ: []Reader{{Sensor: 0, Condition: -1}, {Sensor: 1, Condition: -1}}}, 0},
		{"compared, well", true, nil, Alarm{Condition: -1, DifferK: 1,
			Differ: []Reader{{Sensor: 0, Condition: -1}, {Sensor: 1, Condition: -1}}}, Never},
		{"another's", true, lost, Alarm{Condition: -1, DifferK: 1,
			Differ: []Reader{{Sensor: 0, Condition: -1}, {Sensor: 2, Condition: -1}}}, Never},
		{"read, said", true, lost, Alarm{Condition: 1}, 0},
		{"read, not said", false, lost, Alarm{Condition: 1}, Never},
		{"another is read", true, lost, Alarm{Condition: 0}, whenCold},
		{"the first, read", true, []Injection{{Fault: SensorLost}}, Alarm{Condition: 0}, 0},
	} {
		s := cold()
		c.alarm.ID, c.alarm.Circuit, c.alarm.Ways, c.alarm.OnLoss = "a", -1, []int{0}, c.onLoss
		s.Alarms = []Alarm{c.alarm}
		out, err := Run(context.Background(), s, nil, c.in, daySeconds)
		require.NoError(t, err)
		assert.InDelta(t, c.want, out.Alarms(c.in)[0], 1e-2, c.name)
	}
}

// Two floats that disagree: the second, 1 L lower, is dry an hour later than the first. Water falls by 1 L/h.
func TestSwitchesThatDisagree(t *testing.T) {
	s := still(200, 35, 1.0/3600)
	s.Chamber = Chamber{AreaM2: 1, BaffleMM: 1e6, WideAreaM2: 1, IntakeMM: -1e6, FloorMM: -1e6, RimMM: 1e6}
	for i, low := range []float64{-2, -3} {
		s.Sensors = append(s.Sensors, Sensor{Kind: LevelSensor})
		s.Comparators = append(s.Comparators, Comparator{Quantity: Level, Low: low, High: low + 0.1, Sensor: i})
		s.Conditions = append(s.Conditions, Condition{Index: i, Sensor: i})
	}
	s.Ways = []Way{{Kind: Cellular, Circuit: -1}}
	s.Alarms = []Alarm{{ID: "odd", Condition: -1, Circuit: -1, Ways: []int{0},
		Differ: []Reader{{Sensor: 0, Condition: 0}, {Sensor: 1, Condition: 1}}}}
	for _, c := range []struct {
		name   string
		in     []Injection
		delayS float64
		want   float64
	}{
		{"well", nil, 0, 7200}, {"well, for longer than that", nil, 3700, Never},
		{"one sticks wet", []Injection{{Fault: SensorTrue, Index: 1}}, 3700, 7200 + 3700},
		{"one sticks dry", []Injection{{Fault: SensorFalse, Index: 1}}, 0, 0},
		{"both stick dry", []Injection{{Fault: SensorFalse, Index: 0}, {Fault: SensorFalse, Index: 1}}, 0, Never},
		{"one has no signal", []Injection{{Fault: SensorLost, Index: 1}}, 0, Never},
	} {
		s.Alarms[0].DelayS = c.delayS
		out, err := Run(context.Background(), s, nil, c.in, 5*3600)
		require.NoError(t, err)
		assert.InDelta(t, c.want, out.Alarms(c.in)[0], 1e-2, c.name)
	}
}

// Why an alarm is silent that has a circuit of its own, as TestWhyAnAlarmIsSilent has it for the others.
func TestWhyAnAlarmOnACircuitIsSilent(t *testing.T) {
	for _, c := range []struct {
		name    string
		backupS float64
		in      []Injection
		want    Silence
	}{
		{"fed and raised", 0, nil, NotSilent},
		{"fed, its ways are down", 0, []Injection{{Fault: WayDead}, {Fault: WayDead, Index: 1}}, NetworkDown},
		{"its circuit is broken behind its battery", 600, []Injection{{Fault: CircuitLost, Index: 1}},
			AlarmWithoutFeed},
		{"its battery was enough", 30000, []Injection{{Fault: MainsLost}}, NotSilent},
		{"no battery", 0, []Injection{{Fault: MainsLost}}, AlarmWithoutFeed},
	} {
		s := cold()
		s.OutageS = 1e6
		s.Alarms[0].Circuit, s.Circuits[1].BackupS = 1, c.backupS
		out, err := Run(context.Background(), s, nil, c.in, daySeconds)
		require.NoError(t, err)
		assert.Equal(t, c.want, out.Silences(c.in)[0].Why, c.name)
	}
}
