package sim

import (
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
)

// skims finds what skimmers take out of the water now.
func (r *run) skims(l *leaking) {
	if r.cups == nil {
		return
	}
	clear(r.skimming)
	for i := range r.s.Devices {
		if r.s.Devices[i].Kind != Skimmer || !r.on[i] || r.f.airBlocked[i] {
			continue
		}
		k := &r.s.Devices[i].Skim
		if r.dammed && k.Node == Sump || r.spare(k.Node) <= limitBand {
			continue // its pump stands dry
		}
		flow := k.FlowLS
		if r.f.skimsWet[i] || k.Wet > 0 && r.comparators[k.Wet-1].state {
			flow *= k.WetTimes
		}
		switch {
		case r.cups[i] < k.CupL:
			r.skimming[i] = flow
			l.cups += flow
		case k.Full == RunsBack:
			continue
		}
		if k.Node == Display && r.displayAlone() {
			l.display += flow
		} else {
			l.rest += flow
		}
	}
}

// stopped tells whether its full cup stops a skimmer.
func (r *run) stopped(i int) bool {
	k := &r.s.Devices[i].Skim
	return k.Full == Stops && !r.f.stopDead[i] && r.cups[i] >= k.CupL
}

// untilCupFull returns the time until a cup is full.
func (r *run) untilCupFull(g *Segment) (h float64, found bool) {
	h = g.LengthS
	for i, flow := range r.skimming {
		if flow == 0 {
			continue
		}
		if t := (r.s.Devices[i].Skim.CupL - r.cups[i]) / flow; t < h {
			h, found = t, true
		}
	}
	return h, found
}

// fillCups takes in what has been skimmed by the end of a segment.
func (r *run) fillCups(g *Segment) {
	for i, flow := range r.skimming {
		if flow == 0 {
			continue
		}
		full := r.s.Devices[i].Skim.CupL
		if r.cups[i] += flow * g.LengthS; r.cups[i] >= full-limitBand {
			r.cups[i], r.course.cupFull[i] = full, r.t
		}
	}
	r.skimmed += g.leak.cups * g.LengthS
}

// takeCups puts empty cups under a plan's skimmers.
func (r *run) takeCups() {
	n := len(r.s.Devices)
	for i := range r.s.Devices {
		if r.s.Devices[i].Kind == Skimmer && r.cups == nil {
			r.cups, r.skimming, r.course.cupFull = make([]float64, n), make([]float64, n), make([]float64, n)
		}
	}
	for i := range r.course.cupFull {
		r.course.cupFull[i] = Never
	}
}

// skimmers adds the skimmers of a plan.
func (c *compiler) skimmers() {
	full := map[plan.FullCup]CupFull{plan.CupStops: Stops, plan.CupReturns: RunsBack, plan.CupSpills: RunsOver}
	for _, x := range c.p.Skimmers {
		k := Skimming{
			Node: nodeOf(*x.Place), CupL: x.CupL, FlowLS: x.SkimmateLDay / daySeconds, WetTimes: x.WetTimes,
			Full: full[x.FullCup], Airs: x.AerationShare,
		}
		if x.WetAboveMM != nil {
			k.Wet = c.heightIn(*x.Place, *x.WetAboveMM-coveredAgainMM, *x.WetAboveMM) + 1
		}
		d := Device{ID: x.ID, Kind: Skimmer, Circuit: c.circ[*x.Circuit], ElectricW: x.PowerW, Programme: -1,
			Thermostat: -1, Skim: k}
		d.HeatW[k.Node] = x.PowerW * x.HeatShare
		c.s.Devices = append(c.s.Devices, d)
		c.device[x.ID] = len(c.s.Devices) - 1
	}
}

// heightIn adds a comparator of the water's height in a vessel: true at the higher mark, false at the lower.
func (c *compiler) heightIn(place plan.Place, lowMM, highMM float64) int {
	x := Comparator{Quantity: Level, Sensor: -1, Low: c.s.Chamber.VolumeAtL(lowMM), High: c.s.Chamber.VolumeAtL(highMM)}
	if c.p.Sump != nil && place == plan.InDisplay {
		area := *c.p.Display.LengthMM * *c.p.Display.WidthMM / quantity.SquareMMPerSquareMetre
		x.Quantity, x.Low, x.High = DisplayLevel, area*lowMM, area*highMM
	}
	return c.comparator(x)
}
