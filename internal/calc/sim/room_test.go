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

// A room that goes one way for eight hours without mains and comes back, held against a fine integration of its
// exponential: the water is on the cautious side of it all the time, by no more than the step of the losses, and the
// room is the exponential itself.
func TestARoomThatTurnsRound(t *testing.T) {
	const tau, outage = 12 * 3600.0, 8 * 3600.0
	for _, c := range []struct {
		name string
		kind DeviceKind
		endC float64
		side float64
	}{{"colder", RoomHeater, 8, -1}, {"warmer", RoomCooler, 32, 1}} {
		s := cooling()
		s.OutageS = outage
		s.Devices[0].Kind, s.Devices[0].Room.WithoutC = c.kind, c.endC
		s.Airs = nil
		for k := 1; k <= airSteps; k++ {
			roomC := 20 + (c.endC-20)*float64(k)/airSteps
			s.Airs = append(s.Airs, Air{TempC: roomC, Bands: [2][]Band{straight(Line{Const: -8 * roomC, Slope: 8},
				Line{})}})
		}
		turned := 12 * (1 - math.Exp(-outage/tau))
		room := func(at float64) float64 {
			if at <= outage {
				return 20 + c.side*12*(1-math.Exp(-at/tau))
			}
			return 20 + c.side*turned*math.Exp(-(at-outage)/tau)
		}
		for _, hours := range []float64{2, 6, 8, 9, 12, 20, 40, 60, 200} {
			out, err := Run(context.Background(), s, nil, []Injection{{Fault: MainsLost}}, hours*3600)
			require.NoError(t, err)
			exact, dt := 25.0, 1.0
			for at := 0.0; at < hours*3600; at += dt {
				exact -= dt * 8 / (200 * 4000) * (exact - room(at+dt/2))
			}
			ahead := c.side * (out.End().TempC[0] - exact)
			assert.Greater(t, ahead, -1e-3, "%s, %g h", c.name, hours)
			assert.Less(t, ahead, 1.0, "%s, %g h: two thirds of a step at most", c.name, hours)
			assert.InDelta(t, room(hours*3600), out.Segments[len(out.Segments)-1].room.At(0), airBackK, "%s, %g h",
				c.name,
				hours)
			if hours == 200 {
				assert.Less(t, ahead, 0.05, "%s: as usual for days", c.name)
			}
			if hours < 40 {
				assert.InDelta(t, room(hours*3600), out.Segments[len(out.Segments)-1].room.At(0), 1e-6, "%s, %g h",
					c.name,
					hours)
			}
		}
	}
}

// Where the room goes: only when all devices of a kind have stopped, to what the farthest of them keeps it from, and as
// fast as the fastest. A unit that would be kept from the other side keeps it from nothing. In hours and by hand: half
// of the way from 20 °C takes the time constant times ln 2.
func TestWhereARoomGoes(t *testing.T) {
	unit := func(kind DeviceKind, withoutC, hours float64) Device {
		return Device{Kind: kind, Programme: -1, Thermostat: -1, Room: RoomUnit{WithoutC: withoutC, TauS: hours * 3600}}
	}
	dead := func(devices ...int) (in []Injection) {
		for _, i := range devices {
			in = append(in, Injection{Fault: DeviceDead, Index: i})
		}
		return in
	}
	heaters := []Device{unit(RoomHeater, 12, 12), unit(RoomHeater, 8, 6), unit(RoomHeater, 26, 24)}
	coolers := []Device{unit(RoomCooler, 24, 12), unit(RoomCooler, 28, 6), unit(RoomCooler, 14, 24)}
	for _, c := range []struct {
		name    string
		devices []Device
		in      []Injection
		halfC   float64
		hours   float64 // of half the way; 0: it does not go there
	}{
		{"one of three heaters", heaters, dead(1), 14, 0}, {"two of three", heaters, dead(0, 1), 14, 0},
		{"all heaters", heaters, dead(0, 1, 2), 14, 6 * math.Ln2}, {"all coolers", coolers, dead(0, 1, 2), 24,
			6 * math.Ln2},
		{"two of three coolers", coolers, dead(0, 1), 24, 0},
		{"a heater that keeps it from nothing", heaters[2:], dead(0), 23, 0},
		{"a cooler that keeps it from nothing", coolers[2:], dead(0), 17, 0},
	} {
		s := cooling()
		s.Devices = c.devices
		s.Airs = nil
		for tempC := 6.0; tempC <= 30; tempC++ {
			if tempC != 20 {
				s.Airs = append(s.Airs, Air{TempC: tempC,
					Bands: [2][]Band{straight(Line{Const: -8 * tempC, Slope: 8}, Line{})}})
			}
		}
		out, err := Run(context.Background(), s, nil, c.in, c.hours*3600+1)
		require.NoError(t, err)
		end := out.Segments[len(out.Segments)-1].room.At(0)
		if c.hours == 0 {
			out, err = Run(context.Background(), s, nil, c.in, 48*3600)
			require.NoError(t, err)
			assert.InDelta(t, 20, out.Segments[len(out.Segments)-1].room.At(0), 1e-9, c.name)
			continue
		}
		assert.InDelta(t, c.halfC, end, 1e-3, c.name)
	}
}
