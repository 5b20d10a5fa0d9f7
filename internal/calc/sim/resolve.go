package sim

import "math"

// maxPasses bounds the passes in which switches act on each other at one
// instant. Controls form no loop, so that only a control that reads the flow it
// switches itself could use them up; it then keeps its last state until the next event.
const maxPasses = 16

// resolve lets every switch, control and device take the state that the
// present readings ask for.
func (r *run) resolve() {
	changed := true
	for pass := 0; changed && pass < maxPasses; pass++ {
		r.resolveCircuits()
		changed = r.resolveControls()
		changed = r.resolveDevices() || changed
	}
	r.out.Deciding.Unsettled = r.out.Deciding.Unsettled || changed
	if !r.unwatched {
		r.watch()
	}
	r.resolveLight()
	r.resolveAlarms()
	r.resolveLimits()
}

func (r *run) resolveCircuits() {
	mains := !r.f.mainsLost || r.t >= r.s.OutageS-timeTolerance
	for i, c := range r.s.Circuits {
		live := !r.f.circuitLost[i] && (mains || r.t < c.BackupS-timeTolerance)
		if live != r.circuitLive[i] {
			r.circuitLive[i] = live
			if !live {
				r.mark(CircuitDied, i)
			}
		}
	}
}

// says returns what a condition sees, before its negation and whatever its sensor makes of it.
func (r *run) says(c *Condition) bool {
	switch c.Kind {
	case ComparatorTrue:
		return r.comparators[c.Index].state
	case FlowRunning:
		return r.flowing
	case PowerPresent:
		return r.circuitLive[c.Index]
	}
	return r.spilled > 0 // FloorWet
}

// watch keeps what every switch did while it decided something.
func (r *run) watch() {
	t := &r.out.Deciding
	for i := range r.s.Devices {
		d := &r.s.Devices[i]
		if r.f.deviceDead[i] || !r.circuitLive[d.Circuit] || d.idles() && r.stored[d.Reservoir] == 0 {
			continue
		}
		if level, perSecond, _ := r.programmePiece(i); level == 0 && perSecond == 0 {
			continue // on or off, it is dark
		}
		open, at := 0, -1 // relays in its supply that are open, and the last of them
		for _, j := range r.w.ontoDevice[i] {
			if !r.relayClosed[j] {
				open, at = open+1, j
			}
		}
		closes := true
		if d.Thermostat >= 0 {
			natural := r.comparators[d.Thermostat].state == (d.Kind == Chiller)
			if open == 0 {
				t.Thermostats[i].see(natural)
			}
			closes = natural
			if f := r.f.thermostat[i]; f != 0 {
				closes = f > 0
			}
		}
		t.Devices[i].see(open == 0 && closes)
		switch {
		case !closes || open > 1:
		case open == 1:
			r.decides(at, false)
		default:
			for _, j := range r.w.ontoDevice[i] {
				r.decides(j, true)
			}
		}
	}
	for i := range r.s.Controls {
		if !r.circuitLive[r.s.Controls[i].Circuit] {
			continue
		}
		for _, j := range r.w.ontoControl[i] { // as if it always mattered
			r.decides(j, r.relayClosed[j])
		}
	}
}

func (r *run) decides(relay int, closed bool) {
	if r.f.relay[relay] == 0 {
		r.out.Deciding.Relays[relay].see(closed)
	}
}

// reads returns what a condition says and whether its sensor is lost.
func (r *run) reads(index int) (yes, lost bool) {
	c := &r.s.Conditions[index]
	yes = r.says(c)
	r.out.Touched.Conditions[index].see(yes)
	if c.Sensor >= 0 {
		f := r.f.sensor[c.Sensor]
		if f.forced != 0 {
			yes = f.forced > 0
		}
		lost = f.lost
	}
	return yes != c.Negate, lost
}

