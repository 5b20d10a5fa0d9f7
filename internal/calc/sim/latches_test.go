package sim

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// guarded cools as chilled does. A cut-out above 25 °C stands in the supply of a control that calls all the time, for
// 20,000 s at most, and runs a pump.
func guarded() *System {
	s := chilled()
	s.Comparators = append(s.Comparators, Comparator{Quantity: DisplayTemp, Low: 24.8, High: 25, Sensor: 0},
		Comparator{Quantity: DisplayTemp, Low: 90, High: 91, Sensor: 1})
	s.Conditions = append(s.Conditions, Condition{Index: 3, Sensor: 0}, Condition{Index: 4, Sensor: 1, Negate: true})
	s.Devices = []Device{{ID: "pump", Kind: CirculationPump, Programme: -1, Thermostat: -1}}
	s.Controls = []Control{{ID: "guard", Kind: Cutout, Condition: 3, Programme: -1},
		{ID: "calls", Kind: Regulator, Condition: 4, RunLimitS: 20000, Programme: -1}}
	s.Relays = []Relay{{Control: 0, Device: -1, Target: 1}, {Control: 1, Device: 0, Target: -1}}
	return s
}

// By hand: the guard has tripped at the start and lets go at 24.8 °C after 80,000 s · ln(5.5/4.8) = 10,890.6 s. From
// then on the control calls until its run limit. Where mains are out from 600 s to 28,800 s, the water is cold when
// they return: a latch that forgets lets the control call from then on.
func TestACutOutInTheSupplyOfAControl(t *testing.T) {
	const limit, mains = 20000.0, 28800.0
	releases := 80000 * math.Log(5.5/4.8)
	require.InDelta(t, 10890.6, releases, 0.1)
	outage := []Injection{{Fault: MainsLost}}
	latch := func(how Restart) func(s *System) {
		return func(s *System) { s.Controls[0].Latching, s.Controls[0].Restarts = true, how }
	}
	for _, c := range []struct {
		name            string
		edit            func(s *System)
		in              []Injection
		onS, trips, end float64 // when the guard tripped and when the run limit ended the calling
	}{
		{"well", nil, nil, limit, 0, releases + limit},
		{"hangs closed", nil, []Injection{{Fault: ControlOn}}, limit, Never, limit},
		{"hangs open", nil, []Injection{{Fault: ControlOff}}, 0, Never, Never},
		{"its relay welded", nil, []Injection{{Fault: RelayClosed}}, limit, 0, limit},
		{"its relay open", nil, []Injection{{Fault: RelayOpen}}, 0, 0, Never},
		{"latching", latch(Afresh), nil, 0, 0, Never},
		{"no signal, cuts", nil, []Injection{{Fault: SensorLost}}, 0, 0, Never},
		{"no signal, lets run", func(s *System) { s.Controls[0].OnLoss = true }, []Injection{{Fault: SensorLost}},
			limit,
			Never, limit},
		{"probe reads low", nil, []Injection{{Fault: SensorOffset, Value: -1}}, limit, Never, limit},
		{"mains out", nil, outage, limit, 0, mains + limit},
		{"mains out, a latch that forgets", latch(Afresh), outage, limit, 0, mains + limit},
		{"mains out, a latch that remembers", latch(AsBefore), outage, 0, 0, Never},
		{"mains out, a guard that stays down", latch(StaysDown), outage, 0, 0, Never},
		{"mains out, a control that stays down", func(s *System) { s.Controls[1].Restarts = StaysDown },
			append([]Injection{{Fault: ControlOn}}, outage...), 600, Never, Never},
		{"mains out, a control that stays down after less than its limit",
			func(s *System) { s.Controls[1].Restarts, s.Controls[1].RunLimitS = StaysDown, 500 },
			append([]Injection{{Fault: ControlOn}}, outage...), 500, Never, 500},
		{"mains out from the start, a control that stays down",
			func(s *System) { s.Controls[1].Restarts, s.Circuits[0].BackupS = StaysDown, 0 },
			append([]Injection{{Fault: ControlOn}}, outage...), 0, Never, Never},
		{"a limit that starts anew with power", nil, append([]Injection{{Fault: ControlOn}}, outage...), 600 + limit,
			Never, mains + limit},
	} {
		s := guarded()
		s.OutageS, s.Circuits[0].BackupS = mains, 600
		if c.edit != nil {
			c.edit(s)
		}
		out, err := Run(context.Background(), s, nil, c.in, daySeconds)
		require.NoError(t, err)
		assert.InDelta(t, c.onS, out.Devices[0].OnS, 1e-3, c.name)
		trips, end := Never, Never
		for _, m := range out.Marks(c.in) {
			switch m.Kind {
			case CutoutTripped:
				trips = m.AtS
			case RunLimitReached:
				assert.Equal(t, 1, m.Index)
				end = m.AtS
			}
		}
		assert.InDelta(t, c.trips, trips, 1e-3, c.name)
		assert.InDelta(t, c.end, end, 1e-3, c.name)
	}
}

