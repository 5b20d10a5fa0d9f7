package sim

// maxPasses bounds the passes in which switches act on each other at one
// instant. Controls form no loop, so that only a control that reads the flow it
// switches itself could use them up; it then keeps its last state until the next event.
const maxPasses = 16

// resolve lets every switch, control and device take the state that the
// present readings ask for.
func (r *run) resolve() {
	for again := true; again; again = r.overload() {
		for i := range r.circuitLive {
			r.circuitLive[i] = r.supply == nil || r.supply[i].at(r.t)
		}
		changed := true
		for pass := 0; changed && pass < maxPasses; pass++ {
			changed = r.resolveControls()
			changed = r.resolveDevices() || changed
			changed = r.resolveLight() || changed
		}
	}
	r.course.lit.set(r.lit, r.t)
	r.resolveRoom()
}

// resolveControls switches controls and their relays; changed when another control hangs on one of them.
func (r *run) resolveControls() (changed bool) {
	for i := range r.s.Controls {
		c, st := &r.s.Controls[i], &r.control[i]
		powered := r.circuitLive[c.Circuit] && r.closed(r.w.ontoControl[i])
		if !powered && c.Restarts != AsBefore {
			st.tripped, st.lockedOut = false, false // a restart forgets
		}
		if c.Restarts == StaysDown && (st.down || !r.circuitLive[c.Circuit]) {
			st.down, powered = true, false
		}
		command := powered
		if f := r.f.control[i]; f != 0 { // it hangs: it neither trips nor locks out
			command = f > 0
		} else if powered {
			command = r.command(c, st)
		}
		if command && !st.command {
			st.since = r.t
		}
		if command != st.command && r.w.watchedControl[i] {
			r.course.commands[i].set(command, r.t)
		}
		st.command = command
		for _, j := range r.w.fromControl[i] {
			closed := command && powered
			if f := r.f.relay[j]; f != 0 {
				closed = f > 0
			}
			if closed != r.relayClosed[j] {
				if closed && r.t > 0 {
					r.course.RelayStarts[j]++
				}
				r.relayClosed[j] = closed
				changed = changed || r.s.Relays[j].Target >= 0 // a control before this one may have to look again
			}
		}
	}
	return changed
}

// closed tells whether all of some relays are.
func (r *run) closed(relays []int) bool {
	for _, j := range relays {
		if !r.relayClosed[j] {
			return false
		}
	}
	return true
}

// command is what a control with power and nothing wrong asks of its relays.
func (r *run) command(c *Control, st *controlState) bool {
	switch c.Kind {
	case Contactor:
		return true
	case Timer:
		p := &r.piece[c.Programme]
		return p.From > 0 || p.To > 0
	case Cutout:
		if trip := r.reads(c.Condition, !c.OnLoss); trip {
			st.tripped = true
		} else if !c.Latching {
			st.tripped = false
		}
		return !st.tripped
	default:
		yes := r.reads(c.Condition, c.OnLoss)
		if yes && c.RunLimitS > 0 && st.command && r.t-st.since >= c.RunLimitS-timeTolerance {
			st.lockedOut = true
		}
		return yes && !st.lockedOut
	}
}

// reads returns what a condition says; onLoss where its sensor is lost.
func (r *run) reads(index int, onLoss bool) bool {
	c := &r.s.Conditions[index]
	if c.Kind == Vote {
		return r.votes(c, onLoss)
	}
	if yes, known := r.f.forces(c, onLoss); known {
		return yes
	}
	return r.sees(c) != c.Negate
}

// sees returns what a condition sees, before its negation.
func (r *run) sees(c *Condition) bool {
	switch c.Kind {
	case ComparatorTrue:
		return r.comparators[c.Index].state
	case FlowRunning:
		return r.flowing && r.flowShare >= c.LeastFlow
	case LightSeen:
		return r.lit
	default: // PowerPresent
		return r.circuitLive[c.Index]
	}
}

// resolveDevices switches devices; changed when the return flow starts or stops, which a control may read.
func (r *run) resolveDevices() (changed bool) {
	flowing := false
	for i := range r.s.Devices {
		d := &r.s.Devices[i]
		live := r.circuitLive[d.Circuit]
		if r.starting != nil {
			live = r.starting[i].ready(&d.Starts, live, r.t)
		}
		if d.StaysOff && !live {
			r.halted[i] = true
		}
		called := !r.f.deviceDead[i] && live && !r.halted[i] && r.closed(r.w.ontoDevice[i])
		if r.f.valveStuck[i] {
			called = true
		}
		on := called
		if called && d.Thermostat >= 0 && !r.f.thermostatShut[i] {
			on = r.comparators[d.Thermostat].state == (d.Kind == Chiller)
		}
		if d.Dry.Covered > 0 && r.standsDry(i, on) || d.Kind == Skimmer && r.stopped(i) {
			called, on = false, false
		}
		if on != r.on[i] || called != r.called[i] {
			if on && !r.on[i] && r.t > 0 {
				r.course.Devices[i].Starts++
				if called && r.called[i] {
					r.course.Devices[i].ThermostatStarts++
				}
			}
			if r.on[i] && !on && d.Kind == TopOffPump {
				r.beginSiphon(d.Reservoir)
			}
			if r.starting != nil && on && !r.on[i] && r.t > 0 {
				r.starting[i].onAt = r.t
			}
			r.on[i], r.called[i] = on, called
			r.course.switched = append(r.course.switched, switched{r.t, i, called, on})
		}
		if d.Kind == ReturnPump && on && !r.airless {
			flowing = true
		}
	}
	if r.blocked {
		changed = r.damOrNot(flowing)
		flowing = false
	}
	if r.s.Nodes == 2 && flowing != r.flowing {
		r.setFlow(flowing)
		r.course.flow.set(flowing, r.t)
		changed = true
	}
	return changed
}

// resolveLight finds whether some lamp gives light; changed when that is new, which a control may read.
func (r *run) resolveLight() (changed bool) {
	lit := false
	for _, i := range r.w.lamps {
		lit = lit || r.on[i] && r.gives(i)
	}
	changed, r.lit = lit != r.lit, lit
	return changed
}

// votes returns what a vote says; onLoss where no sensor gives a signal.
func (r *run) votes(c *Condition, onLoss bool) bool {
	yes, voters := 0, r.f.voters(r.s, c)
	if len(voters) == 0 {
		return onLoss
	}
	for _, i := range voters {
		if r.reads(i, false) {
			yes++
		}
	}
	return c.Most.carried(yes, len(voters))
}