// resolveControls switches controls and their relays; changed when another control hangs on one of them.
func (r *run) resolveControls() (changed bool) {
	for i := range r.s.Controls {
		st := &r.control[i]
		powered := r.circuitLive[r.s.Controls[i].Circuit]
		for _, j := range r.w.ontoControl[i] {
			powered = powered && r.relayClosed[j]
		}
		if !powered {
			st.tripped, st.lockedOut = false, false // a restart forgets
		}
		command := r.command(i, powered)
		if command && !st.command {
			st.since = r.t
		}
		st.command, st.powered = command, powered
		for _, j := range r.w.fromControl[i] {
			closed := command && powered
			r.out.Touched.Relays[j].see(closed)
			if f := r.f.relay[j]; f != 0 {
				closed = f > 0
			}
			if closed != r.relayClosed[j] {
				r.relayClosed[j] = closed
				changed = changed || r.s.Relays[j].Target >= 0 // a control before this one may have to look again
			}
		}
	}
	return changed
}

func (r *run) command(i int, powered bool) bool {
	natural := r.natural(i, powered)
	r.out.Touched.Controls[i].see(natural)
	if f := r.f.control[i]; f != 0 {
		return f > 0
	}
	return natural
}

// natural is what a control commands of its own accord.
func (r *run) natural(i int, powered bool) bool {
	c, st := &r.s.Controls[i], &r.control[i]
	if r.f.control[i] != 0 { // it hangs: it neither trips nor locks out
		return r.f.control[i] > 0
	}
	if !powered {
		return false
	}
	switch c.Kind {
	case Timer:
		p := &r.piece[c.Programme]
		return p.From > 0 || p.To > 0
	case Cutout:
		yes, lost := r.reads(c.Condition)
		trip := yes
		if lost {
			trip = !c.OnLoss
		}
		if trip && !st.tripped {
			st.tripped = true
			r.mark(CutoutTripped, i)
		} else if !trip && !c.Latching {
			st.tripped = false
		}
		return !st.tripped
	default:
		yes, lost := r.reads(c.Condition)
		if lost {
			yes = c.OnLoss
		}
		if yes && c.RunLimitS > 0 && st.command && r.t-st.since >= c.RunLimitS-timeTolerance && !st.lockedOut {
			st.lockedOut = true
			r.mark(RunLimitReached, i)
		}
		return yes && !st.lockedOut
	}
}

// resolveDevices switches devices; changed when the return flow starts or stops, which a control may read.
func (r *run) resolveDevices() (changed bool) {
	flowing := false
	for i := range r.s.Devices {
		d := &r.s.Devices[i]
		on := r.circuitLive[d.Circuit]
		controlled := len(r.w.ontoDevice[i]) > 0
		for _, j := range r.w.ontoDevice[i] {
			on = on && r.relayClosed[j]
		}
		if d.Thermostat >= 0 {
			closed := r.comparators[d.Thermostat].state == (d.Kind == Chiller)
			if on {
				r.out.Touched.Thermostats[i].see(closed)
			}
			if f := r.f.thermostat[i]; f != 0 {
				closed = f > 0
			}
			if on && controlled && !closed && r.f.thermostat[i] == 0 && !r.f.deviceDead[i] {
				r.mark(ThermostatTookOver, i)
			}
			on = on && closed
		}
		r.out.Touched.Devices[i].see(on)
		on = on && !r.f.deviceDead[i]
		if on != r.deviceOn[i] {
			r.deviceOn[i] = on
			if on && r.t > 0 {
				r.out.Devices[i].Starts++
			}
		}
		if d.Kind == ReturnPump && on && !r.airLocked {
			flowing = true
		}
	}
	if r.s.Nodes == 2 && flowing != r.flowing {
		r.setFlow(flowing)
		changed = true
	}
	return changed
}

