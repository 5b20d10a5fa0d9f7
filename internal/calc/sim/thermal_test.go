package sim

import (
	"context"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/numeric"
)

// The closed form of two vessels, coupled or each by itself and each on a ramp of its own, against plain steps of a
// second by the midpoint rule.
func TestHeatFlowAgreesWithSteps(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 2)) // fixed seed
	for n := range 30 {
		q := heatFlow{nodes: 2}
		for i := range 2 {
			q.capacity[i] = (50 + 300*r.Float64()) * 4000
			q.slope[i] = 4 + 20*r.Float64()
			q.constant[i] = q.slope[i] * (15 + 20*r.Float64())
			q.ramp[i] = (r.Float64() - 0.5) * 0.05
		}
		if n%3 > 0 {
			q.coupling = 10 + 3000*r.Float64()
		}
		start := [2]float64{20 + 10*r.Float64(), 20 + 10*r.Float64()}
		change := func(temp [2]float64, at float64) (out [2]float64) {
			for i := range out {
				watts := q.constant[i] + q.ramp[i]*at - q.slope[i]*temp[i] + q.coupling*(temp[1-i]-temp[i])
				out[i] = watts / q.capacity[i]
			}
			return out
		}
		temp := start
		const seconds = 4 * 3600
		for k := range seconds {
			a := change(temp, float64(k))
			b := change([2]float64{temp[0] + a[0]/2, temp[1] + a[1]/2}, float64(k)+0.5)
			temp[0], temp[1] = temp[0]+b[0], temp[1]+b[1]
		}
		got := q.solve(start)
		for i := range temp {
			assert.InDelta(t, start[i], got[i].At(0), 1e-9, "draw %d, vessel %d", n, i)
			assert.InDelta(t, temp[i], got[i].At(seconds), 1e-4, "draw %d, vessel %d", n, i)
		}
	}
}

// Losses of each vessel by itself: a vessel without a rate of its own leaves the other's.
func TestEachVesselDecaysAtItsOwnRate(t *testing.T) {
	q := heatFlow{nodes: 2, capacity: [2]float64{8e5, 2e5}, slope: [2]float64{8, 4}, constant: [2]float64{160, 80}}
	got := q.solve([2]float64{25, 30})
	one, other := numeric.ExpPoly{}, numeric.ExpPoly{}
	one.P[0], one.B[0], one.L[0] = 20, 5, 1e-5
	other.P[0], other.B[1], other.L[1] = 20, 10, 2e-5
	for _, at := range []float64{0, 1e4, 1e5} {
		assert.InDelta(t, one.At(at), got[Display].At(at), 1e-9)
		assert.InDelta(t, other.At(at), got[Sump].At(at), 1e-9)
	}
}

// A dead band is never narrower than what a contact could follow.
func TestDeadBandsHaveALeastWidth(t *testing.T) {
	for q, least := range map[Quantity]float64{DisplayTemp: 0.01, SumpTemp: 0.01, RoomTemp: 0.01, Level: 1e-3,
		DisplayLevel: 1e-3, Stored: 1e-3, PH: 1e-3, Salinity: 1e-6, Spill: 1e-6} {
		c := Comparator{Quantity: q, Low: 25, High: 25}
		low, high := c.band()
		assert.InDelta(t, 25-least, low, 1e-12, "quantity %d", q)
		assert.InDelta(t, 25, high, 0, "quantity %d", q)
		c.Low = 20
		low, _ = c.band()
		assert.InDelta(t, 20, low, 0, "quantity %d", q)
	}
}

