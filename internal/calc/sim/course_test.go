package sim

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
)

// Of two ways the one that works first counts: a router that is dead for an outage of eight hours, and a modem on
// another circuit with a battery. The water falls below 24 °C after 25,476 s of a day (see chilled).
func TestTheFirstWayCounts(t *testing.T) {
	const falls = 25476.298
	out := []Injection{{Fault: MainsLost}}
	for _, order := range [][]int{{0, 1}, {1, 0}} {
		s := chilled()
		s.OutageS = 28800
		s.Ways = []Way{{Kind: Network, Circuit: 0}, {Kind: Cellular, Circuit: 0, BatteryS: 1e6}}
		s.Alarms = []Alarm{{ID: "cold", Condition: 0, Circuit: -1, Ways: order},
			{ID: "fed", Condition: 0, Circuit: 0, Ways: []int{1}}}
		c, err := Run(context.Background(), s, nil, out, daySeconds)
		require.NoError(t, err)
		assert.InDelta(t, falls, c.Alarms(out)[0], 1e-2)
		assert.InDelta(t, 28800, c.Alarms(out)[1], 1e-2, "its own power comes back")
		calls := c.Calls(out)[0]
		assert.InDelta(t, 28800, calls[order[0]], 1e-2)
		assert.InDelta(t, falls, calls[order[1]], 1e-2)
	}
}

// By hand: 5.5 K above a room of 20 °C fall to 20 + 5.5 exp(-86400/80000) in a day. Two switches below 24 °C, one of
// which reads a kelvin high, disagree from 25,476 s to 48,491 s.
func TestExtremesAndSwitchesThatDisagree(t *testing.T) {
	for _, c := range []struct {
		name   string
		faults []Injection
		want   float64
	}{
		{"well", nil, Never}, {"one reads high", []Injection{{Fault: SensorOffset, Index: 0, Value: 1}}, 25476.298},
		{"all read high", []Injection{{Fault: SensorOffset, Index: 0, Value: 1}, {Fault: SensorOffset, Index: 1, Value: 1},
			{Fault: SensorOffset, Index: 2, Value: 1}}, Never},
		{"the odd one is lost", []Injection{{Fault: SensorLost, Index: 0}}, Never},
	} {
		s := chilled()
		s.Ways = []Way{{Kind: Cellular, Circuit: -1}}
		s.Alarms = []Alarm{{ID: "odd", Condition: -1, Circuit: -1, Ways: []int{0}, Differ: []Reader{
			{Sensor: 0, Condition: 0}, {Sensor: 1, Condition: 1}, {Sensor: 2, Condition: 2}}}}
		out, err := Run(context.Background(), s, nil, c.faults, daySeconds)
		require.NoError(t, err)
		assert.InDelta(t, c.want, out.Alarms(c.faults)[0], 1e-2, c.name)
		assert.InDelta(t, 20+5.5*math.Exp(-1.08), out.Peaks().TempMinC, 1e-6)
		assert.InDelta(t, 25.5, out.Peaks().TempMaxC, 1e-9)
	}
}

// Hours of a day, across midnight as well, and how a course of 30 h from 08:00 has them.
func TestHours(t *testing.T) {
	const h = 3600.0
	day, night := &Hours{10 * h, 20 * h}, &Hours{22 * h, 6 * h}
	for _, c := range []struct {
		at         float64
		day, night bool
	}{{0, false, true}, {5.9, false, true}, {6, false, false}, {9.9, false, false}, {10, true, false},
		{19.9, true, false}, {20, false, false}, {21.9, false, false}, {22, false, true}, {23.9, false, true}} {
		assert.Equal(t, c.day, day.covers(c.at*h), "%g", c.at)
		assert.Equal(t, c.night, night.covers(c.at*h), "%g", c.at)
	}
	assert.False(t, (&Hours{h, h}).covers(h), "no hour at all")
	c := &Course{second: 8 * h, EndS: 30 * h}
	assert.Equal(t, timeline{turns: []float64{2 * h, 12 * h, 26 * h}}, c.daily(day))
	assert.Equal(t, timeline{turns: []float64{14 * h, 22 * h}}, c.daily(night))
	c.second = 23 * h
	assert.Equal(t, timeline{first: true, turns: []float64{7 * h, 23 * h}}, c.daily(night))
	c.second = 10 * h
	assert.Equal(t, timeline{first: true, turns: []float64{10 * h, 24 * h}}, c.daily(day), "it begins as the hours do")
}

