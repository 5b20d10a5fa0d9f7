package sim

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// chilled has no heater and loses heat to a room at 20 °C: from 25.5 °C it stands at 20 + 5.5 exp(-t/τ), τ = V c/UA.
func chilled() *System {
	s := still(200, 35, 0)
	s.Node[0].Bands = straight(Line{Const: -20 * 10, Slope: 10}, Line{})
	s.Chamber = Chamber{AreaM2: 1, WideAreaM2: 1, IntakeMM: -1e6, FloorMM: -1e6, BaffleMM: 1e6, RimMM: 1e6}
	s.TempStartC = 25.5
	for i := range 3 {
		s.Sensors = append(s.Sensors, Sensor{Kind: TemperatureSensor})
		s.Comparators = append(s.Comparators, Comparator{Quantity: DisplayTemp, Low: 24, High: 24.2, Sensor: i})
		s.Conditions = append(s.Conditions, Condition{Index: i, Sensor: i, Negate: true}) // below 24 °C
	}
	return s
}

// By hand: τ = 200 · 4000/10 = 80,000 s; 24 °C is reached after τ ln(5.5/4) = 25,476.3 s, and a probe that reads 1 K
// high says so after τ ln(5.5/3) = 48,490.9 s, one that reads 1 K low after τ ln(5.5/5) = 7,624.8 s.
func TestSeveralSensorsDecideByRule(t *testing.T) {
	const well, high, low = 25476.298, 48490.864, 7624.814
	faults := []Injection{{Fault: SensorOffset, Index: 0, Value: 1}, {Fault: SensorOffset, Index: 2, Value: -1}}
	lost := []Injection{{Fault: SensorLost, Index: 1}, {Fault: SensorOffset, Index: 2, Value: -1}}
	first := []Injection{{Fault: SensorLost, Index: 0}}
	none := []Injection{{Fault: SensorLost, Index: 0}, {Fault: SensorLost, Index: 1}, {Fault: SensorLost, Index: 2}}
	for _, c := range []struct {
		name   string
		most   Share
		onLoss bool
		inject []Injection
		want   float64
	}{
		{"all, well", Each, false, nil, well},
		{"all waits for the one that reads high", Each, false, faults, high},
		{"any takes the one that reads low", One, false, faults, low},
		{"the middle is right", MoreThanHalf, false, faults, well},
		{"one lost leaves two, of which both", MoreThanHalf, false, lost, well},
		{"all of what is left", Each, false, []Injection{{Fault: SensorLost, Index: 1}}, well},
		{"none left", Each, false, none, Never},
		{"none left, which is said", Each, true, none, 0},
		{"one lost, which is said", Each, true, lost, 0}, {"the first lost, which is said", Each, true, first, 0},
	} {
		s := chilled()
		s.Conditions = append(s.Conditions, Condition{Kind: Vote, Sensor: -1, Of: []int{0, 1, 2}, Most: c.most})
		s.Ways = []Way{{Kind: Cellular, Circuit: -1}}
		s.Alarms = []Alarm{{ID: "cold", Condition: 3, Circuit: -1, Ways: []int{0}, OnLoss: c.onLoss}}
		// The same vote drives a pump, whose start is what the run itself made of it.
		s.Devices = []Device{{ID: "pump", Kind: CirculationPump, Programme: -1, Thermostat: -1}}
		s.Controls = []Control{{ID: "k", Kind: Regulator, Condition: 3, OnLoss: c.onLoss, Programme: -1}}
		s.Relays = []Relay{{Control: 0, Device: 0, Target: -1}}
		course, err := Run(context.Background(), s, nil, c.inject, daySeconds)
		require.NoError(t, err)
		assert.InDelta(t, c.want, course.Alarms(c.inject)[0], 1e-2, c.name)
		on := 0.0
		said := len(c.inject) < 3 && c.onLoss
		if c.want != Never && !said {
			on = daySeconds - c.want
		}
		if said {
			on = daySeconds - well // a control goes on with what is left
		}
		assert.InDelta(t, on, course.Devices[0].OnS, 1e-2, c.name)
	}
}

