package sim

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// two compressors of 400 W that draw six times as much for half a second, on a circuit of 10 A at 230 V whose breaker
// of type B may open from 30 A on, 6900 W. They are heaters here, so that what they bring is easily counted.
func compressors(n int) *System {
	s := still(200, 35, 0)
	s.OutageS = 3600
	s.Circuits = []Circuit{{ID: "house", RatingW: 2300, AtOnceW: 6900}}
	for range n {
		s.Devices = append(s.Devices, Device{Kind: Heater, HeatW: [2]float64{400}, ElectricW: 400, Programme: -1,
			Thermostat: -1, Starts: Starting{Times: 6, ForS: 0.5}})
	}
	return s
}

// By hand: two draw 4800 W as they start at once, and run. Three draw 7200 W, and the circuit opens when mains return
// after an hour, and stays open. With the third a second later 4800 + 0 W, then 800 + 2400 W: all run, 3 h and 1 s less.
// With 0.2 s between, the first two are still starting: 7200 W again.
func TestACircuitOpensAtReturn(t *testing.T) {
	cases := []struct {
		name    string
		devices int
		afterS  float64 // of the last one
		times   float64
		opens   bool
	}{
		{"two at once", 2, 0, 6, false},
		{"three at once", 3, 0, 6, true},
		{"the third a second later", 3, 1, 6, false},
		{"the third while the others start", 3, 0.2, 6, true},
		{"the third without more at first", 3, 0, 1, false},
		{"exactly what it stands", 3, 0, 5.25, false}, // 4800 + 2100
	}
	for _, c := range cases {
		s := compressors(c.devices)
		last := &s.Devices[len(s.Devices)-1].Starts
		last.AfterS, last.Times = c.afterS, c.times
		out, err := Run(t.Context(), s, nil, []Injection{{Fault: MainsLost}}, 4*3600)
		require.NoError(t, err)
		want := 3 * 3600.0
		if c.opens {
			want = 0
		}
		assert.InDelta(t, want, out.Devices[0].OnS, 0.3, c.name)
		assert.InDelta(t, want-map[bool]float64{false: c.afterS}[c.opens], out.Devices[len(s.Devices)-1].OnS, 0.3, c.name)
		assert.Less(t, out.Balance.WorstRelative(), 1e-10, c.name)
	}
}

// What runs as a run begins has run before; what mains feed all the time never starts.
func TestWhatRunsDoesNotStart(t *testing.T) {
	out, err := Run(t.Context(), compressors(3), nil, nil, 3600)
	require.NoError(t, err)
	assert.InDelta(t, 3600, out.Devices[2].OnS, 1e-6)
}

// A device that comes back ten minutes after its circuit is off for ten minutes more, at each return.
func TestADeviceComesBackLater(t *testing.T) {
	s := compressors(1)
	s.Devices[0].Starts = Starting{AfterS: 600}
	s.Sources = []Source{{Circuits: []int{0}, FromS: 1200, ToS: 1500}} // a generator for five minutes: too short
	out, err := Run(t.Context(), s, nil, []Injection{{Fault: MainsLost}}, 3*3600)
	require.NoError(t, err)
	assert.InDelta(t, 2*3600-600, out.Devices[0].OnS, 1e-6)
	s.Sources[0].ToS = 2400 // for twenty: ten of them
	out, err = Run(t.Context(), s, nil, []Injection{{Fault: MainsLost}}, 3*3600)
	require.NoError(t, err)
	assert.InDelta(t, 2*3600-600+600, out.Devices[0].OnS, 1e-6)
}
