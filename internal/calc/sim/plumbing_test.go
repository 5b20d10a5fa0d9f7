package sim

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// dry is the bench without evaporation: 300 L over 60 L, a chamber of 0.06 m² with its intake 120 mm lower, 7.2 L.
func dry(freeL, reservoirL float64) *System {
	s := bench()
	for n := range s.Nodes {
		for i := range s.Node[n].Bands {
			s.Node[n].Bands[i].EvaporationLS = [2]Line{}
		}
	}
	s.Overflows, s.DisplayFreeL, s.Reservoirs[0].VolumeL = 1, freeL, reservoirL
	return s
}

// Worked by hand. The pump lifts the 7.2 L above its intake. Into 20 L of freeboard they fit; of 5 L, 2.2 L run over
// the rim. The float is dry, so that the top-off pump sends all its 30 L up after them: with 20 L of freeboard
// 7.2 + 30 - 20 = 17.2 L are on the floor, of which the first litre brought no fresh water with it. When the pump
// stops after that, the display runs back by what it holds more than usual and the usual 12 L.
func TestABlockedOverflow(t *testing.T) {
	blocked := []Injection{{Fault: WeirBlocked}}
	noTopOff := []Injection{{Fault: WeirBlocked}, {Fault: DeviceDead, Index: 3}}
	run := func(s *System, in []Injection, hours float64) *Course {
		t.Helper()
		out, err := Run(context.Background(), s, nil, in, hours*3600)
		require.NoError(t, err)
		assert.Less(t, out.Balance.WorstRelative(), 1e-10)
		return out
	}
	out := run(dry(20, 30), noTopOff, 3)
	assert.InDelta(t, 0, out.End().SpilledL, 1e-9)
	assert.InDelta(t, -7.2, out.End().LevelL, 1e-9)
	assert.InDelta(t, -12-7.2, out.End().DeficitL, 1e-9, "what it lacks of the display that has run back")
	assert.InDelta(t, 0, out.Harms()[RunDry], 1e-9)

	out = run(dry(5, 30), noTopOff, 3)
	assert.InDelta(t, 2.2, out.End().SpilledL, 1e-9)
	assert.InDelta(t, 35, out.Peaks().SalinityMin, 1e-9, "what spills is as salty")

	out = run(dry(20, 30), blocked, 3)
	assert.InDelta(t, 17.2, out.End().SpilledL, 1e-9)
	assert.InDelta(t, 0, out.End().StoredL[0], 1e-9)
	// 12.8 L of fresh water into 307.2 L, then 17.2 L through 320 L that are always full.
	want := 35 * 307.2 / 320 * 0.9476681
	assert.InDelta(t, want, out.Peaks().SalinityMin, 1e-4, "exp(-17.2/320) = 0.9476681")

	both := run(func() *System { s := dry(20, 30); s.Overflows = 2; return s }(), blocked, 3)
	assert.InDelta(t, 0, both.End().SpilledL, 1e-9, "the other overflow carries all")
	assert.InDelta(t, 0, both.End().LevelL, 0.31, "at its line, within the float's dead band")
}

// A switch in the display sees it rise: 10 mm of 0.5 m² are 5 L, reached at once.
func TestASwitchInTheDisplay(t *testing.T) {
	s := dry(20, 30)
	s.Sensors = append(s.Sensors, Sensor{ID: "rim", Kind: LevelSensor})
	s.Comparators = append(s.Comparators, Comparator{Quantity: DisplayLevel, Low: 4, High: 5, Sensor: 2})
	s.Conditions = append(s.Conditions, Condition{Kind: ComparatorTrue, Index: 3, Sensor: 2})
	s.Ways = []Way{{Kind: Cellular, Circuit: -1}}
	s.Alarms = []Alarm{{ID: "rises", Condition: 2, Circuit: -1, Ways: []int{0}, DelayS: 60}}
	for _, c := range []struct {
		in   []Injection
		want float64
	}{{nil, Never}, {[]Injection{{Fault: WeirBlocked}}, 60}, {[]Injection{{Fault: DeviceDead, Index: 2}}, Never}} {
		out, err := Run(context.Background(), s, nil, c.in, 3*3600)
		require.NoError(t, err)
		assert.InDelta(t, c.want, out.Alarms(c.in)[0], 1e-6)
	}
}

// A nozzle 60 mm under 0.5 m² lets 30 L run back, of which the sump holds 40.2 L; 100 mm are 50 L and spill 9.8 L. A
// hole or valve stops it until it fails.
func TestWhatRunsBack(t *testing.T) {
	stop := []Injection{{Fault: DeviceDead, Index: 2}, {Fault: DeviceDead, Index: 3}}
	for _, c := range []struct {
		depthL, level, spilled float64
		stops, fails           bool
	}{
		{30, 30, 0, false, false}, {50, 40.2, 9.8, false, false}, {50, 12, 0, true, false}, {50, 40.2, 9.8, true, true},
	} {
		s := dry(20, 30)
		s.ReturnLines = []ReturnLine{{ID: "line", DepthL: c.depthL, Stops: c.stops}}
		if !c.stops {
			s.DrainBackL = max(s.DrainBackL, c.depthL)
		}
		in := stop
		if c.fails {
			in = append([]Injection{{Fault: LineDrains}}, stop...)
		}
		out, err := Run(context.Background(), s, nil, in, 3600)
		require.NoError(t, err)
		assert.InDelta(t, c.level, out.End().LevelL, 1e-9)
		assert.InDelta(t, c.spilled, out.End().SpilledL, 1e-9)
		assert.Less(t, out.Balance.WorstRelative(), 1e-10)
	}
}