// By hand, as above: against a probe frozen at 25.5 °C the water is 1 K apart after τ ln(5.5/4.5) = 16,053.7 s.
func TestSensorsThatDisagree(t *testing.T) {
	const apart = 16053.658
	for _, c := range []struct {
		name   string
		inject []Injection
		want   float64
	}{
		{"well", nil, Never},
		{"a small drift", []Injection{{Fault: SensorOffset, Index: 1, Value: 0.9}}, Never},
		{"a drift", []Injection{{Fault: SensorOffset, Index: 1, Value: -1.1}}, 0},
		{"frozen", []Injection{{Fault: SensorFixed, Index: 2, Value: 25.5}}, apart},
		{"two frozen alike and the third in the water", []Injection{{Fault: SensorFixed, Index: 2, Value: 25.5},
			{Fault: SensorFixed, Index: 0, Value: 25.5}}, apart},
		{"all frozen alike", []Injection{{Fault: SensorFixed, Index: 0, Value: 25.5},
			{Fault: SensorFixed, Index: 1, Value: 25.5}, {Fault: SensorFixed, Index: 2, Value: 25.5}}, Never},
		{"one lost", []Injection{{Fault: SensorLost, Index: 1}}, Never},
		{"just as far as is allowed", []Injection{{Fault: SensorOffset, Index: 1, Value: 1}}, Never},
		{"two frozen just as far", []Injection{{Fault: SensorFixed, Index: 0, Value: 25.5},
			{Fault: SensorFixed, Index: 1, Value: 24.5}, {Fault: SensorLost, Index: 2}}, Never},
		{"two that drift alike", []Injection{{Fault: SensorOffset, Index: 0, Value: 0.6},
			{Fault: SensorOffset, Index: 1, Value: 0.6}}, Never},
		{"two that drift apart", []Injection{{Fault: SensorOffset, Index: 0, Value: 0.6},
			{Fault: SensorOffset, Index: 1, Value: -0.6}}, 0},
	} {
		s := chilled()
		s.Ways = []Way{{Kind: Cellular, Circuit: -1}}
		s.Alarms = []Alarm{{ID: "apart", Condition: -1, Circuit: -1, Ways: []int{0}, DifferK: 1,
			Differ: []Reader{{Sensor: 0, Condition: -1}, {Sensor: 1, Condition: -1}, {Sensor: 2, Condition: -1}}}}
		course, err := Run(context.Background(), s, nil, c.inject, daySeconds)
		require.NoError(t, err)
		assert.InDelta(t, c.want, course.Alarms(c.inject)[0], 1e-2, c.name)
	}
}

// A probe that stands still and one that follows: they are apart from a kelvin on, and stay so while they come 0.2 K
// nearer, so that water that sways there does not start the delay anew. 800,000 J/K take 400 W for 2200 s up to 1.1 K
// and lose as much in the next 500 s down to 0.85 K, then again; from 4200 s on they fall for good, and are together
// at 0.8 K after 4800 s, 2800 s after they were apart.
func TestReadingsApartDoNotFlicker(t *testing.T) {
	for _, side := range []float64{1, -1} {
		s := wide()
		s.Node[0].Bands = straight(Line{Const: -25e-6, Slope: 1e-6}, Line{})
		s.Programmes = []Programme{{{0, 2200, 1, 1}, {2200, 2700, 0, 0}, {2700, 3200, 1, 1}, {3200, 3700, 0, 0},
			{3700, 4200, 1, 1}, {4200, daySeconds, 0, 0}}, {{0, 2200, 0, 0}, {2200, 2700, 1, 1}, {2700, 3200, 0, 0},
			{3200, 3700, 1, 1}, {3700, 4200, 0, 0}, {4200, 6400, 1, 1}, {6400, daySeconds, 0, 0}}}
		s.Controls = []Control{{ID: "up", Kind: Timer}, {ID: "down", Kind: Timer, Programme: 1}}
		s.Devices = []Device{{Kind: Heater, HeatW: [2]float64{side * 400}, Programme: -1, Thermostat: -1},
			{Kind: Chiller, HeatW: [2]float64{side * -400}, Programme: -1, Thermostat: -1}}
		s.Relays = []Relay{{Control: 0, Device: 0, Target: -1}, {Control: 1, Device: 1, Target: -1}}
		s.Sensors = []Sensor{{Kind: TemperatureSensor}, {Kind: TemperatureSensor}}
		s.Ways = []Way{{Kind: Cellular, Circuit: -1}}
		s.Alarms = []Alarm{{ID: "apart", Condition: -1, Circuit: -1, Ways: []int{0}, DifferK: 1,
			Differ: []Reader{{Sensor: 0, Condition: -1}, {Sensor: 1, Condition: -1}}}}
		in := []Injection{{Fault: SensorFixed, Value: 25}}
		for delayS, want := range map[float64]float64{1500: 3500, 2700: 4700, 2900: Never} {
			s.Alarms[0].DelayS = delayS
			out, err := Run(context.Background(), s, nil, in, 9000)
			require.NoError(t, err)
			assert.InDelta(t, want, out.Alarms(in)[0], 0.1, "side %g, %g s", side, delayS)
		}
	}
}
