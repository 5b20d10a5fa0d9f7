package sim

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// cooling is 200 L that lose 8 W/K to a room of 20 °C, with a radiator without which it comes to 8 °C in a time
// constant of 12 hours.
func cooling() *System {
	const lost = 8.0
	s := still(200, 35, 0)
	at := func(roomC float64) []Band { return straight(Line{Const: -lost * roomC, Slope: lost}, Line{}) }
	s.RoomTempC = 20
	s.Node[0].Bands = at(20)
	for k := 1; k <= airSteps; k++ {
		t := 20 - 12*float64(k)/airSteps
		s.Airs = append(s.Airs, Air{TempC: t, Bands: [2][]Band{at(t)}})
	}
	s.Devices = []Device{{ID: "radiator", Kind: RoomHeater, Programme: -1, Thermostat: -1,
		Room: RoomUnit{WithoutC: 8, TauS: 12 * 3600}}}
	return s
}

// The room is an exponential, by hand: it passes 15 °C after 12 h · ln(12/7). The water is held against a fine
// integration of the exponential itself: colder than that by no more than the eighth of the room's change by which the
// losses are ahead.
func TestARoomWithoutItsHeating(t *testing.T) {
	s := cooling()
	s.Sensors = []Sensor{{ID: "air", Kind: TemperatureSensor}}
	s.Comparators = []Comparator{{Quantity: RoomTemp, Low: 15, High: 15.2, Sensor: 0}}
	s.Conditions = []Condition{{Kind: ComparatorTrue, Index: 0, Negate: true, Sensor: 0}}
	s.Ways = []Way{{Kind: Cellular, Circuit: -1}}
	s.Alarms = []Alarm{{ID: "cold room", Condition: 0, Circuit: -1, Ways: []int{0}}}
	dead := []Injection{{Fault: DeviceDead, Index: 0}}
	worst := 0.0
	for _, hours := range []float64{3, 12, 36, 96, 400} {
		out, err := Run(context.Background(), s, nil, dead, hours*3600)
		require.NoError(t, err)
		exact, dt := 25.0, 1.0
		for at := 0.0; at < hours*3600; at += dt {
			room := 8 + 12*math.Exp(-(at+dt/2)/(12*3600))
			exact -= dt * 8 / (200 * 4000) * (exact - room)
		}
		got := out.End().TempC[0]
		assert.Less(t, got, exact+1e-3, "%g h: cautious", hours)
		assert.Less(t, exact-got, 12.0/airSteps, "%g h", hours)
		worst = max(worst, exact-got)
		assert.Less(t, out.Balance.WorstRelative(), 1e-10)
		if hours > 7 {
			assert.InDelta(t, 12*3600*math.Log(12.0/7), out.Alarms(dead)[0], 1e-3)
		}
	}
	t.Logf("the water is at most %.2f K ahead", worst)
	out, err := Run(context.Background(), s, nil, nil, 96*3600)
	require.NoError(t, err)
	assert.Equal(t, Never, out.Alarms(nil)[0])
	assert.InDelta(t, 20+5*math.Exp(-8*96*3600/(200*4000.0)), out.End().TempC[0], 1e-9)

	// Eight hours without mains: the room falls to 8 + 12·exp(-8/12) = 14.16 °C and comes back.
	s.OutageS = 8 * 3600
	s.Comparators[0].Low, s.Comparators[0].High = 14.2, 14.3
	mains := []Injection{{Fault: MainsLost}}
	out, err = Run(context.Background(), s, nil, mains, 200*3600)
	require.NoError(t, err)
	assert.InDelta(t, 12*3600*math.Log(12/6.2), out.Alarms(mains)[0], 1e-3)
	assert.InDelta(t, 20, out.Segments[len(out.Segments)-1].room.At(0), 1e-9, "as usual again")
	assert.Less(t, out.Balance.WorstRelative(), 1e-10)
}
