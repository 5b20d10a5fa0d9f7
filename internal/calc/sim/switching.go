package sim

// run is one simulation under way.
type run struct {
	water
	w        *wiring
	f        faultState
	course   *Course
	t        float64
	horizon  float64
	second   float64 // of the day at the start
	now      float64 // second of the day
	midnight float64 // the one before now, s after the one before the start
	piece    []Piece // of each programme, now
	blocked  bool    // every overflow is
	airless  bool    // the return pump has drawn air
	siphon   []bool  // of each reservoir, runs

	comparators []comparing
	relayClosed []bool
	circuitLive []bool
	supply      []timeline // when each circuit is live; nil: always
	air         int        // of the system, or -1: the usual one
	roomTarget  float64    // °C that the room goes to
	roomTau     float64    // s
	halted      []bool     // devices that wait for somebody to start them
	overSince   []float64  // of each rated circuit, or Never
	control     []controlState
	called      []bool // devices that can run, with power and closed relays
	on          []bool // devices

	band        [2]int  // of each node in the present segment
	evaporation [2]Line // of the present segment, L/s over °C
	inflow      float64 // of the present segment, L/s of top-off water

	heatIn, heatTurnover float64
	evaporated, toppedUp float64
}

type controlState struct {
	command, tripped, lockedOut, down bool
	since                             float64 // when command became true
}

// newRun prepares a run; reuse is a course that nobody needs any more, or nil.
func newRun(s *System, start *State, f faultState, horizonS float64, reuse *Course) *run {
	if start == nil {
		st := initialState(s)
		start = &st
	}
	r := &run{
		water: waterOf(s, start), w: s.wired(), f: f, horizon: horizonS, second: start.Second,
		comparators: make([]comparing, len(s.Comparators)),
		relayClosed: make([]bool, len(s.Relays)), circuitLive: make([]bool, len(s.Circuits)),
		control: make([]controlState, len(s.Controls)), called: make([]bool, len(s.Devices)),
		siphon: make([]bool, len(s.Reservoirs)), on: make([]bool, len(s.Devices)),
		piece: make([]Piece, len(s.Programmes)), halted: make([]bool, len(s.Devices)),
	}
	for i := range r.stored {
		if f.reservoirEmpty[i] {
			r.stored[i] = 0
		}
	}
	r.air, r.roomTarget = -1, r.room
	r.plumb()
	r.readClock()
	for _, i := range r.w.switching {
		c := &s.Comparators[i]
		r.comparators[i] = c.compare(r.value(c), start.compared[i], f.faultOf(c.Sensor))
	}
	if reuse == nil {
		reuse = &Course{}
	}
	*reuse = Course{
		s: s, start: r.water, before: start.compared, airless: Never,
		Devices: make([]DeviceUse, len(s.Devices)), emptied: make([]float64, len(s.Reservoirs)),
		RelayStarts: append(reuse.RelayStarts[:0], make([]int, len(s.Relays))...),
		lit:         timeline{!start.Lit, append(reuse.lit.turns[:0], -start.SameLitS)},
		flow:        timeline{start.Flowing, reuse.flow.turns[:0]},
		Segments:    reuse.Segments[:0], switched: reuse.switched[:0], numbers: reuse.numbers[:0],
	}
	r.course = reuse
	r.connect()
	r.course.start.stored = append([]float64(nil), r.stored...)
	for i := range r.course.emptied {
		r.course.emptied[i] = Never
	}
	if r.w.anyWatched {
		r.course.commands = make([]timeline, len(s.Controls))
	}
	return r
}

// readClock finds the second of the day, just short of midnight counting as midnight, and the piece of each programme.
func (r *run) readClock() {
	for r.now = r.second + r.t - r.midnight; r.now > daySeconds-timeTolerance; r.now -= daySeconds {
		r.midnight += daySeconds
	}
	for i, p := range r.s.Programmes {
		now := r.clock(i)
		if x := &r.piece[i]; now < x.StartS-timeTolerance || now >= x.EndS-timeTolerance {
			*x = p.pieceAt(now)
		}
	}
}

// clock returns the second of the day that a programme takes it to be.
func (r *run) clock(programme int) float64 {
	now := r.now + r.f.ahead[programme]
	if now > daySeconds-timeTolerance {
		now -= daySeconds
	}
	return now
}

// pieceAt returns the piece that holds from the given second of the day on.
func (p Programme) pieceAt(now float64) Piece {
	for _, piece := range p {
		if now < piece.EndS-timeTolerance && piece.EndS-piece.StartS > timeTolerance {
			return piece
		}
	}
	panic("sim: a programme must cover the whole day")
}

// programmed returns the level (0 … 1) that a device's own programme asks for now, and how fast it changes.
func (r *run) programmed(i int) (level, perSecond float64) {
	d := &r.s.Devices[i]
	switch f := r.f.programme[i]; {
	case d.Programme < 0 || f > 0:
		return 1, 0
	case f < 0:
		return 0, 0
	}
	p := &r.piece[d.Programme]
	perSecond = (p.To - p.From) / (p.EndS - p.StartS)
	return p.From + perSecond*(r.clock(d.Programme)-p.StartS), perSecond
}

// gives tells whether a lamp's own programme lets it give light now, however little.
func (r *run) gives(i int) bool {
	d := &r.s.Devices[i]
	switch f := r.f.programme[i]; {
	case d.Programme < 0 || f > 0:
		return true
	case f < 0:
		return false
	}
	return r.piece[d.Programme].From > 0 || r.piece[d.Programme].To > 0
}

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
		}
	}
	r.resolveLight()
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
		return r.flowing
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
		if d.StaysOff && !live {
			r.halted[i] = true
		}
		called := !r.f.deviceDead[i] && live && !r.halted[i] && r.closed(r.w.ontoDevice[i])
		on := called
		if called && d.Thermostat >= 0 && !r.f.thermostatShut[i] {
			on = r.comparators[d.Thermostat].state == (d.Kind == Chiller)
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

// leastHeadMM is less than what moves water.
const leastHeadMM = 1e-3

// head returns how far a reservoir's water stands above where its line lets it out: the line's end, or the water that
// the end dips into.
func (r *run) head(i int) float64 {
	v := &r.s.Reservoirs[i]
	return v.HeightMM(r.stored[i]) - max(v.LineEndMM, r.s.Chamber.HeightAtMM(r.level))
}

// beginSiphon lets a reservoir run on when its pump stops and has left the line full.
func (r *run) beginSiphon(i int) {
	v := &r.s.Reservoirs[i]
	r.siphon[i] = v.Siphons() && (!v.Break || r.f.siphon[i]) && r.head(i) > leastHeadMM
}

func (r *run) resolveLight() {
	lit := false
	for _, i := range r.w.lamps {
		lit = lit || r.on[i] && r.gives(i)
	}
	r.course.lit.set(lit, r.t)
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
