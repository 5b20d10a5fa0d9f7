package sim

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// brined is dry with no top-off and a pump of 10 L/h that brings water of 70 for good.
func brined(freeL float64) *System {
	s := dry(freeL, 30)
	s.Reservoirs = append(s.Reservoirs, Reservoir{ID: "brine", VolumeL: 1000, Container: true,
		Holds: Contents{Salinity: 70}})
	s.Devices = append(s.Devices, Device{ID: "brine", Kind: Doser, FlowLS: 10.0 / 3600, Reservoir: 1, Programme: -1,
		Thermostat: -1})
	return s
}

func salinities(c *Course) (display, sump float64) {
	end := c.End()
	volume := 300.0
	if !end.Flowing {
		volume = 288 - end.DeficitL
	}
	return end.Salt[Display] / volume, end.Salt[Sump] / (60 + end.LevelL)
}

// Salt water that comes while a blocked overflow holds the water up in the display, by hand: the pump has lifted 7.2 L,
// so that 307.2 L take 10 L/h of 70 and 12.8 L are left below the rim. After that 320 L stay full, and what comes drives
// out as much: S = 70 - (70 - S1)·exp(-litres/320). The sump keeps its 35.
func TestSaltOfWaterThatIsHeldUp(t *testing.T) {
	in := []Injection{{Fault: WeirBlocked}, {Fault: DeviceDead, Index: 3}}
	full := (35*307.2 + 70*12.8) / 320
	for _, c := range []struct{ hours, display, spilled float64 }{
		{1, (35*307.2 + 700) / 317.2, 0}, {1.28, full, 0},
		{3, 70 - (70-full)*math.Exp(-17.2/320), 17.2},
	} {
		out, err := Run(context.Background(), brined(20), nil, in, c.hours*3600)
		require.NoError(t, err)
		display, sump := salinities(out)
		assert.InDelta(t, c.display, display, 1e-6, "%g h", c.hours)
		assert.InDelta(t, 35, sump, 1e-9, "%g h", c.hours)
		assert.InDelta(t, c.spilled, out.End().SpilledL, 1e-6, "%g h", c.hours)
		assert.InDelta(t, c.display, out.Peaks().SalinityMax, 1e-6, "%g h", c.hours)
		assert.InDelta(t, 35, out.Peaks().SalinityMin, 1e-6, "%g h", c.hours)
		assert.Less(t, out.Balance.WorstRelative(), 1e-10)
	}
}

// The same while the return stands: 12 L have run back, the sump's 72 L take all of it up to its rim, 28.2 L higher, and
// then drive out as much. The display keeps its 35.
func TestSaltOfASumpThatStandsAlone(t *testing.T) {
	in := []Injection{{Fault: DeviceDead, Index: 2}, {Fault: DeviceDead, Index: 3}}
	full := (35*72 + 70*28.2) / 100.2
	for _, c := range []struct{ hours, sump, spilled float64 }{
		{1, (35*72 + 700) / 82.0, 0}, {4, 70 - (70-full)*math.Exp(-11.8/100.2), 11.8},
	} {
		out, err := Run(context.Background(), brined(20), nil, in, c.hours*3600)
		require.NoError(t, err)
		display, sump := salinities(out)
		assert.InDelta(t, 35, display, 1e-9, "%g h", c.hours)
		assert.InDelta(t, c.sump, sump, 1e-6, "%g h", c.hours)
		assert.InDelta(t, c.spilled, out.End().SpilledL, 1e-6, "%g h", c.hours)
		assert.InDelta(t, 35, out.Peaks().SalinityMax, 1e-9, "the display's")
		assert.Less(t, out.Balance.WorstRelative(), 1e-10)
	}
	// The display leaks 10 L/h meanwhile: that takes its salt along, and leaves its salinity.
	s := brined(20)
	s.Leaks = []Leak{{ID: "seam", Node: Display, AtL: -200, FlowLS: 10.0 / 3600}}
	out, err := Run(context.Background(), s, nil, append(in, opens...), 2*3600)
	require.NoError(t, err)
	display, sump := salinities(out)
	assert.InDelta(t, 35, display, 1e-6)
	assert.InDelta(t, (35*72+1400)/92.0, sump, 1e-6)
	assert.InDelta(t, 20, out.End().SpilledL, 1e-6)
	assert.InDelta(t, 35*268, out.End().Salt[Display], 1e-3)
	assert.Less(t, out.Balance.WorstRelative(), 1e-10)
}

// The same with the return running, evaporation of 4 L/h and a drain of 3 L/h: 360 L mixed. Salt comes in with 10 L/h
// of 70 and leaves with the drain alone: V dS/dt = 700 - 6·S as long as the volume grows by 3 L/h, which is
// S = 700/6 - (700/6 - 35)·(1 + 3·t/360)^(-6/3).
func TestSaltOfAllWaterThatIsChanged(t *testing.T) {
	s := brined(20)
	for i := range s.Node[Sump].Bands {
		s.Node[Display].Bands[i].EvaporationLS = [2]Line{{Const: 1.0 / 3600}, {Const: 1.0 / 3600}}
		s.Node[Sump].Bands[i].EvaporationLS = [2]Line{{Const: 3.0 / 3600}, {Const: 3.0 / 3600}}
	}
	s.Devices = append(s.Devices, Device{ID: "out", Kind: Drain, FlowLS: 3.0 / 3600, InletL: -5, Programme: -1,
		Thermostat: -1})
	in := []Injection{{Fault: DeviceDead, Index: 3}}
	out, err := Run(context.Background(), s, nil, in, 10*3600)
	require.NoError(t, err)
	display, sump := salinities(out)
	want := 700.0/6 - (700.0/6-35)*math.Pow(1+30/360.0, -2)
	assert.InDelta(t, want, display, 1e-6)
	assert.InDelta(t, want, sump, 1e-6)
	assert.InDelta(t, want, out.Peaks().SalinityMax, 1e-6)
	assert.InDelta(t, 30, out.End().LevelL, 1e-6)
	assert.InDelta(t, 30, out.Balance.DrainedL, 1e-6)
	assert.InDelta(t, 100, out.Balance.DosedL, 1e-6)
	assert.InDelta(t, 40, out.Balance.EvaporatedL, 1e-6)
	assert.Less(t, out.Balance.WorstRelative(), 1e-10)
}
