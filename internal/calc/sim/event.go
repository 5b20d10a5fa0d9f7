package sim

import (
	"math"

	"saltwright/internal/calc/numeric"
)

// follow takes the water to the next instant at which something switches.
func (r *run) follow() {
	g := r.begin()
	g.lookTo(r.untilTimer())
	g.confine()
	if t, ok := r.untilBand(g); ok {
		g.lookTo(t)
	}
	if t, ok := r.untilBounds(g); ok {
		g.lookTo(t)
	}
	event := -1 // comparator that switches at the end, if any
	for _, i := range r.w.switching {
		p := &r.comparators[i]
		if p.stays(&g.bound) {
			continue
		}
		if t, ok := g.reaching(&r.s.Comparators[i], p.threshold(), !p.state); ok {
			event = i
			g.lookTo(t)
		}
	}
	r.advance(g)
	if event >= 0 {
		r.switchAt(event)
	}
}

// begin adds a segment that starts as things are now.
func (r *run) begin() *Segment {
	c := r.course
	if n := len(c.Segments); n < cap(c.Segments) {
		c.Segments = c.Segments[:n+1]
	} else {
		c.Segments = append(c.Segments, Segment{})
	}
	g := &c.Segments[len(c.Segments)-1]
	r.layOut(g)
	return g
}

// switchAt switches a comparator, and with it all that stand at the same value of the same quantity: which of
// them would be first is rounding, and the others might miss a value that is turned back at once.
func (r *run) switchAt(event int) {
	first, list := r.comparators[event], r.s.Comparators
	at := first.threshold()
	for _, i := range r.w.switching {
		p := &r.comparators[i]
		if p.quantity == first.quantity && p.state == first.state && !p.fixed && same(p.threshold(), at) &&
			list[i].Reservoir == list[event].Reservoir {
			p.state = !first.state
		}
	}
}

// untilTimer returns the time to the next instant that a clock sets.
func (r *run) untilTimer() float64 {
	h := r.horizon - r.t
	at := func(instant float64) {
		if d := instant - r.t; d > timeTolerance && d < h {
			h = d
		}
	}
	for i := range r.piece {
		at(r.t + r.piece[i].EndS - r.clock(i))
	}
	for _, i := range r.w.limited {
		if st := &r.control[i]; st.command {
			at(st.since + r.s.Controls[i].RunLimitS)
		}
	}
	for i := range r.supply {
		for _, turn := range r.supply[i].turns {
			at(turn)
		}
	}
	for k, since := range r.overSince {
		if since != Never {
			at(since + r.w.rated[k].opensAfter(r.w.rated[k].load(r)))
		}
	}
	for i := range r.starting {
		if r.starting[i].waits {
			at(r.starting[i].backAt)
		}
	}
	if d := r.untilAir(); d < h {
		h = d
	}
	return h
}

// untilBounds returns the time until a reservoir runs empty, the water reaches
// the rim or stops spilling, or the return pump draws air.
func (r *run) untilBounds(g *Segment) (h float64, found bool) {
	first := soonest{h: g.LengthS}
	at := first.at
	reaching := func(f *numeric.ExpPoly, level float64, rising bool) (float64, bool) {
		return f.FirstReachingWith(level, rising, g.LengthS, g.decay)
	}
	least, most := g.bound[Level][0], g.bound[Level][1]
	for i, q := range g.outflow {
		at(r.stored[i]/q, true) // never where none flows
	}
	for i, runs := range r.siphon {
		if runs {
			at(r.untilSiphonEnds(g, i))
		}
	}
	if g.spilling {
		inflow := g.spill.Derivative()
		at(reaching(&inflow, 0, false))
	} else if r.level < r.rimL && most >= r.rimL {
		at(reaching(&g.level, r.rimL, true))
	}
	if r.dammed && !g.spilling && r.deficit > r.brimL()+1e-9 {
		at(reaching(&g.deficit, r.brimL(), false))
	}
	if r.flowing && least <= r.intakeL {
		at(reaching(&g.level, r.intakeL, false))
	}
	if g.leak.any() {
		at(r.untilLeakEnds(g))
		at(r.untilCupFull(g))
	}
	at(r.untilInlet(g))
	at(r.untilStarved(g))
	for n := range r.s.Nodes {
		spare := r.spare(n)
		switch {
		case spare <= limitBand: // it has dried out
		case n == Display && g.displayAlone:
			at(reaching(&g.deficit, r.deficit+spare, true))
		case n == g.last && least <= r.level-spare:
			at(reaching(&g.level, r.level-spare, false))
		}
	}
	return first.h, first.found
}

