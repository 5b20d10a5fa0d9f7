package audit

import (
	"slices"

	"saltwright/internal/calc/sim"
)

// unmarked tells whether a fault that leaves the water alone in the run of a room with nothing broken leaves its marks
// alone, too.
//
// Why this is exact: only a control or a device's own thermostat leaves marks that the water does not. What may do
// something else than it did is followed from the fault on; none of it could leave a mark. A fault that holds a device, a
// control or a device's relay can only take its mark away, and there is none.
func (st *study) unmarked(i, room int) bool {
	rm := &st.rooms[room]
	w := watched{rm.system, &rm.nominal.first, false}
	controls, relays := make([]bool, len(w.s.Controls)), make([]bool, len(w.s.Relays)) // may do something else
	for _, in := range st.faults[i].injectionsIn(w.s) {
		k := in.Index
		switch in.Fault {
		case sim.AlarmDead, sim.NetworkLost:
		case sim.DeviceDead, sim.ThermostatClosed, sim.ThermostatOpen, sim.ProgrammeOn, sim.ProgrammeOff:
			if w.marked(sim.ThermostatTookOver, k) {
				return false
			}
		case sim.RelayOpen:
			d := w.s.Relays[k].Device
			if d >= 0 && w.marked(sim.ThermostatTookOver, d) {
				return false
			}
			relays[k] = d < 0
		case sim.RelayClosed:
			relays[k] = true
		case sim.ControlOn, sim.ControlOff:
			if w.marked(sim.CutoutTripped, k) || w.marked(sim.RunLimitReached, k) {
				return false
			}
			for j, r := range w.s.Relays {
				relays[j] = relays[j] || r.Control == k
			}
		case sim.SensorOffset, sim.SensorFixed, sim.SensorTrue, sim.SensorFalse, sim.SensorLost:
			for n := range w.s.Controls {
				c := &w.s.Controls[n]
				reads := c.Kind != sim.Timer && w.s.Conditions[c.Condition].Sensor == k
				controls[n] = controls[n] || reads && !w.readsAlike(c, in)
			}
		default:
			return false
		}
	}
	return w.leaveNoMarks(controls, relays)
}

// leaveNoMarks tells whether nothing that hangs on these controls and relays, themselves included, could leave a mark.
func (w *watched) leaveNoMarks(controls, relays []bool) bool {
	for moved := true; moved; {
		moved = false
		for j, r := range w.s.Relays {
			if !relays[j] && !controls[r.Control] {
				continue
			}
			if r.Device >= 0 {
				if w.s.Devices[r.Device].Thermostat >= 0 {
					return false
				}
				continue
			}
			moved = moved || !controls[r.Target]
			controls[r.Target] = true
		}
	}
	for n, may := range controls {
		if c := &w.s.Controls[n]; may && (c.Kind == sim.Cutout || c.RunLimitS > 0) {
			return false
		}
	}
	return true
}

func (w *watched) marked(kind sim.MarkKind, index int) bool {
	return slices.ContainsFunc(w.out.Marks, func(m sim.Mark) bool { return m.Kind == kind && m.Index == index })
}
