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
