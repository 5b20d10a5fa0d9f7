package sim

import (
	"math"

	"saltwright/internal/calc/numeric"
)

// courses are the quantities of one segment as functions of the time since it began.
type courses struct {
	rates       numeric.ExpPoly // of the exponentials that all quantities but oxygen share
	temp        [2]numeric.ExpPoly
	evaporation [2]Line            // L/s over °C
	evap        [2]numeric.ExpPoly // L/s
	level       numeric.ExpPoly    // L
	deficit     numeric.ExpPoly    // L, display while the return stands still
	spill       numeric.ExpPoly    // L on the floor
	net         numeric.ExpPoly    // L/s into the level chamber
	oxygen      numeric.ExpPoly
	outflow     []float64 // L/s from each reservoir
	inflow      float64   // L/s of top-off water
	spilling    bool
	fan         int
	last        int // the node with the level chamber
}

// ahead is what is known of the time to h from now, h being the earliest event found so far.
type ahead struct {
	h      float64
	decay  numeric.Decay      // at h, of the two exponentials that all quantities but oxygen share
	oxygen numeric.Decay      // at h, of the oxygen's exponential
	bound  [Stored][2]float64 // what no quantity leaves up to h, or up to a later instant that h once was
}

// upTo shortens what is ahead to h; bounds, being those of a longer time, still hold.
func (a *ahead) upTo(c *courses, h float64) {
	a.h = h
	a.decay, a.oxygen = c.rates.DecayAt(h), c.oxygen.DecayAt(h)
}

// ahead looks forward to h.
func (r *run) ahead(c *courses, h float64) (a ahead) {
	a.upTo(c, h)
	set := func(q Quantity, f *numeric.ExpPoly, e numeric.Decay) {
		a.bound[q][0], a.bound[q][1] = f.BoundsWith(h, e)
	}
	set(DisplayTemp, &c.temp[Display], a.decay)
	set(SumpTemp, &c.temp[c.last], a.decay)
	set(Level, &c.level, a.decay)
	set(Oxygen, &c.oxygen, a.oxygen)
	set(Spill, &c.spill, a.decay)
	a.bound[Salinity] = [2]float64{math.Inf(-1), math.Inf(1)}
	if salt, volume := r.mixed(); !c.spilling && (r.s.Nodes == 1 || r.flowing) {
		const rounding = 1e-12
		volume -= r.level
		a.bound[Salinity] = [2]float64{salt / (volume + a.bound[Level][1]) * (1 - rounding), salt / (volume + a.bound[Level][0]) * (1 + rounding)}
	}
	return a
}

// segment follows the tank to the next event and applies it.
func (r *run) segment() {
	c := &r.course
	r.plot(c)
	a := r.ahead(c, r.untilTimer())
	event := -1 // comparator that switches at the end, if any
	if t, ok := r.untilBounds(c, &a); ok {
		a.upTo(c, t)
	}
	for i := range r.comparators {
		p := &r.comparators[i]
		if p.fixed {
			continue
		}
		q := &r.w.watched[i]
		if q.Quantity < Stored { // a quick no from the bounds
			if b := &a.bound[q.Quantity]; (p.state && b[0] > p.low) || (!p.state && b[1] < p.high) {
				continue
			}
		}
		if t, ok := r.reaching(c, &a, q, p.threshold(), !p.state); ok && (event < 0 || t < a.h) {
			event = i
			a.upTo(c, t)
		}
	}
	r.advance(c, &a)
	if event >= 0 {
		r.switchAt(event)
	}
}

// switchAt switches a comparator, and with it all that stand at the same value of the same quantity: which of
// them would be first is rounding, and the others might miss a value that is turned back at once.
func (r *run) switchAt(event int) {
	state, at, q := r.comparators[event].state, r.comparators[event].threshold(), &r.w.watched[event]
	for i := range r.comparators {
		p := &r.comparators[i]
		if p.state != state || p.fixed || r.w.watched[i].Quantity != q.Quantity || r.w.watched[i].Reservoir != q.Reservoir {
			continue
		}
		if math.Abs(p.threshold()-at) <= sameThreshold*math.Max(1, math.Abs(at)) {
			p.state = !state
		}
	}
}

// sameThreshold is how far apart, as a share, two thresholds are that only rounding tells apart.
const sameThreshold = 1e-12

