package sim

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// seeping is 200 L over 0.5 m² with a leak 100 mm under the line, 50 L, of 10 L/h.
func seeping(evaporationLS float64) *System {
	s := still(200, 35, evaporationLS)
	s.Chamber = Chamber{AreaM2: 0.5, BaffleMM: 1e3, WideAreaM2: 0.5, IntakeMM: -1e3, FloorMM: -1e6, RimMM: 1e3}
	s.Leaks = []Leak{{ID: "seam", AtL: -50, FlowLS: 10.0 / 3600}}
	return s
}

var opens = []Injection{{Fault: LeakOpens}}

// By hand: 50 L in five hours, no more, as salty as before. Torricelli's outflow from a height h slows down as the root
// of what is left, h = h0·(1 - t/2T)² with T the time at full rate, and is never ahead: half has run out after 0.586 T
// in place of 0.5 T, all of it after 2 T in place of T.
func TestALeakIsNeverBehindTorricelli(t *testing.T) {
	for _, share := range []float64{0.1, 0.25, 0.5, 0.586, 0.9, 1, 1.5, 2, 3} {
		out, err := Run(context.Background(), seeping(0), nil, opens, share*5*3600)
		require.NoError(t, err)
		torricelli := 50.0
		if share < 2 {
			torricelli = 50 * (1 - math.Pow(1-share/2, 2))
		}
		got := out.End().SpilledL
		assert.InDelta(t, 50*math.Min(1, share), got, 1e-5, "%g T", share)
		assert.GreaterOrEqual(t, got, torricelli-1e-5, "%g T", share)
		assert.LessOrEqual(t, got-torricelli, 50*0.25+1e-6, "a quarter of it ahead at most, at T")
		assert.InDelta(t, 35, out.End().Salt[0]/(200+out.End().LevelL), 1e-9)
		assert.Less(t, out.Balance.WorstRelative(), 1e-10)
	}
}

// Salinity under a leak and evaporation together, held against a fine integration: within 1.5 % of its change.
func TestSaltOfALeak(t *testing.T) {
	const e = 4.0 / 3600
	out, err := Run(context.Background(), seeping(e), nil, opens, 4*3600)
	require.NoError(t, err)
	volume, salt := 200.0, 7000.0
	for range 4 * 3600 {
		salt -= 10.0 / 3600 * salt / volume
		volume -= 10.0/3600 + e
	}
	got, want := out.End().Salt[0]/(200+out.End().LevelL), salt/volume
	assert.InDelta(t, want-35, got-35, 0.015*(want-35))
	assert.Less(t, out.Balance.WorstRelative(), 1e-10)
}

// By hand, on the bench without top-off: a leak 60 mm under the line of 0.5 m² over a sump. 20 L/h take the 7.2 L above
// the intake in 0.36 h; the pump draws air, 12 L run back, and 18 more run out above the leak: 25.2 L after 1.26 h. A
// hose loses the 7.2 L and no more. A leak in the sump 50 mm under its line loses 3 L and leaves the pump its water.
func TestLeaksOverASump(t *testing.T) {
	for _, c := range []struct {
		name    string
		leak    Leak
		spilled float64
		airless float64
	}{
		{"display", Leak{Node: Display, AtL: -30, FlowLS: 20.0 / 3600}, 25.2, 0.36},
		{"hose", Leak{Node: Sump, Pumped: true, FlowLS: 20.0 / 3600}, 7.2, 0.36},
		{"sump", Leak{Node: Sump, AtL: -3, FlowLS: 20.0 / 3600}, 3, Never},
		{"above the line", Leak{Node: Display, AtL: 1, FlowLS: 20.0 / 3600}, 0, Never},
		{"at the line", Leak{Node: Display, AtL: 0, FlowLS: 20.0 / 3600}, 0, Never},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := dry(20, 30)
			s.Leaks = []Leak{c.leak}
			in := append([]Injection{{Fault: DeviceDead, Index: 3}}, opens...)
			out, err := Run(context.Background(), s, nil, in, 1.25*3600)
			require.NoError(t, err)
			if c.name == "display" {
				assert.InDelta(t, 25, out.End().SpilledL, 1e-5, "20 L/h all the time but none yet lost")
			}
			out, err = Run(context.Background(), s, nil, in, 10*3600)
			require.NoError(t, err)
			assert.InDelta(t, c.spilled, out.End().SpilledL, 1e-5)
			if c.airless != Never {
				assert.InDelta(t, c.airless*3600, out.Harms()[RunDry], 1e-3)
			} else {
				assert.Equal(t, Never, out.Harms()[RunDry])
			}
			assert.Less(t, out.Balance.WorstRelative(), 1e-10)
		})
	}
}

// A sump that stands alone, 72 L, leaks 10 L/h and loses 3 L/h to the air: what leaks is as salty as it is, held
// against a fine integration, within 1.5 % of the change. The display keeps its salt.
func TestSaltOfASumpThatLeaksAlone(t *testing.T) {
	s := dry(20, 30)
	for i := range s.Node[Sump].Bands {
		s.Node[Sump].Bands[i].EvaporationLS = [2]Line{{Const: 3.0 / 3600}, {Const: 3.0 / 3600}}
	}
	s.Leaks = []Leak{{ID: "seam", Node: Sump, AtL: -50, FlowLS: 10.0 / 3600}}
	in := append([]Injection{{Fault: DeviceDead, Index: 2}, {Fault: DeviceDead, Index: 3}}, opens...)
	out, err := Run(context.Background(), s, nil, in, 3*3600)
	require.NoError(t, err)
	volume, salt := 72.0, 72*35.0
	for range 3 * 3600 {
		salt -= 10.0 / 3600 * salt / volume
		volume -= 13.0 / 3600
	}
	end := out.End()
	assert.InDelta(t, volume, 60+end.LevelL, 1e-6)
	assert.InDelta(t, salt/volume-35, end.Salt[Sump]/volume-35, 0.015*(salt/volume-35))
	assert.InDelta(t, 288*35, end.Salt[Display], 1e-9)
	assert.InDelta(t, 30, end.SpilledL, 1e-6)
	assert.Less(t, out.Balance.WorstRelative(), 1e-10)
}
