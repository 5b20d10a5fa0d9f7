package sim

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What moves the water gives its share of the gas exchange, the best of them counts. By hand: still 1e-4 1/s, stirred
// 1e-3 1/s, and 1e-3 mg/(L s) used up: in the end 7 mg/L less 1e-3 over the rate there is.
func TestWhatMovesTheWaterAiresIt(t *testing.T) {
	for _, c := range []struct {
		name  string
		nodes int
		in    []Injection
		moved float64
	}{
		{"a stream", 1, nil, 1},
		{"a stream that is clogged to 0.3", 1, []Injection{{Fault: Clogged, Index: 0}}, 0.5}, // the skimmer gives more
		{"neither stream nor skimmer", 1, []Injection{{Fault: DeviceDead, Index: 0}, {Fault: DeviceDead, Index: 1}}, 0},
		{"a clogged stream alone", 1, []Injection{{Fault: Clogged, Index: 0}, {Fault: DeviceDead, Index: 1}}, 0.3},
		{"a skimmer alone", 1, []Injection{{Fault: DeviceDead, Index: 0}}, 0.5},
		{"a skimmer without air", 1, []Injection{{Fault: DeviceDead, Index: 0}, {Fault: AirBlocked, Index: 1}}, 0},
		{"a return", 2, []Injection{{Fault: DeviceDead, Index: 0}, {Fault: DeviceDead, Index: 1}}, 1},
		{"a return that is clogged to 0.2", 2, []Injection{{Fault: DeviceDead, Index: 0}, {Fault: DeviceDead, Index: 1},
			{Fault: Clogged, Index: 2}}, 0.2},
		{"a return that stands", 2, []Injection{{Fault: DeviceDead, Index: 0}, {Fault: DeviceDead, Index: 1},
			{Fault: DeviceDead, Index: 2}}, 0},
	} {
		s := wide()
		if c.nodes == 2 {
			s.Nodes, s.Node[Sump], s.FlowWK = 2, s.Node[Display], 1000
		}
		s.OxygenBalance = OxygenBalance{SaturationMgL: 7, StirredS: 1e-3, StillS: 1e-4, DemandMgLS: 1e-3}
		s.Devices = []Device{
			{ID: "stream", Kind: CirculationPump, Programme: -1, Thermostat: -1, Clogs: Clogging{Left: 0.3}},
			{ID: "skimmer", Kind: Skimmer, Programme: -1, Thermostat: -1, Skim: Skimming{CupL: 1, Airs: 0.5}},
			{ID: "lift", Kind: ReturnPump, Programme: -1, Thermostat: -1, Clogs: Clogging{Left: 0.2, Return: 1}}}
		s.Devices = s.Devices[:1+c.nodes]
		out, err := Run(context.Background(), s, nil, c.in, 30*daySeconds)
		require.NoError(t, err)
		rate := 1e-4 + c.moved*(1e-3-1e-4)
		assert.InDelta(t, 7-1e-3/rate, out.End().OxygenMgL, 1e-6, c.name)
	}
}

// Two of three return pumps clog: of 1200, 600 and 200 L/h the first leaves a quarter, the last half: 300 + 600 + 100
// of 2000, in a run that takes flow below 0.6 of the usual for none.
func TestCloggedPumpsLeaveTheirShare(t *testing.T) {
	s := wide()
	for i, share := range []float64{0.6, 0.3, 0.1} {
		s.Devices = append(s.Devices, Device{Kind: ReturnPump, Programme: -1, Thermostat: -1,
			Clogs: Clogging{Left: []float64{0.25, 0.9, 0.5}[i], Return: share}})
	}
	f := newFaultState(s, []Injection{{Fault: Clogged, Index: 0}, {Fault: Clogged, Index: 2}})
	assert.InDelta(t, 0.5, f.flowShare(s), 1e-12)
	f = newFaultState(s, nil)
	assert.InDelta(t, 1, f.flowShare(s), 0)
}