// A control that reads whether a circuit is live: it runs a pump while that one is dead, here from 0 to 3600 s.
func TestAControlSeesAnotherCircuit(t *testing.T) {
	s := wide()
	s.OutageS = 3600
	s.Circuits = []Circuit{{ID: "watched"}, {ID: "battery", BackupS: 1e6}}
	s.Sensors = []Sensor{{ID: "live", Kind: PowerSensor}}
	s.Conditions = []Condition{{Kind: PowerPresent, Index: 0, Sensor: 0, Negate: true}}
	s.Devices = []Device{{ID: "pump", Kind: CirculationPump, Circuit: 1, Programme: -1, Thermostat: -1}}
	s.Controls = []Control{{ID: "k", Kind: Regulator, Circuit: 1, Programme: -1}}
	s.Relays = []Relay{{Control: 0, Device: 0, Target: -1}}
	s.Ways = []Way{{Kind: Cellular, Circuit: -1}}
	s.Alarms = []Alarm{{ID: "dead", Condition: 0, Circuit: -1, Ways: []int{0}, DelayS: 60}}
	for _, c := range []struct {
		name       string
		in         []Injection
		onS, alarm float64
	}{
		{"mains out", []Injection{{Fault: MainsLost}}, 3600, 60}, {"well", nil, 0, Never},
		{"sees it dead for good", []Injection{{Fault: SensorFalse}}, 7200, 60},
		{"sees it live for good", []Injection{{Fault: SensorTrue}, {Fault: MainsLost}}, 0, Never},
	} {
		e := EffectOf(s, c.in)
		out, err := RunEffect(context.Background(), s, nil, e, 7200, nil)
		require.NoError(t, err)
		assert.InDelta(t, c.onS, out.Devices[0].OnS, 1e-6, c.name)
		assert.InDelta(t, c.alarm, out.Alarms(c.in)[0], 1e-6, c.name)
	}
}

// What steps in, each once and in the order of time, in a tank that loses 1 L/h and whose reservoir holds nothing: the
// heater stands out of the water at -2 L after 2 h, its circuit's device trips, the cup of a skimmer that takes 0.5 L/h
// is full after its 2 h and 24 min.
func TestMarksInTheOrderOfTime(t *testing.T) {
	const h = 3600.0
	s := still(200, 35, 1/h)
	s.Chamber = Chamber{AreaM2: 1, BaffleMM: 1e6, WideAreaM2: 1, IntakeMM: -1e6, FloorMM: -1e6, RimMM: 1e6}
	s.Circuits = []Circuit{{ID: "house"}, {ID: "guard"}}
	s.Comparators = []Comparator{{Quantity: Level, Low: -3, High: -2.9, Sensor: -1}}
	s.Devices = []Device{
		{ID: "heater", Kind: Heater, Circuit: 1, HeatW: [2]float64{50}, ElectricW: 50, Programme: -1, Thermostat: -1,
			Dry: Dryness{Covered: 1, Opens: 2}},
		{ID: "skimmer", Kind: Skimmer, Programme: -1, Thermostat: -1, Skim: Skimming{CupL: 1.2, FlowLS: 0.5 / h}},
	}
	out, err := Run(context.Background(), s, nil, nil, 5*h)
	require.NoError(t, err)
	// 1.5 L/h go until the heater is dry at 2 h.
	marks := out.Marks(nil)
	require.Len(t, marks, 3)
	byKind := map[MarkKind]Mark{}
	for _, m := range marks {
		byKind[m.Kind] = m
	}
	assert.Equal(t, CupFilled, marks[2].Kind, "the last")
	assert.InDelta(t, 2*h, byKind[CircuitDied].AtS, 1e-3)
	assert.Equal(t, 1, byKind[CircuitDied].Index)
	assert.InDelta(t, 2*h, byKind[StoodDry].AtS, 1e-3)
	assert.Equal(t, 0, byKind[StoodDry].Index)
	assert.InDelta(t, 2.4*h, byKind[CupFilled].AtS, 1e-3)
	assert.Equal(t, 1, byKind[CupFilled].Index)
	assert.InDelta(t, 2*h, out.Harms()[HeaterDry], 1e-3, "it broke")
	assert.InDelta(t, 2*h, out.Discomforts()[HeaterDry], 1e-3)
	assert.InDelta(t, 2*h, out.Devices[0].OnS, 1e-3)
	// One that cuts out does not break, unless its cut-out is dead; one that is off does not break either.
	for _, c := range []struct {
		name     string
		in       []Injection
		ran, dry float64
	}{
		{"cuts out", nil, Never, 2 * h}, {"its cut-out is dead", []Injection{{Fault: CutOutDead}}, 2 * h, 2 * h},
		{"dead anyway", []Injection{{Fault: CutOutDead}, {Fault: DeviceDead}}, Never, 2 * h},
	} {
		s.Devices[0].Dry.CutsOut = true
		out, err = Run(context.Background(), s, nil, c.in, 5*h)
		require.NoError(t, err)
		assert.InDelta(t, c.ran, out.Harms()[HeaterDry], 1e-3, c.name)
		assert.InDelta(t, c.dry, out.Discomforts()[HeaterDry], 1e-3, c.name)
	}
	// What comes only as the course ends, when somebody is there, is no harm.
	s.Devices[0].Dry.CutsOut = false
	out, err = Run(context.Background(), s, nil, nil, 2*h)
	require.NoError(t, err)
	assert.Equal(t, Never, out.Harms()[HeaterDry])
}