// plot lays out every quantity from the present state of the switches.
func (r *run) plot(c *courses) {
	s := r.s
	*c = courses{outflow: r.outflow, last: s.Nodes - 1}
	clear(c.outflow)
	q := heatFlow{nodes: s.Nodes, capacity: r.capacities()}
	stirred := r.flowing
	for i := range s.Devices {
		d := &s.Devices[i]
		if !r.deviceOn[i] {
			continue
		}
		switch d.Kind {
		case Fan:
			c.fan = 1
		case CirculationPump:
			stirred = true
		case ReturnPump:
			stirred = stirred || s.Nodes == 1
		case TopOffPump:
			if r.stored[d.Reservoir] > 0 {
				c.outflow[d.Reservoir] += d.FlowLS
			}
		}
		level, perSecond := 1.0, 0.0
		if d.Programme >= 0 {
			level, perSecond, _ = r.programmePiece(i)
		}
		for n := range s.Nodes {
			q.constant[n] += d.HeatW[n] * level
			q.ramp[n] += d.HeatW[n] * perSecond
		}
	}
	for i, v := range s.Reservoirs {
		if r.f.siphon[i] && r.stored[i] > 0 {
			c.outflow[i] = math.Max(c.outflow[i], v.SiphonLS)
		}
		c.inflow += c.outflow[i]
	}
	last := c.last
	for n := range s.Nodes {
		c.evaporation[n] = r.evaporation(n, c.fan)
		e, dry := c.evaporation[n], s.Node[n].DryLossW
		q.slope[n] = dry.Slope + s.LatentJL*e.Slope
		q.constant[n] -= dry.Const + s.LatentJL*e.Const
	}
	cold := c.inflow * s.VolumicHeatJLK
	q.slope[last] += cold
	q.constant[last] += cold * s.TopOffTempC
	if s.Nodes == 2 && r.flowing {
		q.coupling = s.FlowWK
	}
	c.temp = q.solve(r.temp)
	c.rates.L = c.temp[Display].L
	for i, l := range c.temp[Sump].L {
		if l != 0 { // a node by itself has its own rate in its own place, which leaves the other's at 0
			c.rates.L[i] = l
		}
	}
	for n := range s.Nodes {
		e := c.evaporation[n]
		c.evap[n] = numeric.Constant(e.Const).Plus(e.Slope, c.temp[n])
	}
	c.net = numeric.Constant(c.inflow).Plus(-1, c.evap[last])
	if s.Nodes == 2 && r.flowing {
		c.net = c.net.Plus(-1, c.evap[Display])
	}
	c.deficit = numeric.Constant(r.deficit)
	if s.Nodes == 2 && !r.flowing {
		c.deficit = c.evap[Display].IntegralFrom(r.deficit)
	}
	c.level, c.spill = c.net.IntegralFrom(r.level), numeric.Constant(r.spilled)
	if r.level >= r.rimL-1e-9 && c.net.At(0) > 0 {
		c.spilling = true
		c.level, c.spill = numeric.Constant(r.rimL), c.net.IntegralFrom(r.spilled)
	}
	o := s.OxygenBalance
	k := o.StillS
	if stirred {
		k = o.StirredS
	}
	end := o.SaturationMgL - o.DemandMgLS/k
	c.oxygen = numeric.ExpPoly{P: [3]float64{end}, B: [2]float64{r.oxygen - end}, L: [2]float64{k}}
}

// driedShare of its water is what a vessel keeps when it has dried out: nothing
// evaporates any more, and everything in it has been lost long before.
const driedShare = 0.05

// evaporation returns the evaporation of a node, none when it has dried out.
func (r *run) evaporation(n, fan int) Line {
	if r.waterLeft(n) <= driedShare*r.s.Node[n].VolumeL+limitBand {
		return Line{}
	}
	return r.s.Node[n].EvaporationLS[fan]
}

// waterLeft returns the water in a node, L.
func (r *run) waterLeft(n int) float64 {
	if n == Display {
		return r.displayVolume()
	}
	return r.sumpVolume()
}

// untilTimer returns the time to the next instant that a clock sets.
func (r *run) untilTimer() float64 {
	h := r.horizon - r.t
	at := func(instant float64) {
		if d := instant - r.t; d > timeTolerance && d < h {
			h = d
		}
	}
	s := r.s
	for i := range s.Devices {
		d := &s.Devices[i]
		if d.Programme >= 0 {
			_, _, ends := r.programmePiece(i)
			at(r.t + ends)
		}
	}
	for i := range s.Controls {
		c := &s.Controls[i]
		if c.Kind == Timer {
			at(r.t + r.piece[c.Programme].EndS - r.now)
		}
		if st := r.control[i]; c.RunLimitS > 0 && st.command {
			at(st.since + c.RunLimitS)
		}
	}
	for i, a := range r.alarm {
		if a.pending && a.raised == Never {
			at(a.since + s.Alarms[i].DelayS)
		}
	}
	if r.f.mainsLost {
		at(s.OutageS)
		for _, c := range s.Circuits {
			at(c.BackupS)
		}
	}
	for k := range LimitKinds {
		l := s.Limits[k]
		switch {
		case !l.Active:
		case k == NoDark || k == NoLight:
			if r.lit == (k == NoDark) {
				at(r.litSince + l.Comfort)
				at(r.litSince + l.Harm)
			}
		case r.limit[k].over && r.out.Limits[k].HarmS == Never:
			at(r.limit[k].since + l.HarmAfterS)
		}
	}
	return h
}