// advance moves every quantity on to the end of a segment and keeps the accounts.
func (r *run) advance(g *Segment) {
	s, h, e := r.s, g.LengthS, g.decay
	for n := range s.Nodes {
		degreeSeconds := g.temp[n].Integral(h, e)
		evaporated := r.evaporation[n].Const*h + r.evaporation[n].Slope*degreeSeconds
		dry := r.bands(n)[r.band[n]].DryLossW
		r.evaporated += evaporated
		r.gain(-(dry.Const*h + dry.Slope*degreeSeconds + s.LatentJL*evaporated))
		if n == r.fills() && r.inflow > 0 {
			r.gain(r.inflow * s.VolumicHeatJLK * (s.TopOffTempC*h - degreeSeconds))
		}
	}
	for i := range s.Devices {
		d := &s.Devices[i]
		if !r.on[i] {
			continue
		}
		used := h
		if d.Programme >= 0 {
			level, perSecond := r.programmed(i)
			used = level*h + perSecond*h*h/2
		}
		r.gain((d.HeatW[Display] + d.HeatW[Sump]) * used)
		o := &r.course.Devices[i]
		if d.Kind == Doser || d.Kind == Drain {
			o.OnS += used
		} else {
			o.OnS += h
		}
		o.EnergyJ += d.ElectricW * used
	}
	for n := range s.Nodes {
		r.temp[n] = g.temp[n].With(h, e)
	}
	r.oxygen = g.oxygen.At(h)
	r.room = g.room.At(h)
	r.t += h
	r.fillCups(g)
	r.readClock()
	r.advanceWater(g)
	r.endSiphons()
	if r.flowing && r.level <= r.intakeL+limitBand {
		r.airless, r.course.airless = true, r.t
	}
}

// gain books heat that came in.
func (r *run) gain(joules float64) {
	r.heatIn += joules
	r.heatTurnover += math.Abs(joules)
}

func (r *run) advanceWater(g *Segment) {
	h, e := g.LengthS, g.decay
	for i, q := range g.outflow {
		if q == 0 {
			continue
		}
		r.book(i, min(q*h, r.stored[i]))
		if r.stored[i] -= q * h; r.stored[i] <= 1e-9 {
			r.stored[i] = 0
			if r.course.emptied[i] == Never {
				r.course.emptied[i] = r.t
			}
		}
	}
	salinity, sump := g.salinityAt(h), r.salt[r.s.Nodes-1]/r.sumpOrAll()
	spilled := g.spill.With(h, e)
	r.drained += g.taken * h
	if g.spilling && g.change == nil {
		salt, volume := r.mixed()
		if g.displayAlone && g.dilutes == 0 {
			salt, volume = r.salt[Sump], r.sumpVolume()
		}
		kept := salt * math.Exp(-(spilled-r.spilled)/volume)
		r.saltSpilled += salt - kept
		switch {
		case !g.displayAlone:
			r.share(kept)
		case g.dilutes > 0:
			r.salt[Display] = kept
		default:
			r.salt[Sump] = kept
		}
	}
	r.spilled = spilled
	r.level = g.level.With(h, e)
	r.deficit = g.deficit.With(h, e)
	if g.change == nil {
		r.leakSalt(g, salinity, sump)
	} else {
		r.changeSalt(g, salinity)
	}
	r.advanceDissolved(g)
	if r.flowing {
		r.share(r.salt[Display] + r.salt[Sump])
	}
}
