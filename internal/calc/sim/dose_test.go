package sim

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Worked by hand: water that stays at 30.5 °C, 4 K over 26.5 °C, takes a week to 4 and two weeks to 8 degree-weeks; at
// 27.4 °C it never begins to count. Cooling from 30 towards 20 °C with a time constant of ten days it counts until
// 27.5 °C, which comes after 10 d·ln(10/7.5) = 2.877 d and has added up 10·10·(1 - 0.75) - 6.5·2.877 = 6.3 K d by then.
func TestHeatAddsUp(t *testing.T) {
	with := func(startC, roomC, tauDays float64) *Course {
		s := still(100, 35, 0)
		slope := 100 * s.VolumicHeatJLK / (tauDays * daySeconds)
		s.Node[Display].Bands = straight(Line{-slope * roomC, slope}, Line{})
		s.TempStartC = startC
		s.Chamber = Chamber{AreaM2: 1, WideAreaM2: 1, IntakeMM: -1e6, FloorMM: -1e6, RimMM: 1e6, BaffleMM: 1e6}
		s.HeatDose = Dose{FromC: 27.5, OverC: 26.5, Harm: 4 * 7 * daySeconds, Loss: 8 * 7 * daySeconds}
		s.Limits[Overheated] = Limit{Active: true, Comfort: 27.5, Harm: Edge{At: 40}}
		out, err := Run(context.Background(), s, nil, nil, 30*daySeconds)
		require.NoError(t, err)
		return out
	}
	steady := with(30.5, 30.5, 10)
	assert.InDelta(t, 7, steady.Harms()[Overheated]/daySeconds, 1e-6)
	assert.InDelta(t, 14, steady.Losses()[Overheated]/daySeconds, 1e-6)
	assert.Equal(t, Never, with(27.4, 27.4, 10).Harms()[Overheated])
	cooling := with(30, 20, 10)
	added := 100*0.25 - 6.5*10*math.Log(10/7.5)
	assert.InDelta(t, 6.3, added, 0.01)
	at := cooling.dosed(27.5, 26.5, (added-1e-6)*daySeconds)
	assert.InDelta(t, 10*math.Log(10/7.5), at/daySeconds, 1e-3)
	assert.Equal(t, Never, cooling.dosed(27.5, 26.5, (added+1e-3)*daySeconds))
}

// Heat that falls short for a while within one stretch of a day, as a lamp's ramp makes it: water of 28 °C in a room of
// 20 °C cools in a time constant of 5 h while a lamp comes up to 12 K more within 24 h,
//
//	T = 17.5 + 0.5·t + 10.5·exp(-t/5)
//
// and what is above 27.5 °C at both ends counts, and nothing between, held against a sum over seconds.
func TestHeatThatComesTwice(t *testing.T) {
	s := still(100, 35, 0)
	const slope = 100 * 4000 / (5 * 3600.0)
	s.Node[Display].Bands = straight(Line{-slope * 20, slope}, Line{})
	s.TempStartC = 28
	s.Chamber = Chamber{AreaM2: 1, WideAreaM2: 1, IntakeMM: -1e6, FloorMM: -1e6, RimMM: 1e6, BaffleMM: 1e6}
	s.Programmes = []Programme{{{0, daySeconds, 0, 1}}}
	s.Devices = []Device{{Kind: Light, HeatW: [2]float64{slope * 12}, Programme: 0, Thermostat: -1}}
	const h = 3600.0
	for _, segments := range []int{2, 6} { // by itself, and while a pump comes and goes
		if segments > 2 {
			s.Programmes = append(s.Programmes, Programme{{0, 0.5 * h, 0, 0}, {0.5 * h, 6 * h, 1, 1},
				{6 * h, 21 * h, 0, 0}, {21 * h, 22 * h, 1, 1}, {22 * h, 24 * h, 0, 0}})
			s.Controls = []Control{{ID: "hours", Kind: Timer, Programme: 1}}
			s.Devices = append(s.Devices, Device{Kind: CirculationPump, Programme: -1, Thermostat: -1})
			s.Relays = []Relay{{Control: 0, Device: 1, Target: -1}}
		}
		c, err := Run(context.Background(), s, nil, nil, daySeconds)
		require.NoError(t, err)
		require.Len(t, c.Segments, segments)
		heatComesTwice(t, c)
	}
}

func heatComesTwice(t *testing.T, c *Course) {
	t.Helper()
	temp := func(h float64) float64 { return 17.5 + 0.5*h + 10.5*math.Exp(-h/5) }
	dose, early := 0.0, 0.0
	for second := range int(daySeconds) {
		at := (float64(second) + 0.5) / 3600
		if temp(at) >= 27.5 {
			dose += temp(at) - 26.5
		}
		if second == 10*3600 {
			early = dose
		}
	}
	require.Greater(t, early, 100.0)
	for _, share := range []float64{0.3, 0.9} {
		at := c.dosed(27.5, 26.5, early+share*(dose-early))
		require.NotEqual(t, Never, at)
		sum := 0.0
		for second := range int(at) {
			if x := temp((float64(second) + 0.5) / 3600); x >= 27.5 {
				sum += x - 26.5
			}
		}
		assert.InDelta(t, early+share*(dose-early), sum, 10, "within seconds")
	}
	assert.Less(t, c.dosed(27.5, 26.5, early/2), 3600.0)
	assert.Equal(t, Never, c.dosed(27.5, 26.5, dose+10))
}
