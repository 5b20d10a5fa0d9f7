package audit

import (
	"slices"

	"saltwright/internal/calc/sim"
)

// ineffective tells whether a fault would have left the water alone in the run of a room with nothing broken: what it
// forces is all that was seen while it decided anything. Alarms are left aside.
//
// Why this is exact: as long as both runs are alike, the fault forces what was so anyway, or something that is in
// series with what is open, or dead; so they stay alike.
func (st *study) ineffective(i, room int) bool {
	rm := &st.rooms[room]
	w := watched{rm.system, &rm.nominal.first, true}
	return !w.out.Deciding.Unsettled && !slices.ContainsFunc(st.faults[i].injectionsIn(w.s), func(in sim.Injection) bool { return !w.alike(in) })
}

// along tells whether the water goes with an effect as it went in a watched run with another.
//
// Why this is exact: the effect forces what the other forced, and more. Of that, all but one force relays, controls and
// devices to what they were all through the run, and so change nothing in it, and the one forces what was seen while it
// decided anything. Of two in series each could seem to decide nothing while the other is open; and a thermostat is seen
// only under closed relays, a sensor only while its control has power.
func (st *study) along(way course, e sim.Effect, room int) bool {
	w := watched{st.rooms[room].system, way.out, false}
	if w.out.Deciding.Unsettled {
		return false
	}
	more, all := e.Beyond(way.effect)
	if !all {
		return false
	}
	otherwise := 0
	for _, in := range more {
		switch in.Fault {
		case sim.RelayClosed, sim.RelayOpen, sim.ControlOn, sim.ControlOff, sim.DeviceDead:
			if w.alike(in) {
				continue
			}
		}
		deciding := watched{w.s, w.out, true}
		if otherwise++; otherwise > 1 || !deciding.alike(in) {
			return false
		}
	}
	return true
}

// watched is a run with what its switches did.
type watched struct {
	s        *sim.System
	out      *sim.Outcome
	deciding bool // what they did while they decided something will do
}

func (w *watched) relay(k int) sim.Seen {
	if w.deciding {
		return w.out.Deciding.Relays[k]
	}
	return w.out.Touched.Relays[k]
}

func (w *watched) thermostat(k int) sim.Seen {
	if w.deciding {
		return w.out.Deciding.Thermostats[k]
	}
	return w.out.Touched.Thermostats[k]
}

func (w *watched) device(k int) sim.Seen {
	if w.deciding {
		return w.out.Deciding.Devices[k]
	}
	return w.out.Touched.Devices[k]
}

func (w *watched) alike(in sim.Injection) bool {
	k := in.Index
	switch in.Fault {
	case sim.AlarmDead, sim.NetworkLost:
		return true
	case sim.RelayClosed:
		return !w.relay(k).No
	case sim.RelayOpen:
		return !w.relay(k).Yes
	case sim.ControlOn, sim.ControlOff:
		return w.control(k, in.Fault == sim.ControlOn)
	case sim.ThermostatClosed:
		return !w.thermostat(k).No
	case sim.ThermostatOpen:
		return !w.thermostat(k).Yes
	case sim.DeviceDead, sim.ProgrammeOn, sim.ProgrammeOff:
		return !w.device(k).Yes
	case sim.ReservoirEmpty:
		return w.untapped(k)
	case sim.CircuitLost:
		return w.unused(k)
	case sim.SensorOffset, sim.SensorFixed, sim.SensorTrue, sim.SensorFalse, sim.SensorLost:
		return w.sensor(k, in)
	}
	return false
}

// sensor tells whether no control that reads a faulty sensor does anything else for it that shows. One may that decides
// nothing; of two in series each could seem to decide nothing while the other is open.
func (w *watched) sensor(k int, in sim.Injection) bool {
	otherwise := 0
	for n := range w.s.Controls {
		c := &w.s.Controls[n]
		if c.Kind == sim.Timer || w.s.Conditions[c.Condition].Sensor != k || w.readsAlike(c, in) {
			continue
		}
		if otherwise++; otherwise > 1 || w.decides(n) {
			return false
		}
	}
	return true
}

// control tells whether a control that hangs leaves every relay as it was while that mattered.
func (w *watched) control(k int, on bool) bool {
	if seen := w.out.Touched.Controls[k]; on && !seen.No || !on && !seen.Yes {
		return true
	}
	if !w.deciding {
		return false
	}
	for j, r := range w.s.Relays {
		if seen := w.relay(j); r.Control == k && (on && seen.No || !on && seen.Yes) {
			return false
		}
	}
	return true
}

// decides tells whether anything that a control does ever showed.
func (w *watched) decides(k int) bool {
	if !w.deciding {
		return true
	}
	for j, r := range w.s.Relays {
		if seen := w.relay(j); r.Control == k && (seen.Yes || seen.No) {
			return true
		}
	}
	return false
}

// readsAlike tells whether a control reads from a faulty sensor what it read all the time.
func (w *watched) readsAlike(c *sim.Control, in sim.Injection) bool {
	cond, seen := &w.s.Conditions[c.Condition], w.out.Touched.Conditions[c.Condition]
	says, known := false, true
	switch in.Fault {
	case sim.SensorTrue, sim.SensorFalse:
		says = in.Fault == sim.SensorTrue
	case sim.SensorLost: // what it does then is what this reading would make it do
		says = (c.OnLoss == (c.Kind == sim.Regulator)) != cond.Negate
	case sim.SensorFixed, sim.SensorOffset:
		if cond.Kind != sim.ComparatorTrue {
			return true
		}
		if x := w.s.Comparators[cond.Index]; in.Fault == sim.SensorFixed {
			says, known = x.Says(in.Value)
		} else {
			says, known = x.SaysWithin(w.out.Peaks, in.Value)
		}
	}
	return known && !(says && seen.No) && !(!says && seen.Yes)
}

// untapped tells whether no water was drawn from a reservoir, and nothing looked into it.
func (w *watched) untapped(k int) bool {
	for _, c := range w.s.Comparators {
		if c.Quantity == sim.Stored && c.Reservoir == k {
			return false
		}
	}
	for i := range w.s.Devices {
		if d := &w.s.Devices[i]; d.Kind == sim.TopOffPump && d.Reservoir == k && w.device(i).Yes {
			return false
		}
	}
	return w.out.Final.StoredL[k] == w.s.Reservoirs[k].VolumeL || w.out.Final.StoredL[k] == 0 && w.out.Balance.ToppedUpL == 0
}

// unused tells whether nothing on a circuit ever ran or switched, and no control watches it.
func (w *watched) unused(k int) bool {
	for i := range w.s.Devices {
		if w.s.Devices[i].Circuit == k && w.device(i).Yes {
			return false
		}
	}
	for i := range w.s.Controls {
		c := &w.s.Controls[i]
		if c.Circuit == k && !w.control(i, false) {
			return false
		}
		if c.Kind != sim.Timer && w.s.Conditions[c.Condition].Kind == sim.PowerPresent && w.s.Conditions[c.Condition].Index == k {
			return false
		}
	}
	return true
}
