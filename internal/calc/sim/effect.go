package sim

import (
	"encoding/binary"
	"math"
)

// Effect is what a set of faults does to the water, each fault traced to the last switch that it decides. A sensor
// that reads dry for good, the control that reads it hanging open and its relay that no longer closes are one effect:
// the pump stands still. In runs of sets with one key the water goes the same way; marks, alarms, what switches did and
// what devices drew may differ.
type Effect struct {
	f   faultState
	key string
}

// Key is equal for faults of one effect in one system.
//
// Errors: none. Source: [Derived].
func (e Effect) Key() string { return e.key }

// Nothing tells whether the water does as with nothing wrong.
//
// Errors: none. Source: [Derived].
func (e Effect) Nothing() bool { return e.key == "" }

// EffectOf traces faults to what they do to the water. Alarms have no effect.
//
// Accuracy: exact; effects that differ may still run alike. Errors: none. Source: [Derived].
func EffectOf(s *System, injections []Injection) Effect {
	t := tracing{s: s, w: s.wired(), f: newFaultState(s, injections)}
	flags := make([]bool, len(s.Relays)+len(s.Controls)+len(s.Devices)+len(s.Sensors)+len(s.Circuits))
	t.idle, t.controlIdle, t.off = takeOff(&flags, len(s.Relays)), takeOff(&flags, len(s.Controls)), takeOff(&flags,
		len(s.Devices))
	t.read, t.powered = takeOff(&flags, len(s.Sensors)), takeOff(&flags, len(s.Circuits))
	clear(t.f.alarmDead)
	clear(t.f.wayDead)
	t.sure = t.f.spread(s)
	for t.controls() || t.devices() || t.supply() {
	}
	return Effect{t.f, t.f.key()}
}

// tracing moves faults downstream until none moves any more.
type tracing struct {
	s           *System
	w           *wiring
	f           faultState
	idle        []bool // relays whose state decides nothing
	controlIdle []bool // controls all of whose relays are forced or idle
	off         []bool // devices that never run
	read        []bool // sensors that something still listens to
	powered     []bool // circuits that something still watches
	sure        []bool // circuits that are live whatever happens
}

// controls moves what is forced on a sensor to its control, and from a control to its relays.
func (t *tracing) controls() (moved bool) {
	for i := range t.s.Controls {
		if t.controlIdle[i] || t.w.watchedControl[i] { // what an alarm sees of it must not be traced away
			continue
		}
		c, f := &t.s.Controls[i], &t.f
		if f.control[i] == 0 {
			f.control[i] = f.commanded(t.s, c)
		}
		off := f.control[i] < 0 || f.circuitLost[c.Circuit]
		on := f.control[i] > 0 && t.sure[c.Circuit]
		for _, j := range t.w.ontoControl[i] {
			off = off || f.relay[j] < 0
			on = on && f.relay[j] > 0
		}
		idle := true
		for _, j := range t.w.fromControl[i] {
			if f.relay[j] == 0 && !t.idle[j] {
				switch {
				case off:
					f.relay[j] = -1
				case on:
					f.relay[j] = 1
				}
			}
			idle = idle && (t.idle[j] || f.relay[j] != 0)
		}
		if idle { // nothing that it does or that is done to it shows
			t.controlIdle[i], moved = true, true
			f.control[i] = 0
			t.discard(t.w.ontoControl[i])
		}
	}
	return moved
}

func (t *tracing) discard(relays []int) {
	for _, j := range relays {
		t.idle[j] = true
		t.f.relay[j] = 0
	}
}

// commanded is what a control is made to do for good by a fault of its sensor: +1, -1, or 0 where that is not settled.
func (f *faultState) commanded(s *System, c *Control) int8 {
	if !c.reads() {
		return 0
	}
	cond := &s.Conditions[c.Condition]
	if cond.Sensor < 0 {
		return 0
	}
	x, on := f.sensor[cond.Sensor], false
	switch {
	case x.lost:
		on = c.OnLoss
	case x.forced != 0:
		on = ((x.forced > 0) != cond.Negate) == (c.Kind == Regulator)
	case x.fixed && cond.Kind == ComparatorTrue:
		said, known := s.Comparators[cond.Index].constant(x.value)
		if !known {
			return 0
		}
		on = (said != cond.Negate) == (c.Kind == Regulator)
	default:
		return 0
	}
	if on && c.Kind == Regulator && c.RunLimitS > 0 {
		return 0 // it commands until it locks out
	}
	return whether(on)
}

func whether(on bool) int8 {
	if on {
		return 1
	}
	return -1
}

