package sim

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// siphonBench is a vessel of 0.1 m² that widens to 0.3 m² 20 mm above the normal line, in which nothing evaporates, and
// a reservoir of 0.1 m² from which a pump of 60 L/h takes one litre in the first minute.
func siphonBench(fullMM, lineEndMM float64) *System {
	s := still(200, 35, 0)
	s.Chamber = Chamber{AreaM2: 0.1, BaffleMM: 20, WideAreaM2: 0.3, IntakeMM: -1e4, FloorMM: -1e6, RimMM: 1e4}
	s.Programmes = []Programme{{{0, 60, 1, 1}, {60, 86400, 0, 0}}}
	s.Controls = []Control{{ID: "timer", Kind: Timer, Programme: 0}}
	s.Relays = []Relay{{Control: 0, Device: 0, Target: -1}}
	s.Devices = []Device{{ID: "pump", Kind: TopOffPump, FlowLS: 1.0 / 60, Programme: -1, Thermostat: -1}}
	s.Reservoirs = []Reservoir{{ID: "r", VolumeL: 40, SiphonLS: 0.01, AreaM2: 0.1, EmptyMM: fullMM - 400,
		LineEndMM: lineEndMM}}
	return s
}

// Worked by hand. A litre is 10 mm of this reservoir.
//
//	ends in the air       1 mm of head is left when the pump stops: 0.1 L run on, ten seconds long
//	ends 300 mm lower     300 mm of head are 30 L of it
//	below the bottom      all of it: 40 L, less the pump's one
//	ends under water      levels meet at x: 10 L - 0.1 x = V(x), narrow up to 20 mm and wide above. The pump leaves
//	                      100 mm here and 10 mm there. 0.1·(100 - x) + 1 = 0.1·20 + 0.3·(x - 20) gives x = 37.5 mm,
//	                      so that 6.25 L run on
//	the same, narrow      20 mm here and 10 mm there: they meet at 15 mm, 0.5 L
//	ends above its water  nothing
func TestSiphonsByHand(t *testing.T) {
	cases := []struct {
		name           string
		fullMM, lineMM float64
		ranOnL         float64
	}{
		{"ends in the air", 511, 500, 0.1},
		{"ends 300 mm lower", 810, 500, 30},
		{"below the bottom", 1000, 500, 39},
		{"ends under water", 110, -50, 6.25},
		{"the same, narrow", 30, -50, 0.5},
		{"ends above its water", 500, 505, 0},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			s := siphonBench(c.fullMM, c.lineMM)
			out, err := Run(context.Background(), s, nil, nil, 20*3600)
			require.NoError(t, err)
			end := out.End()
			assert.InDelta(t, 39-c.ranOnL, end.StoredL[0], 1e-3)
			assert.InDelta(t, 1+c.ranOnL, end.LevelL, 1e-3)
			assert.Less(t, out.Balance.WorstRelative(), 1e-10)

			s.Reservoirs[0].Break = true
			out, err = Run(context.Background(), s, nil, nil, 20*3600)
			require.NoError(t, err)
			assert.InDelta(t, 39, out.End().StoredL[0], 1e-9, "a break stops it")
			out, err = Run(context.Background(), s, nil, []Injection{{Fault: BreakBlocked, Index: 0}}, 20*3600)
			require.NoError(t, err)
			assert.InDelta(t, end.StoredL[0], out.End().StoredL[0], 1e-9, "until it is blocked")
		})
	}
	// One millimetre of head under a full reservoir of 114 L and 0.228 m² is 0.228 L, not 114 L; the pump takes them.
	s := siphonBench(0, 0)
	s.Reservoirs[0] = Reservoir{ID: "r", VolumeL: 114, SiphonLS: 0.01, AreaM2: 0.228, EmptyMM: 1 - 500, LineEndMM: 0}
	s.Chamber.BaffleMM = 1e3
	s.Devices[0].FlowLS = 0.01 / 60
	out, err := Run(context.Background(), s, nil, nil, 20*3600)
	require.NoError(t, err)
	// The line ends at the normal line, which the water rises above: equal levels x = 0.228/(0.228 + 0.1) = 0.695 mm.
	assert.InDelta(t, 0.1*0.228/(0.228+0.1), out.End().LevelL, 1e-3)
}