// untilBounds returns the time until a reservoir runs empty, the water reaches
// the rim or stops spilling, or the return pump draws air.
func (r *run) untilBounds(c *courses, a *ahead) (h float64, found bool) {
	h = a.h
	reaching := func(f *numeric.ExpPoly, level float64, rising bool) (float64, bool) {
		return f.FirstReachingWith(level, rising, a.h, a.decay)
	}
	least, most := a.bound[Level][0], a.bound[Level][1]
	at := func(t float64, ok bool) {
		if ok && t < h {
			h, found = t, true
		}
	}
	for i, q := range c.outflow {
		if q > 0 {
			at(r.stored[i]/q, true)
		}
	}
	if c.spilling {
		at(reaching(&c.net, 0, false))
	} else if r.level < r.rimL && most >= r.rimL {
		at(reaching(&c.level, r.rimL, true))
	}
	if r.flowing && !r.airLocked && least <= r.intakeL {
		at(reaching(&c.level, r.intakeL, false))
	}
	for n := range r.s.Nodes {
		spare := r.waterLeft(n) - driedShare*r.s.Node[n].VolumeL
		switch {
		case spare <= limitBand: // it has dried out
		case n == Display && r.s.Nodes == 2 && !r.flowing:
			at(reaching(&c.deficit, r.deficit+spare, true))
		case n == c.last && least <= r.level-spare:
			at(reaching(&c.level, r.level-spare, false))
		}
	}
	return h, found
}

// reaching returns the first time ahead at which a quantity reaches a value.
func (r *run) reaching(c *courses, a *ahead, q *Comparator, value float64, rising bool) (float64, bool) {
	switch q.Quantity {
	case DisplayTemp:
		return c.temp[Display].FirstReachingWith(value, rising, a.h, a.decay)
	case SumpTemp:
		return c.temp[c.last].FirstReachingWith(value, rising, a.h, a.decay)
	case Level:
		return c.level.FirstReachingWith(value, rising, a.h, a.decay)
	case Oxygen:
		return c.oxygen.FirstReachingWith(value, rising, a.h, a.oxygen)
	case Spill:
		return c.spill.FirstReachingWith(value, rising, a.h, a.decay)
	case Stored:
		return numeric.Linear(r.stored[q.Reservoir], -c.outflow[q.Reservoir]).FirstReaching(value, rising, a.h)
	}
	return r.salinityReaching(c, a, value, rising)
}

// salinityReaching turns a salinity of the display into the volume, or while
// spilling into the spilled volume, at which it is reached.
//
//	filling   S = salt/V                     V reaches salt/S
//	spilling  S = S0·exp(-spilled/V)         spilled reaches V·ln(S0/S)
func (r *run) salinityReaching(c *courses, a *ahead, value float64, rising bool) (float64, bool) {
	if value <= 0 {
		return 0, false
	}
	if r.s.Nodes == 2 && !r.flowing {
		// The display alone: its deficit grows to V - salt/S.
		deficit := r.displayVolume() + r.deficit - r.salt[Display]/value
		return c.deficit.FirstReachingWith(deficit, rising, a.h, a.decay)
	}
	salt, volume := r.mixed()
	if c.spilling {
		now := salt / volume
		if rising {
			return 0, now >= value
		}
		return c.spill.FirstReachingWith(r.spilled+volume*math.Log(now/value), true, a.h, a.decay)
	}
	return c.level.FirstReachingWith(salt/value-volume+r.level, !rising, a.h, a.decay)
}