// Ten litres an hour evaporate over 1 m², so that a heater 20 mm below the line stands dry after two hours. One that cuts
// out stops then; one that shatters takes its circuit, with the pump on it.
func TestAHeaterThatStandsDry(t *testing.T) {
	const dry = 2 * 3600.0
	for _, c := range []struct {
		name         string
		cutsOut      bool
		faults       []Injection
		breaks       float64
		heatS, pumpS float64
	}{
		{"cuts out", true, nil, Never, dry, 36000}, {"does not cut out", true, []Injection{{Fault: CutOutDead}}, dry, dry, dry},
		{"shatters", false, nil, dry, dry, dry}, {"is off", false, []Injection{{Fault: DeviceDead}}, Never, 0, 36000},
	} {
		s := still(200, 35, 10.0/3600)
		s.Chamber = Chamber{AreaM2: 1, BaffleMM: 1e6, WideAreaM2: 1, IntakeMM: -1e6, FloorMM: -1e6, RimMM: 1e6}
		s.Circuits = []Circuit{{ID: "other"}, {ID: "wet"}}
		s.Comparators = []Comparator{{Quantity: Level, Low: -20, High: -19, Sensor: -1}}
		s.Devices = []Device{
			{ID: "heater", Kind: Heater, Circuit: 1, HeatW: [2]float64{10}, ElectricW: 10, Programme: -1, Thermostat: -1,
				Dry: Dryness{Covered: 1, CutsOut: c.cutsOut, Opens: 2}},
			{ID: "pump", Kind: CirculationPump, Circuit: 1, Programme: -1, Thermostat: -1}}
		s.Limits[HeaterDry] = Limit{Active: true}
		out, err := Run(context.Background(), s, nil, c.faults, 10*3600)
		require.NoError(t, err)
		assert.InDelta(t, c.heatS, out.Devices[0].OnS, 1, c.name)
		assert.InDelta(t, c.pumpS, out.Devices[1].OnS, 1, c.name)
		if c.breaks == Never {
			assert.Nil(t, out.ranDry, c.name)
		} else {
			assert.InDelta(t, c.breaks, out.ranDry[0], 1, c.name)
		}
	}
}

// The return pump lifts 7.2 L onto a display whose overflow is blocked; a timer stops it after an hour. 12 L and the
// 7.2 L run back: the sump stands 12 L higher. 50 L and 7.2 L are 9.8 L more than its 40.2 L up to the rim; a line with a
// hole lets nothing run back.
func TestWhatWasHeldUpRunsBack(t *testing.T) {
	for _, c := range []struct {
		name           string
		drainsL        float64
		lines          []ReturnLine
		level, spilled float64
	}{
		{"as usual", 12, nil, 12, 0}, {"more than the sump holds", 50, nil, 40.2, 9.8},
		{"a hole in the line", 12, []ReturnLine{{ID: "holed", DepthL: 50, Stops: true}}, -7.2, 0},
		{"of two lines the open one", 30, []ReturnLine{{ID: "holed", DepthL: 50, Stops: true}, {ID: "open", DepthL: 30}}, 30,
			0},
	} {
		s := dry(20, 30)
		s.DrainBackL, s.ReturnLines, s.StartSecond = c.drainsL, c.lines, 0
		s.Programmes = append(s.Programmes, Programme{{0, 3600, 1, 1}, {3600, daySeconds, 0, 0}})
		s.Controls = append(s.Controls, Control{ID: "hour", Kind: Timer, Programme: len(s.Programmes) - 1})
		s.Relays = append(s.Relays, Relay{Control: len(s.Controls) - 1, Device: 2, Target: -1})
		out, err := Run(context.Background(), s, nil, []Injection{{Fault: WeirBlocked}, {Fault: DeviceDead, Index: 3}}, 2*3600)
		require.NoError(t, err)
		end := out.End()
		assert.InDelta(t, c.level, end.LevelL, 1e-6, c.name)
		assert.InDelta(t, c.spilled, end.SpilledL, 1e-6, c.name)
		assert.InDelta(t, 35, end.Salt[Sump]/(60+end.LevelL), 1e-9, c.name)
		assert.Less(t, out.Balance.WorstRelative(), 1e-10, c.name)
	}
}