// An alarm and a control on too little flow: of a return that is clogged to a half of its flow a sensor sees none that
// wants three quarters, and one that wants a half still sees it.
func TestTooLittleFlow(t *testing.T) {
	s := dry(20, 30)
	s.Devices[2].Clogs = Clogging{Left: 0.5, Return: 1}
	s.Devices = append(s.Devices, Device{ID: "stream", Kind: CirculationPump, Programme: -1, Thermostat: -1},
		Device{ID: "other", Kind: CirculationPump, Programme: -1, Thermostat: -1})
	s.Sensors = append(s.Sensors, Sensor{ID: "vane", Kind: FlowSensor}, Sensor{ID: "spin", Kind: FlowSensor})
	s.Conditions = append(s.Conditions, Condition{Kind: FlowRunning, Sensor: 2, Negate: true, LeastFlow: 0.75},
		Condition{Kind: FlowRunning, Sensor: 3, Negate: true, LeastFlow: 0.5})
	s.Controls = append(s.Controls, Control{ID: "a", Kind: Regulator, Condition: 2},
		Control{ID: "b", Kind: Regulator, Condition: 3})
	s.Relays = append(s.Relays, Relay{Control: 2, Device: 4, Target: -1}, Relay{Control: 3, Device: 5, Target: -1})
	s.Ways = []Way{{Kind: Cellular, Circuit: -1}}
	s.Alarms = []Alarm{{ID: "little", Condition: 2, Circuit: -1, Ways: []int{0}},
		{ID: "none", Condition: 3, Circuit: -1, Ways: []int{0}}}
	for _, c := range []struct {
		name         string
		in           []Injection
		little, none bool
	}{
		{"well", nil, false, false}, {"clogged", []Injection{{Fault: Clogged, Index: 2}}, true, false},
		{"stands", []Injection{{Fault: DeviceDead, Index: 2}}, true, true},
	} {
		out, err := Run(context.Background(), s, nil, c.in, 3600)
		require.NoError(t, err)
		alarms := out.Alarms(c.in)
		for i, seen := range []bool{c.little, c.none} {
			want, raised := 0.0, Never
			if seen {
				want, raised = 3600, 0
			}
			assert.InDelta(t, want, out.Devices[4+i].OnS, 1e-6, c.name)
			assert.InDelta(t, raised, alarms[i], 1e-6, c.name)
		}
	}
}

// Settling lets a tank find its rhythm for three days and gives it back as somebody leaves it: refilled, at its line
// and salinity, at the same hour, as warm and as lit as it came to be.
func TestSettlingLeavesATankAsItIsLeft(t *testing.T) {
	s := bench()
	run, err := Run(context.Background(), s, nil, nil, 3*daySeconds)
	require.NoError(t, err)
	end := run.End()
	require.Less(t, end.StoredL[0], 25.0)
	start, marks, events, err := Settle(context.Background(), s, nil)
	require.NoError(t, err)
	assert.Empty(t, marks)
	assert.Len(t, run.Segments, events)
	assert.Equal(t, end.TempC, start.TempC)
	assert.InDelta(t, end.OxygenMgL, start.OxygenMgL, 0)
	assert.InDelta(t, 8*3600, start.Second, 1e-6)
	assert.InDelta(t, 0, start.LevelL, 0)
	assert.Equal(t, []float64{30}, start.StoredL)
	assert.Equal(t, [2]float64{35 * 300, 35 * 60}, start.Salt)
	assert.True(t, start.Flowing)
	assert.False(t, start.Lit)
	assert.InDelta(t, 12*3600, start.SameLitS, 1e-3, "dark since 20:00")
	// A lamp that never went out has been seen the day before.
	long := State{SameLitS: 5 * daySeconds}
	assert.InDelta(t, daySeconds, long.Refilled(s).SameLitS, 0)

	s.Reservoirs[0].VolumeL = 1
	_, marks, _, err = Settle(context.Background(), s, []Injection{{Fault: SensorOffset, Value: 0.1}})
	require.NoError(t, err)
	require.NotEmpty(t, marks)
	assert.Equal(t, ReservoirRanEmpty, marks[0].Kind)

	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, _, _, err = Settle(ctx, bench(), nil)
	assert.ErrorIs(t, err, context.Canceled)
}