// A siphon needs water that stands above the end of its line, and a line that it can run through.
func TestWhatMaySiphon(t *testing.T) {
	full := Reservoir{VolumeL: 20, SiphonLS: 0.01, AreaM2: 0.1, EmptyMM: -100, LineEndMM: 50}
	assert.True(t, full.Siphons(), "200 mm of water end 100 mm above the line, the tube 50 mm")
	for name, edit := range map[string]func(r *Reservoir){
		"nothing runs through it":   func(r *Reservoir) { r.SiphonLS = 0 },
		"it has no floor":           func(r *Reservoir) { r.AreaM2 = 0 },
		"it ends as high":           func(r *Reservoir) { r.LineEndMM = 100 },
		"it ends above the water":   func(r *Reservoir) { r.LineEndMM = 101 },
		"there is not enough in it": func(r *Reservoir) { r.VolumeL = 14 },
	} {
		r := full
		edit(&r)
		assert.False(t, r.Siphons(), name)
	}
}

// A relay's closings count after the start, and a heater's starts by its own thermostat apart from those by its relay.
func TestStartsAreCounted(t *testing.T) {
	s := ticking() // from 08:00; calls 10 to 11 and 12 to 15 o'clock
	out, err := Run(context.Background(), s, nil, nil, daySeconds)
	require.NoError(t, err)
	assert.Equal(t, []int{2}, out.RelayStarts)
	s.StartSecond = 10.5 * 3600
	out, err = Run(context.Background(), s, nil, nil, 12*3600)
	require.NoError(t, err)
	assert.Equal(t, []int{1}, out.RelayStarts, "it was closed at the start")

	out, err = Run(context.Background(), bench(), nil, nil, 2*daySeconds)
	require.NoError(t, err)
	require.Greater(t, out.Devices[0].Starts, 10)
	assert.Zero(t, out.Devices[0].ThermostatStarts)
	assert.InDelta(t, out.Devices[0].Starts, out.RelayStarts[0], 0)
	out, err = Run(context.Background(), bench(), nil, []Injection{{Fault: RelayClosed}}, 2*daySeconds)
	require.NoError(t, err)
	require.Greater(t, out.Devices[0].Starts, 5)
	assert.Equal(t, out.Devices[0].Starts, out.Devices[0].ThermostatStarts)

	// A thermostat that is open already steps in when the relay closes: here at 10 o'clock.
	s = ticking()
	s.Devices[0] = Device{Kind: Heater, HeatW: [2]float64{50}, Programme: -1, Thermostat: 0}
	s.Comparators = []Comparator{{Quantity: DisplayTemp, Low: 20, High: 24, Sensor: -1}}
	out, err = Run(context.Background(), s, nil, nil, 4*3600)
	require.NoError(t, err)
	assert.Equal(t, []Mark{{ThermostatTookOver, 0, 2 * 3600}}, out.Marks(nil))
}

// A pump that doses in a trickle runs its share of the time, a lamp on a ramp all the time that it gives light.
func TestHowLongADeviceRuns(t *testing.T) {
	s := wide()
	s.Programmes = []Programme{{{0, daySeconds, 0.02, 0.02}}, {{0, daySeconds, 0, 1}}}
	s.Reservoirs = []Reservoir{{ID: "r", VolumeL: 100, Container: true}}
	s.Devices = []Device{
		{Kind: Doser, FlowLS: 0.001, ElectricW: 5, Programme: 0, Thermostat: -1},
		{Kind: Drain, FlowLS: 0.001, ElectricW: 5, Programme: 0, Thermostat: -1, InletL: -50},
		{Kind: Light, ElectricW: 100, Programme: 1, Thermostat: -1}}
	out, err := Run(context.Background(), s, nil, nil, daySeconds)
	require.NoError(t, err)
	for _, i := range []int{0, 1} {
		assert.InDelta(t, 0.02*86400, out.Devices[i].OnS, 1e-6)
		assert.InDelta(t, 0.02*86400*5, out.Devices[i].EnergyJ, 1e-6)
	}
	assert.InDelta(t, 86400, out.Devices[2].OnS, 1e-6)
	assert.InDelta(t, 86400*100/2, out.Devices[2].EnergyJ, 1e-3)
	assert.InDelta(t, 0.02*86400*0.001, out.Balance.DosedL, 1e-9)
	assert.InDelta(t, 0.02*86400*0.001, out.Balance.DrainedL, 1e-9)
}