// programmePiece returns the level (0 … 1) a device's own programme asks for
// now, how fast it changes and when this piece ends, s from now.
func (r *run) programmePiece(i int) (level, perSecond, endsIn float64) {
	d := &r.s.Devices[i]
	if d.Programme < 0 {
		return 1, 0, math.Inf(1)
	}
	switch r.f.programme[i] {
	case 1:
		return 1, 0, math.Inf(1)
	case -1:
		return 0, 0, math.Inf(1)
	}
	p := &r.piece[d.Programme]
	perSecond = (p.To - p.From) / (p.EndS - p.StartS)
	return p.From + perSecond*(r.now-p.StartS), perSecond, p.EndS - r.now
}

// readClock finds the second of the day, just short of midnight counting as midnight, and the piece of each programme.
func (r *run) readClock() {
	r.now = math.Mod(r.second+r.t, daySeconds)
	if r.now > daySeconds-timeTolerance {
		r.now -= daySeconds
	}
	for i, p := range r.s.Programmes {
		if x := &r.piece[i]; r.now < x.StartS-timeTolerance || r.now >= x.EndS-timeTolerance {
			*x = p.pieceAt(r.now)
		}
	}
}

// timeTolerance is below any interval that matters, s: instants closer than this are one.
const timeTolerance = 1e-6

// pieceAt returns the piece that holds from the given second of the day on.
func (p Programme) pieceAt(now float64) Piece {
	for _, piece := range p {
		if now < piece.EndS-timeTolerance && piece.EndS-piece.StartS > timeTolerance {
			return piece
		}
	}
	panic("sim: a programme must cover the whole day")
}

func (r *run) resolveLight() {
	lit := false
	for i := range r.s.Devices {
		if r.deviceOn[i] && r.s.Devices[i].Kind == Light {
			level, perSecond, _ := r.programmePiece(i)
			lit = lit || level > 0 || perSecond > 0
		}
	}
	if lit != r.lit {
		r.lit, r.litSince = lit, r.t
	}
}

func (r *run) resolveAlarms() {
	for i := range r.s.Alarms {
		a, st := &r.s.Alarms[i], &r.alarm[i]
		r.out.Called[i].note(r.says(&r.s.Conditions[a.Condition]), r.t, !r.asked)
		if r.silent {
			continue
		}
		yes, lost := r.reads(a.Condition)
		ready := (yes && !lost) || (lost && a.OnLoss)
		ready = ready && !r.f.alarmDead[i] && (a.Circuit < 0 || r.circuitLive[a.Circuit])
		if a.Path == Network {
			ready = ready && !r.f.networkLost && (r.s.NetworkCircuit < 0 || r.circuitLive[r.s.NetworkCircuit])
		}
		if ready && !st.pending {
			st.since = r.t
		}
		st.pending = ready
		if ready && st.raised == Never && r.t-st.since >= a.DelayS-timeTolerance {
			st.raised = r.t
		}
	}
	r.asked = true
}

func (r *run) resolveLimits() {
	base := len(r.s.Comparators)
	for k := range LimitKinds {
		if !r.s.Limits[k].Active {
			continue
		}
		l, st := &r.out.Limits[k], &r.limit[k]
		if k == NoDark || k == NoLight {
			same := 0.0
			if r.lit == (k == NoDark) {
				same = r.t - r.litSince
			}
			if l.ComfortS == Never && same >= r.s.Limits[k].Comfort-timeTolerance {
				l.ComfortS = r.t
			}
			if l.HarmS == Never && same >= r.s.Limits[k].Harm-timeTolerance {
				l.HarmS = r.t
			}
			continue
		}
		n := base + 2*int(k)
		if l.ComfortS == Never && r.comparators[n].state == exceededWhenTrue(k) {
			l.ComfortS = r.t
		}
		over := r.comparators[n+1].state == exceededWhenTrue(k)
		if over && !st.over {
			st.since = r.t
		}
		st.over = over
		if over && l.HarmS == Never && r.t-st.since >= r.s.Limits[k].HarmAfterS-timeTolerance {
			l.HarmS = r.t
		}
	}
}