// advance moves every quantity on to the end of what is ahead and keeps the accounts.
func (r *run) advance(c *courses, a *ahead) {
	s, h, e, last := r.s, a.h, a.decay, c.last
	if r.every > 0 {
		r.sampled(c, h)
	}
	r.observe(c, a)
	for n := range s.Nodes {
		warmth := c.temp[n].IntegralFrom(0)
		degreeSeconds := warmth.With(h, e)
		evaporated := c.evaporation[n].Const*h + c.evaporation[n].Slope*degreeSeconds
		dry := s.Node[n].DryLossW
		lost := dry.Const*h + dry.Slope*degreeSeconds + s.LatentJL*evaporated
		r.evaporated += evaporated
		r.heatIn -= lost
		r.heatTurnover += math.Abs(lost)
		if n == last && c.inflow > 0 {
			cold := c.inflow * s.VolumicHeatJLK * (s.TopOffTempC*h - degreeSeconds)
			r.heatIn += cold
			r.heatTurnover += math.Abs(cold)
		}
	}
	for i := range s.Devices {
		d := &s.Devices[i]
		if !r.deviceOn[i] {
			continue
		}
		used := h
		if d.Programme >= 0 {
			level, perSecond, _ := r.programmePiece(i)
			used = level*h + perSecond*h*h/2
		}
		heat := (d.HeatW[0] + d.HeatW[1]) * used
		if s.Nodes == 1 {
			heat = d.HeatW[0] * used
		}
		r.heatIn += heat
		r.heatTurnover += math.Abs(heat)
		o := &r.out.Devices[i]
		o.OnS += h
		o.EnergyJ += d.ElectricW * used
	}
	for n := range s.Nodes {
		r.temp[n] = c.temp[n].With(h, e)
	}
	r.oxygen = c.oxygen.With(h, a.oxygen)
	r.t += h
	r.readClock()
	r.advanceWater(c, h, e)
	if r.flowing && !r.airLocked && r.level <= r.intakeL+limitBand {
		r.airLocked = true
		if s.Limits[RunDry].Active && r.out.Limits[RunDry].HarmS == Never {
			r.out.Limits[RunDry].HarmS = r.t
			if r.out.Limits[RunDry].ComfortS == Never {
				r.out.Limits[RunDry].ComfortS = r.t
			}
		}
	}
}

func (r *run) advanceWater(c *courses, h float64, e numeric.Decay) {
	for i, q := range c.outflow {
		if q == 0 {
			continue
		}
		r.toppedUp += math.Min(q*h, r.stored[i])
		if r.stored[i] -= q * h; r.stored[i] <= 1e-9 {
			r.stored[i] = 0
			r.mark(ReservoirRanEmpty, i)
		}
	}
	spilled := c.spill.With(h, e)
	if c.spilling {
		salt, volume := r.mixed()
		if r.s.Nodes == 2 && !r.flowing {
			salt, volume = r.salt[Sump], r.sumpVolume()
		}
		kept := salt * math.Exp(-(spilled-r.spilled)/volume)
		r.saltSpilled += salt - kept
		if r.s.Nodes == 2 && !r.flowing {
			r.salt[Sump] = kept
		} else {
			r.share(kept)
		}
	}
	r.spilled = spilled
	r.level = c.level.With(h, e)
	r.deficit = c.deficit.With(h, e)
	if r.s.Nodes == 2 && r.flowing {
		r.share(r.salt[Display] + r.salt[Sump])
	}
}

// observe keeps the extremes of a segment. Bounds tell cheaply when there is none.
func (r *run) observe(c *courses, a *ahead) {
	p, h, e := &r.out.Peaks, a.h, a.decay
	display, level := &c.temp[Display], &c.level
	if lo, hi := display.BoundsWith(h, e); lo < p.TempMinC || hi > p.TempMaxC {
		lo, hi = display.ExtremesWith(h, e)
		if lo < p.TempMinC {
			p.TempMinC, p.TempMinAtS = lo, r.t+h
		}
		if hi > p.TempMaxC {
			p.TempMaxC, p.TempMaxAtS = hi, r.t+h
		}
	}
	sump := &c.temp[c.last]
	if lo, hi := sump.BoundsWith(h, e); lo < p.SumpTempMinC || hi > p.SumpTempMaxC {
		lo, hi = sump.ExtremesWith(h, e)
		p.SumpTempMinC, p.SumpTempMaxC = math.Min(p.SumpTempMinC, lo), math.Max(p.SumpTempMaxC, hi)
	}
	if lo, _ := c.oxygen.BoundsWith(h, a.oxygen); lo < p.OxygenMinMgL {
		lo, _ = c.oxygen.ExtremesWith(h, a.oxygen)
		p.OxygenMinMgL = math.Min(p.OxygenMinMgL, lo)
	}
	lo, hi := level.ExtremesWith(h, e)
	p.LevelMinL, p.LevelMaxL = math.Min(p.LevelMinL, lo), math.Max(p.LevelMaxL, hi)
	salt, volume := r.mixed()
	if r.s.Nodes == 2 && !r.flowing {
		lo, hi = c.deficit.ExtremesWith(h, e)
		salt, volume = r.salt[Display], r.displayVolume()+r.deficit
		lo, hi = -hi, -lo
	} else {
		volume -= r.level
	}
	p.SalinityMin = math.Min(p.SalinityMin, salt/(volume+hi))
	p.SalinityMax = math.Max(p.SalinityMax, salt/(volume+lo))
}

// mixed returns the salt and the volume that the display shares its salinity with.
func (r *run) mixed() (salt, volume float64) {
	salt, volume = r.salt[Display], r.displayVolume()
	if r.s.Nodes == 2 && r.flowing {
		salt += r.salt[Sump]
		volume += r.sumpVolume()
	}
	return salt, volume
}
