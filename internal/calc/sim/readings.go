package sim

import "math"

// said returns what comparator number i said all through the course when its sensor had a fault.
func (c *Course) said(i int, f sensorFault) timeline {
	q := &c.s.Comparators[i]
	if f != (sensorFault{}) {
		return c.compared(q, q.compare(c.start.value(q), c.before[i], f), true, math.Inf(1))
	}
	if c.read == nil {
		c.reading, c.read = make([]timeline, len(c.s.Comparators)), make([]bool, len(c.s.Comparators))
	}
	if !c.read[i] {
		c.reading[i] = c.compared(q, q.compare(c.start.value(q), c.before[i], f), true, math.Inf(1))
		c.read[i] = true
	}
	return c.reading[i]
}

// compared returns what a comparator said all through the course, or until it has said what is sought for so long.
func (c *Course) compared(q *Comparator, p comparing, sought bool, seconds float64) timeline {
	out := always(p.state)
	if p.stays(&c.bound) {
		return out
	}
	for i := range c.Segments {
		g := &c.Segments[i]
		since := 0.0
		if n := len(out.turns); n > 0 {
			since = out.turns[n-1]
		}
		if p.state == sought && g.StartS-since > seconds {
			break
		}
		if !p.stays(&g.bound) {
			g.turns(q, &p, &out)
		}
	}
	return out
}

// turns adds to a timeline when a comparator switches within the segment.
func (g *Segment) turns(q *Comparator, p *comparing, out *timeline) {
	for t := 0.0; ; {
		next, found := g.reachingAfter(t, q, p.threshold(), !p.state)
		if !found {
			return
		}
		t, p.state = next, !p.state
		if t >= g.LengthS-timeTolerance {
			out.set(p.state, g.StartS+g.LengthS)
			return
		}
		out.set(p.state, g.StartS+t)
	}
}

// End returns the tank at the end of the course.
//
// Accuracy: as Run. Errors: none. Source: [Derived].
func (c *Course) End() State {
	st := c.final
	st.compared = append([]bool(nil), st.compared...)
	acts := make([]bool, len(st.compared))
	for _, i := range c.s.wired().switching {
		acts[i] = true
	}
	for i := range c.s.Comparators {
		if !acts[i] {
			said := c.said(i, sensorFault{})
			st.compared[i] = said.last()
		}
	}
	return st
}

// witness tells what switches and sensors did in a course if it was brought about by certain faults.
type witness struct {
	*Course
	w      *wiring
	f      faultState
	supply []timeline // when each circuit was live; nil: always
}

func (c *Course) witness(injections []Injection) witness {
	f := newFaultState(c.s, injections)
	return witness{c, c.s.wired(), f, f.supplies(c.s, c.opened)}
}

// live returns when a circuit had power.
func (v *witness) live(circuit int) timeline {
	if v.supply == nil {
		return always(true)
	}
	return v.supply[circuit].upTo(v.EndS + timeTolerance)
}

// reads returns when a condition held; onLoss where its sensor is lost.
func (v *witness) reads(index int, onLoss bool) timeline {
	c := &v.s.Conditions[index]
	if c.Kind == Vote {
		return v.votes(c, onLoss)
	}
	if yes, known := v.f.forces(c, onLoss); known {
		return always(yes)
	}
	return v.sees(c, v.f.faultOf(c.Sensor))
}

// sees returns when a condition held as a sensor with a fault sees it, if it has a signal.
func (v *witness) sees(c *Condition, f sensorFault) timeline {
	var sees timeline
	switch c.Kind {
	case ComparatorTrue:
		sees = v.said(c.Index, f)
	case FlowRunning:
		if sees = v.flow; v.f.flowShare(v.s) < c.LeastFlow {
			sees = always(false)
		}
	case LightSeen:
		sees = v.lit
	case PowerPresent:
		sees = v.live(c.Index)
	}
	if c.Negate {
		return sees.not()
	}
	return sees
}

// powered returns when a control had power: from its circuit, through the relays in its supply.
func (v *witness) powered(control int) timeline {
	out := v.live(v.s.Controls[control].Circuit)
	if v.s.Controls[control].Restarts == StaysDown {
		out.turns = out.turns[:min(len(out.turns), 1)]
		if !out.first {
			return always(false)
		}
	}
	for _, j := range v.w.ontoControl[control] {
		switch f := v.f.relay[j]; {
		case f < 0:
			return always(false)
		case f == 0:
			out = out.and(v.closes(v.s.Relays[j].Control))
		}
	}
	return out
}

// closes returns when a cut-out, the only control that a plan lets switch another, kept its relays closed.
func (v *witness) closes(control int) timeline {
	c, powered := &v.s.Controls[control], v.powered(control)
	switch f := v.f.control[control]; {
	case f > 0:
		return powered
	case f < 0:
		return always(false)
	case c.Kind != Cutout:
		panic("sim: only a cut-out may switch another control")
	}
	trips := v.reads(c.Condition, !c.OnLoss)
	if c.Latching {
		supply := powered
		if c.Restarts == AsBefore {
			trips, supply = trips.and(powered), always(true)
		}
		trips = trips.until(supply)
	}
	return powered.and(trips.not())
}

// votes returns when a vote said yes; onLoss where no sensor gives a signal.
func (v *witness) votes(c *Condition, onLoss bool) timeline {
	voters := v.f.voters(v.s, c)
	if len(voters) == 0 {
		return always(onLoss)
	}
	said := make([]timeline, len(voters))
	for k, i := range voters {
		said[k] = v.reads(i, false)
	}
	return counted(said, func(yes int) bool { return c.Most.carried(yes, len(voters)) })
}
