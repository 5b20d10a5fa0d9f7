package sim

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Worked by hand, in hours of an outage of eight.
func TestSuppliesByHand(t *testing.T) {
	const h = 3600.0
	tree := func() *System {
		return &System{OutageS: 8 * h, Circuits: []Circuit{
			{ID: "guard"}, {ID: "a", Feeder: 1}, {ID: "b", BackS: 600}, {ID: "strip", Feeder: 2},
		}}
	}
	outage := []Injection{{Fault: MainsLost}}
	cases := []struct {
		name    string
		sources []Source
		inject  []Injection
		circuit int
		first   bool
		turns   []float64
	}{
		{"dead until mains return", nil, outage, 3, false, []float64{8 * h}},
		{"comes back ten minutes late", nil, outage, 2, false, []float64{8*h + 600}},
		{"a battery of two hours on the circuit", []Source{{Circuits: []int{1}, ToS: 2 * h}}, outage, 3,
			true, []float64{2 * h, 8 * h}},
		{"one on the strip alone leaves the circuit dead", []Source{{Circuits: []int{3}, ToS: 2 * h}}, outage, 1,
			false, []float64{8 * h}},
		{"one behind the other", []Source{{Circuits: []int{1}, ToS: 2 * h}, {Circuits: []int{3}, ToS: h}}, outage, 3,
			true, []float64{3 * h, 8 * h}},
		{"a generator after a gap", []Source{{Circuits: []int{1}, FromS: h, ToS: 20 * h}}, outage, 3,
			false, []float64{h}},
		{"a generator that does not start", []Source{{Circuits: []int{1}, FromS: h, ToS: 20 * h}},
			[]Injection{{Fault: MainsLost}, {Fault: SourceDead}}, 3, false, []float64{8 * h}},
		{"the device trips and the battery carries on", []Source{{Circuits: []int{3}, ToS: 2 * h}},
			[]Injection{{Fault: CircuitLost, Index: 0}}, 3, true, []float64{2 * h}},
		{"the strip itself fails", []Source{{Circuits: []int{3}, ToS: 2 * h}},
			[]Injection{{Fault: CircuitLost, Index: 3}}, 3, false, nil},
		{"the device trips", nil, []Injection{{Fault: CircuitLost, Index: 0}}, 3, false, nil},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			s := tree()
			s.Sources = c.sources
			f := newFaultState(s, c.inject)
			got := f.supplies(s, nil)[c.circuit]
			assert.Equal(t, c.first, got.first)
			assert.Equal(t, len(c.turns), len(got.turns))
			for i := range c.turns {
				assert.InDelta(t, c.turns[i], got.turns[i], 1e-9)
			}
		})
	}
	f := newFaultState(tree(), nil)
	assert.Nil(t, f.supplies(tree(), nil))
}

// A heater of 300 W on a strip of 250 W opens it after an hour, one of 400 W after a minute; 250 W it carries.
func TestTooGreatALoadOpensInItsTime(t *testing.T) {
	for powerW, opens := range map[float64]float64{250: Never, 300: 3600, 400: 60} {
		s := still(200, 35, 0)
		s.Circuits = []Circuit{{ID: "house"}, {ID: "strip", Feeder: 1, RatingW: 250}}
		s.Devices = []Device{{ID: "heater", Kind: Heater, Circuit: 1, HeatW: [2]float64{powerW}, ElectricW: powerW,
			Programme: -1, Thermostat: -1}}
		out, err := Run(context.Background(), s, nil, nil, 5*3600)
		require.NoError(t, err)
		on := 5 * 3600.0
		if opens != Never {
			on = opens
			marks := out.Marks(nil)
			require.Len(t, marks, 1)
			assert.Equal(t, Mark{CircuitDied, 1, opens}, marks[0])
		}
		assert.InDelta(t, on, out.Devices[0].OnS, 1e-6, "%g W", powerW)
		assert.Less(t, out.Balance.WorstRelative(), 1e-10)
	}
}
