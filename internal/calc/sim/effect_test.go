package sim

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// On the bench: heater 0 under control 0 and its own thermostat, chiller 1 or lamp, return pump 2 and top-off pump 3
// under control 1 with float 1.
func TestEffectsOfFaults(t *testing.T) {
	s := bench()
	key := func(list ...Injection) string { return EffectOf(s, list).Key() }
	device := func(fault Fault, i int) Injection { return Injection{Fault: fault, Index: i} }
	topOff, float := 3, 1

	assert.True(t, EffectOf(s, nil).Nothing())
	// Whatever keeps the top-off pump still is one effect.
	stands := key(device(DeviceDead, topOff))
	assert.NotEmpty(t, stands)
	for name, list := range map[string][]Injection{
		"empty reservoir":      {{Fault: ReservoirEmpty}},
		"control hangs off":    {{Fault: ControlOff, Index: 1}},
		"float wet for good":   {{Fault: SensorTrue, Index: float}},
		"float without signal": {{Fault: SensorLost, Index: float}},
		"dead and empty":       {{Fault: ReservoirEmpty}, device(DeviceDead, topOff)},
		"dead and half":        {{Fault: FlowWrong, Index: topOff, Value: 0.5}, device(DeviceDead, topOff)},
	} {
		assert.Equal(t, stands, key(list...), name)
	}
	// What differs in what it does, or by how much, is another effect.
	different := map[string]string{}
	for name, list := range map[string][]Injection{
		"stands": {device(DeviceDead, topOff)}, "twice": {{Fault: FlowWrong, Index: topOff, Value: 2}},
		"thrice":   {{Fault: FlowWrong, Index: topOff, Value: 3}},
		"reads +1": {{Fault: SensorOffset, Value: 1}}, "reads +2": {{Fault: SensorOffset, Value: 2}},
		"heater dead": {device(DeviceDead, 0)}, "heater stuck": {device(ThermostatClosed, 0)},
		"pump dead": {device(DeviceDead, 2)}, "both dead": {device(DeviceDead, 0), device(DeviceDead, 2)},
		"mains": {{Fault: MainsLost}}, "float dry": {{Fault: SensorFalse, Index: float}},
		"lamp on": {device(ProgrammeOn, 1)}, "lamp off": {device(ProgrammeOff, 1)},
		"valve open": {device(ValveStuck, topOff)}, "other contents": {{Fault: ContentsWrong}},
	} {
		got := key(list...)
		assert.NotEmpty(t, got, name)
		assert.Empty(t, different[got], "%s is like it", name)
		different[got] = name
	}
	// Nobody reads a sensor that is added, and nobody notices what no water feels.
	s.Sensors = append(s.Sensors, Sensor{ID: "spare", Kind: TemperatureSensor})
	for _, in := range []Injection{
		{Fault: SensorOffset, Index: 2, Value: 1}, {Fault: SensorLost, Index: 2}, {Fault: PersonGone},
		{Fault: ProtectionDead},
	} {
		assert.True(t, EffectOf(s, []Injection{in}).Nothing(), "%v", in)
	}
	// A float that reads dry lets the pump run until its control locks out, or for good where nothing does.
	welded := key(Injection{Fault: RelayClosed, Index: relayOf(s, 1)})
	assert.Equal(t, welded, key(Injection{Fault: SensorFalse, Index: float}))
	s.Controls[1].RunLimitS = 600
	assert.NotEqual(t, welded, key(Injection{Fault: SensorFalse, Index: float}))
}

func relayOf(s *System, control int) int {
	for i, r := range s.Relays {
		if r.Control == control {
			return i
		}
	}
	panic(control)
}