// A heater that ran dry stays broken when water covers it again; one that cuts out heats again. The water falls by
// 1 L/h to the heater's end at -2 L, and a timer fills it up from the third hour on. One that breaks opens what
// protects its circuit, the first of all here.
func TestAHeaterThatRanDryStaysBroken(t *testing.T) {
	const h = 3600.0
	for _, c := range []struct {
		name    string
		cutsOut bool
		opens   int
		onS     float64
	}{{"breaks", false, 0, 2 * h}, {"breaks and opens its circuit", false, 1, 2 * h},
		{"cuts out", true, 0, 2*h + (10*h - 3*h - 0.1*h)}} {
		s := still(200, 35, 1/h)
		s.Chamber = Chamber{AreaM2: 1, BaffleMM: 1e6, WideAreaM2: 1, IntakeMM: -1e6, FloorMM: -1e6, RimMM: 1e6}
		s.Circuits = []Circuit{{ID: "house"}, {ID: "other"}}
		s.Programmes = []Programme{{{0, 3 * h, 0, 0}, {3 * h, daySeconds, 1, 1}}}
		s.Comparators = []Comparator{{Quantity: Level, Low: -2, High: -1.9, Sensor: -1}}
		s.Reservoirs = []Reservoir{{ID: "r", VolumeL: 1000}}
		s.Devices = []Device{
			{ID: "heater", Kind: Heater, HeatW: [2]float64{50}, ElectricW: 50, Programme: -1, Thermostat: -1,
				Dry: Dryness{Covered: 1, CutsOut: c.cutsOut, Opens: c.opens}},
			{ID: "fill", Kind: TopOffPump, Circuit: 1, FlowLS: 12 / h, Programme: -1, Thermostat: -1}}
		s.Controls = []Control{{ID: "timer", Kind: Timer, Circuit: 1}}
		s.Relays = []Relay{{Control: 0, Device: 1, Target: -1}}
		out, err := Run(context.Background(), s, nil, nil, 10*h)
		require.NoError(t, err)
		assert.InDelta(t, c.onS, out.Devices[0].OnS, 1, c.name)
		died := Never
		for _, m := range out.Marks(nil) {
			if m.Kind == CircuitDied && m.Index == 0 {
				died = m.AtS
			}
		}
		if c.opens > 0 {
			assert.InDelta(t, 2*h, died, 1e-3, c.name)
		} else {
			assert.Equal(t, Never, died, c.name)
		}
	}
}

// A thermostat that opens under a control's welded relay steps in, one without a control only does its work.
func TestAThermostatTakesOver(t *testing.T) {
	s := bench()
	s.Devices = append(s.Devices, s.Devices[0])
	s.Devices[4].ID, s.Devices[4].HeatW = "alone", [2]float64{0, 5}
	in := []Injection{{Fault: RelayClosed}}
	out, err := Run(context.Background(), s, nil, in, daySeconds)
	require.NoError(t, err)
	reaches := out.said(1, sensorFault{}).lasting(0, out.EndS)
	require.Positive(t, reaches)
	assert.Equal(t, []Mark{{ThermostatTookOver, 0, reaches}}, out.Marks(in))
	assert.Empty(t, out.Marks(nil)[1:])
}