// devices finds what never runs; whatever else is wrong with it or with the relays in its supply then decides nothing.
func (t *tracing) devices() (moved bool) {
	for i := range t.s.Devices {
		if t.off[i] || t.f.valveStuck[i] {
			continue
		}
		d, f := &t.s.Devices[i], &t.f
		off := f.deviceDead[i] || f.circuitLost[d.Circuit] || f.programme[i] < 0 ||
			d.taps() && !t.w.watchedDevice[i] && f.reservoirEmpty[d.Reservoir]
		for _, j := range t.w.ontoDevice[i] {
			off = off || f.relay[j] < 0
		}
		if off {
			t.off[i], moved = true, true
			f.deviceDead[i], f.thermostatShut[i], f.programme[i], f.flow[i] = true, false, 0, 0
			f.cutOutDead[i], f.skimsWet[i], f.airBlocked[i], f.stopDead[i] = false, false, false, false
			f.clogged[i] = f.clogged[i] && d.Kind == ReturnPump // of several, the others' share depends on it
			t.discard(t.w.ontoDevice[i])
		}
	}
	return moved
}

// supply forgets faults of sensors, circuits and reservoirs that nothing is left to notice.
func (t *tracing) supply() (moved bool) {
	clear(t.read)
	clear(t.powered)
	for i := range t.s.Controls {
		c := &t.s.Controls[i]
		if t.w.watchedControl[i] {
			t.powered[c.Circuit] = true
		}
		if t.controlIdle[i] || !c.reads() || t.f.control[i] != 0 {
			continue
		}
		for _, cond := range t.s.Leaves(c.Condition) {
			if cond.Sensor >= 0 {
				t.read[cond.Sensor] = true
			}
			if cond.Kind == PowerPresent {
				t.powered[cond.Index] = true
			}
		}
	}
	for k := range t.f.sensor {
		if !t.read[k] && t.f.sensor[k] != (sensorFault{}) {
			t.f.sensor[k], moved = sensorFault{}, true
		}
	}
	for k, lost := range t.f.circuitLost {
		if lost && !t.powered[k] && !t.s.carriesBelow(k) { // what hung on it is off already
			t.f.circuitLost[k], moved = false, true
		}
	}
	for k, empty := range t.f.reservoirEmpty {
		if !empty {
			continue
		}
		t.f.siphon[k] = false
		watched := false
		for _, c := range t.s.Comparators {
			watched = watched || c.Quantity == Stored && c.Reservoir == k
		}
		tapped := false
		for i := range t.s.Devices {
			tapped = tapped || t.s.Devices[i].taps() && t.s.Devices[i].Reservoir == k && !t.off[i]
		}
		if !watched && !tapped { // its pumps are off already
			t.f.reservoirEmpty[k], moved = false, true
		}
	}
	return moved
}

// key lists what is wrong in a form that can be compared; empty for nothing.
func (f *faultState) key() string {
	b := make([]byte, 0, 64)
	add := func(wrong bool, fault Fault, i int) {
		if wrong {
			b = append(b, byte(fault), byte(i>>8), byte(i)) // #nosec G115 -- two bytes hold an index
		}
	}
	signed := func(list []int8, on, off Fault) {
		for i, v := range list {
			add(v > 0, on, i)
			add(v < 0, off, i)
		}
	}
	flagged := func(list []bool, fault Fault) {
		for i, v := range list {
			add(v, fault, i)
		}
	}
	flagged(f.deviceDead, DeviceDead)
	flagged(f.thermostatShut, ThermostatClosed)
	signed(f.programme, ProgrammeOn, ProgrammeOff)
	signed(f.relay, RelayClosed, RelayOpen)
	signed(f.control, ControlOn, ControlOff)
	flagged(f.siphon, BreakBlocked)
	flagged(f.circuitLost, CircuitLost)
	flagged(f.reservoirEmpty, ReservoirEmpty)
	flagged(f.sourceDead, SourceDead)
	flagged(f.weirBlocked, WeirBlocked)
	flagged(f.lineDrains, LineDrains)
	flagged(f.roomStuck, RoomStuck)
	flagged(f.leaks, LeakOpens)
	flagged(f.cutOutDead, CutOutDead)
	flagged(f.clogged, Clogged)
	flagged(f.skimsWet, SkimsWet)
	flagged(f.airBlocked, AirBlocked)
	flagged(f.stopDead, StopDead)
	flagged(f.valveStuck, ValveStuck)
	for i, k := range f.filled {
		if add(k > 0, ContentsWrong, i); k > 0 {
			b = binary.AppendVarint(b, int64(k))
		}
	}
	for i, times := range f.flow {
		if add(times != 0, FlowWrong, i); times != 0 {
			b = binary.BigEndian.AppendUint64(b, math.Float64bits(times))
		}
	}
	add(f.mainsLost, MainsLost, 0)
	for i, ahead := range f.ahead {
		if add(ahead != 0, ClockWrong, i); ahead != 0 {
			b = binary.BigEndian.AppendUint64(b, math.Float64bits(ahead))
		}
	}
	for i, x := range f.sensor {
		add(x.forced > 0, SensorTrue, i)
		add(x.forced < 0, SensorFalse, i)
		add(x.lost, SensorLost, i)
		if add(x.fixed, SensorFixed, i); x.fixed {
			b = binary.BigEndian.AppendUint64(b, math.Float64bits(x.value))
		}
		if add(x.offset != 0, SensorOffset, i); x.offset != 0 {
			b = binary.BigEndian.AppendUint64(b, math.Float64bits(x.offset))
		}
	}
	return string(b)
}