// Each injection sets what it is about, and nothing besides.
func TestInjections(t *testing.T) {
	p := bench()
	p.Alarms, p.Leaks, p.Overflows = []Alarm{{Circuit: 0}}, []Leak{{}}, 1
	p.Sources, p.ReturnLines, p.Ways = []Source{{}}, []ReturnLine{{}}, []Way{{Circuit: -1}}
	at := func(fault Fault) Injection { return Injection{Fault: fault, Value: 0.5} }
	for _, c := range []struct {
		in  Injection
		set func(f *faultState)
	}{
		{at(DeviceDead), func(f *faultState) { f.deviceDead[0] = true }},
		{at(ThermostatOpen), func(f *faultState) { f.deviceDead[0] = true }},
		{at(ThermostatClosed), func(f *faultState) { f.thermostatShut[0] = true }},
		{at(ProgrammeOn), func(f *faultState) { f.programme[0] = 1 }},
		{at(ProgrammeOff), func(f *faultState) { f.programme[0] = -1 }},
		{at(RelayClosed), func(f *faultState) { f.relay[0] = 1 }},
		{at(RelayOpen), func(f *faultState) { f.relay[0] = -1 }},
		{at(SensorOffset), func(f *faultState) { f.sensor[0].offset = 0.5 }},
		{at(SensorFixed), func(f *faultState) { f.sensor[0].fixed, f.sensor[0].value = true, 0.5 }},
		{at(SensorTrue), func(f *faultState) { f.sensor[0].forced = 1 }},
		{at(SensorFalse), func(f *faultState) { f.sensor[0].forced = -1 }},
		{at(SensorLost), func(f *faultState) { f.sensor[0].lost = true }},
		{at(ControlOn), func(f *faultState) { f.control[0] = 1 }},
		{at(ControlOff), func(f *faultState) { f.control[0] = -1 }},
		{at(BreakBlocked), func(f *faultState) { f.siphon[0] = true }},
		{at(ReservoirEmpty), func(f *faultState) { f.reservoirEmpty[0] = true }},
		{at(CircuitLost), func(f *faultState) { f.circuitLost[0] = true }},
		{at(MainsLost), func(f *faultState) { f.mainsLost = true }},
		{at(WayDead), func(f *faultState) { f.wayDead[0] = true }},
		{at(AlarmDead), func(f *faultState) { f.alarmDead[0] = true }},
		{at(SourceDead), func(f *faultState) { f.sourceDead[0] = true }},
		{at(WeirBlocked), func(f *faultState) { f.weirBlocked[0] = true }},
		{at(LineDrains), func(f *faultState) { f.lineDrains[0] = true }},
		{at(LeakOpens), func(f *faultState) { f.leaks[0] = true }},
		{at(CutOutDead), func(f *faultState) { f.cutOutDead[0] = true }},
		{at(Clogged), func(f *faultState) { f.clogged[0] = true }},
		{at(SkimsWet), func(f *faultState) { f.skimsWet[0] = true }},
		{at(AirBlocked), func(f *faultState) { f.airBlocked[0] = true }},
		{at(StopDead), func(f *faultState) { f.stopDead[0] = true }},
		{at(RoomStuck), func(f *faultState) { f.roomStuck[0] = true }},
		{at(FlowWrong), func(f *faultState) { f.flow[0] = 0.5 }},
		{at(ValveStuck), func(f *faultState) { f.valveStuck[0] = true }},
		{Injection{Fault: ContentsWrong, Value: 2}, func(f *faultState) { f.filled[0] = 3 }},
		{at(ContactorWelded), func(f *faultState) { f.relay[relayOf(p, 0)] = 1 }},
		{at(ContactorOpen), func(f *faultState) { f.relay[relayOf(p, 0)] = -1 }},
		{at(PersonGone), func(*faultState) {}},
	} {
		want := newFaultState(p, nil)
		c.set(&want)
		assert.Equal(t, want, newFaultState(p, []Injection{c.in}), "%v", c.in)
	}
}

// A surge takes controls, lamps, clocked pumps, alarms and their ways on its circuit and on what hangs on that; motors
// and heaters stand it, and what is elsewhere or has a battery of its own.
func TestASurgeTakesElectronics(t *testing.T) {
	s := &System{
		Circuits: []Circuit{{ID: "a"}, {ID: "b"}, {ID: "strip", Feeder: 1}},
		Devices: []Device{{Kind: Light}, {Kind: Heater}, {Kind: Doser, Programme: 0}, {Kind: Doser, Programme: -1},
			{Kind: Drain, Programme: 0, Circuit: 2}, {Kind: Light, Circuit: 1}, {Kind: ReturnPump, Programme: 0}},
		Controls: []Control{{}, {Circuit: 1}, {Circuit: 2}},
		Alarms:   []Alarm{{Circuit: 0}, {Circuit: -1}, {Circuit: 1}, {Circuit: 2}},
		Ways:     []Way{{Circuit: -1}, {Circuit: 0}, {Circuit: -1}, {Circuit: 0}, {Circuit: -1}, {Circuit: 1}},
	}
	f := newFaultState(s, []Injection{{Fault: SurgeTaken}})
	assert.Equal(t, []int8{-1, 0, -1}, f.control)
	assert.Equal(t, []bool{true, false, true, false, true, false, false}, f.deviceDead)
	assert.Equal(t, []bool{true, false, false, true}, f.alarmDead)
	// The first three are the paths of alarms themselves.
	assert.Equal(t, []bool{false, false, false, true, false, false}, f.wayDead)
}