// Light from before the start counts: a lamp that has burned for ten hours and never goes out has burned 17 after
// seven. What has been dark for a day and is so for good is too dark after half a day more.
func TestLightFromBeforeTheStart(t *testing.T) {
	const h = 3600.0
	s := wide()
	s.Devices = []Device{{ID: "lamp", Kind: Light, Programme: -1, Thermostat: -1}}
	s.Limits[NoDark] = Limit{Active: true, Comfort: 17 * h, Harm: Edge{At: 50 * h}}
	s.Limits[NoLight] = Limit{Active: true, Comfort: 36 * h, Harm: Edge{At: 240 * h}}
	start := initialState(s)
	start.Lit, start.SameLitS = true, 10*h
	out, err := Run(context.Background(), s, &start, nil, 48*h)
	require.NoError(t, err)
	assert.InDelta(t, 7*h, out.Discomforts()[NoDark], 1e-6)
	assert.InDelta(t, 40*h, out.Harms()[NoDark], 1e-6)
	assert.Equal(t, Never, out.Discomforts()[NoLight])
	assert.InDelta(t, 58*h, out.End().SameLitS, 1e-6)
	start.Lit, start.SameLitS = false, 24*h
	out, err = Run(context.Background(), s, &start, []Injection{{Fault: DeviceDead}}, 48*h)
	require.NoError(t, err)
	assert.InDelta(t, 12*h, out.Discomforts()[NoLight], 1e-6)
	assert.Equal(t, Never, out.Discomforts()[NoDark])
}

// A limit that is passed for less than its time does not harm, whatever else happens meanwhile: water of 800,000 J/K
// that 400 W warm by 1.8 K in an hour stands above 26 °C for half an hour, while a lamp comes on.
func TestHarmMustLast(t *testing.T) {
	const h = 3600.0
	s := wide()
	s.Node[0].Bands = straight(Line{Const: -25e-6, Slope: 1e-6}, Line{})
	s.Programmes = []Programme{{{0, 10 * h, 0, 0}, {10 * h, 11 * h, 1, 1}, {11 * h, 24 * h, 0, 0}},
		{{0, 11 * h, 0, 0}, {11 * h, 12 * h, 1, 1}, {12 * h, 24 * h, 0, 0}},
		{{0, 10.9 * h, 0, 0}, {10.9 * h, 24 * h, 1, 1}}}
	s.Controls = []Control{{Kind: Timer}, {Kind: Timer, Programme: 1}, {Kind: Timer, Programme: 2}}
	s.Devices = []Device{{Kind: Heater, HeatW: [2]float64{400}, Programme: -1, Thermostat: -1},
		{Kind: Chiller, HeatW: [2]float64{-400}, Programme: -1, Thermostat: -1},
		{Kind: Light, Programme: -1, Thermostat: -1}}
	s.Relays = []Relay{{Control: 0, Device: 0, Target: -1}, {Control: 1, Device: 1, Target: -1},
		{Control: 2, Device: 2, Target: -1}}
	passes := 10*h + 2000 // up by 1 K, and as long above as it takes up and down again
	for afterS, want := range map[float64]float64{3000: passes + 3000, 3300: Never} {
		s.Limits[Overheated] = Limit{Active: true, Comfort: 26, Harm: Edge{26, afterS}}
		out, err := Run(context.Background(), s, nil, nil, 20*h)
		require.NoError(t, err)
		assert.InDelta(t, passes, out.Discomforts()[Overheated], 0.1)
		assert.InDelta(t, want, out.Harms()[Overheated], 0.1, "for %g s", afterS)
	}
}

// What was asked about a course with a sensor's fault says nothing of the same course without it.
func TestOneCourseIsAskedTwice(t *testing.T) {
	s := cold()
	out, err := Run(context.Background(), s, nil, nil, daySeconds)
	require.NoError(t, err)
	high := []Injection{{Fault: SensorOffset, Value: 1}}
	low := []Injection{{Fault: SensorOffset, Value: -1}}
	for range 2 {
		assert.InDelta(t, 80000*math.Log(5.5/3), out.Alarms(high)[0], 1e-2)
		assert.InDelta(t, 80000*math.Log(5.5/5), out.Alarms(low)[0], 1e-2)
		assert.InDelta(t, whenCold, out.Alarms(nil)[0], 1e-2)
	}
}

// A comparator keeps within its dead band what it said before.
func TestAComparatorKeepsWhatItSaid(t *testing.T) {
	c := &Comparator{Quantity: DisplayTemp, Low: 24, High: 25}
	for _, before := range []bool{false, true} {
		assert.False(t, c.compare(23, before, sensorFault{}).state)
		assert.False(t, c.compare(24, before, sensorFault{}).state)
		assert.Equal(t, before, c.compare(24.5, before, sensorFault{}).state)
		assert.True(t, c.compare(25, before, sensorFault{}).state)
		assert.True(t, c.compare(24.5, before, sensorFault{offset: 0.6}).state, "it reads 25.1")
		assert.False(t, c.compare(24.5, before, sensorFault{offset: -0.6}).state)
		assert.False(t, c.compare(30, before, sensorFault{fixed: true, value: 20}).state)
	}
}