// A lamp of 100 W that goes dark within an hour takes half of that; one that comes up from a quarter 62.5 Wh.
func TestRamps(t *testing.T) {
	for _, c := range []struct{ from, to, wattHours float64 }{{1, 0, 50}, {0, 1, 50}, {0.25, 1, 62.5}} {
		s := wide()
		s.Programmes = []Programme{{{0, 3600, c.from, c.to}, {3600, daySeconds, 0, 0}}}
		s.Devices = []Device{{ID: "lamp", Kind: Light, ElectricW: 100, HeatW: [2]float64{100}, Thermostat: -1}}
		out, err := Run(context.Background(), s, nil, nil, 2*3600)
		require.NoError(t, err)
		assert.InDelta(t, c.wattHours*3600, out.Devices[0].EnergyJ, 1e-3, "%+v", c)
		assert.Less(t, out.Balance.WorstRelative(), 1e-10)
	}
}

// Heat over weeks for corals: a kelvin above the edge of comfort for four weeks bleaches, for eight kills.
func TestHeatOfWeeksIsCompiled(t *testing.T) {
	p := everyPart()
	p.Limits.ComfortHighC = ptr(27.0)
	s := compiled(t, p)
	assert.Equal(t, Dose{FromC: 27, OverC: 26, Harm: 4 * 7 * 86400, Loss: 8 * 7 * 86400}, s.HeatDose)
	assert.Equal(t, [2]float64{30, 0}, s.Devices[number(s, "lamp")].HeatW) // 0.3 of 100 W
	p.Livestock = plan.FishOnly
	assert.Equal(t, Dose{}, compiled(t, p).HeatDose)
}

// What the programmes give is what is taken up. 48 s a day at 0.5 mL/s of 2000 meq/L bring half as much carbon, 24 mmol,
// and 1200 s of 2 g/h of gas that dissolves 0.8 of itself 1.8 · 0.6667/44.009 mol, 27.27 mmol.
func TestCarbonThatIsGiven(t *testing.T) {
	p := dosed()
	s := compiled(t, p)
	assert.InDelta(t, 24.0/86400, s.Chemistry.UptakeCarbonS, 1e-9)
	p.CarbonDioxide = []plan.CarbonDioxide{{ID: "gas", FlowGH: 2, BottleG: 500, PowerW: 2, Into: plan.IntoReactor,
		DissolvesShare: 0.8, Doses: &plan.Doses{ADay: 2, RunS: 600, FirstAt: "12:00"}}}
	s = compiled(t, p)
	assert.InDelta(t, 51.27/86400, s.Chemistry.UptakeCarbonS, 1e-6)
}

// A probe that stands still decides as what it says: too warm for good is a heater that never runs, too cold one whose
// relay is welded. Within the dead band it depends on what went before.
func TestProbesThatStandStill(t *testing.T) {
	s := bench()
	key := func(in Injection) string { return EffectOf(s, []Injection{in}).Key() }
	off, welded := key(Injection{Fault: DeviceDead}), key(Injection{Fault: RelayClosed, Index: relayOf(s, 0)})
	assert.Equal(t, off, key(Injection{Fault: SensorFixed, Value: 25.7}))
	assert.Equal(t, off, key(Injection{Fault: SensorFixed, Value: 30}))
	assert.Equal(t, welded, key(Injection{Fault: SensorFixed, Value: 25.3}))
	assert.Equal(t, welded, key(Injection{Fault: SensorFixed, Value: 20}))
	between := key(Injection{Fault: SensorFixed, Value: 25.5})
	assert.NotContains(t, []string{off, welded, ""}, between)
	// A cut-out above 26 °C the other way about.
	s.Comparators = append(s.Comparators, Comparator{Quantity: SumpTemp, Low: 25.8, High: 26, Sensor: 2})
	s.Sensors = append(s.Sensors, Sensor{ID: "guard", Kind: TemperatureSensor})
	s.Conditions = append(s.Conditions, Condition{Kind: ComparatorTrue, Index: 3, Sensor: 2})
	s.Controls = append(s.Controls, Control{ID: "cut", Kind: Cutout, Condition: 2})
	s.Relays = append(s.Relays, Relay{Control: 2, Device: 0, Target: -1})
	cutOff := key(Injection{Fault: DeviceDead})
	assert.Equal(t, cutOff, key(Injection{Fault: SensorFixed, Index: 2, Value: 26}))
	assert.Equal(t, key(Injection{Fault: RelayClosed, Index: relayOf(s, 2)}),
		key(Injection{Fault: SensorFixed, Index: 2, Value: 25.8}))
}
