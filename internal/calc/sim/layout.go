package sim

import "saltwright/internal/calc/numeric"

// layOut writes every quantity of the segment that begins now, from the present state of the switches.
func (r *run) layOut(g *Segment) {
	s := r.s
	g.StartS, g.Flowing, g.last, g.displayAlone = r.t, r.flowing, s.Nodes-1, r.displayAlone()
	g.stored = r.course.keep(r.stored)
	g.outflow = r.course.keep(r.stored)
	clear(g.outflow)
	r.findBands()
	g.room = r.roomCourse()
	q := heatFlow{nodes: s.Nodes, capacity: r.capacities()}
	moved, fan := 0.0, 0 // as a share of moving water
	if r.flowing {
		moved = r.flowShare
	}
	for i := range s.Devices {
		d := &s.Devices[i]
		if !r.on[i] {
			continue
		}
		switch d.Kind {
		case Fan:
			fan = 1
		case TopOffPump, Doser:
			if r.stored[d.Reservoir] > 0 {
				g.outflow[d.Reservoir] += d.FlowLS * r.delivers(i)
			}
		}
		moved = max(moved, r.moves(i))
		level, perSecond := 1.0, 0.0
		if d.Programme >= 0 {
			level, perSecond = r.programmed(i)
		}
		q.constant[Display] += d.HeatW[Display] * level
		q.constant[Sump] += d.HeatW[Sump] * level
		q.ramp[Display] += d.HeatW[Display] * perSecond
		q.ramp[Sump] += d.HeatW[Sump] * perSecond
	}
	r.inflow = 0
	for i, v := range s.Reservoirs {
		if r.siphon[i] {
			g.outflow[i] = max(g.outflow[i], v.SiphonLS)
		}
		if !v.Gas {
			r.inflow += g.outflow[i]
		}
	}
	for n := range s.Nodes {
		r.evaporation[n] = r.evaporates(n, fan)
		e, dry := r.evaporation[n], r.bands(n)[r.band[n]].DryLossW
		q.slope[n] = dry.Slope + s.LatentJL*e.Slope
		q.constant[n] -= dry.Const + s.LatentJL*e.Const
	}
	cold := r.inflow * s.VolumicHeatJLK
	q.slope[r.fills()] += cold
	q.constant[r.fills()] += cold * s.TopOffTempC
	if r.flowing {
		q.coupling = s.FlowWK * r.flowShare
	}
	g.temp = q.solve(r.temp)
	g.rates = g.temp[Display].L
	for i, l := range g.temp[Sump].L {
		if l != 0 { // a node by itself has its own rate in its own place, which leaves the other's at 0
			g.rates[i] = l
		}
	}
	g.leak = r.runsOut()
	r.layOutWater(g)
	r.layOutLeak(g)
	r.layOutChange(g)
	r.layOutDissolved(g, moved)
	o := s.OxygenBalance
	k := o.StirredS
	if moved < 1 {
		k = o.StillS + moved*(o.StirredS-o.StillS)
	}
	end := o.SaturationMgL - o.DemandMgLS/k
	g.oxygen = numeric.ExpPoly{P: [3]float64{end}, B: [2]float64{r.oxygen - end}, L: [2]float64{k}}
}

// bandEdgeK is how far beyond its edge a band still holds, so that a temperature at the edge does not turn from one to
// the other without end.
const bandEdgeK = 1e-6

// findBands moves each node to the band of its temperature.
func (r *run) findBands() {
	for n := range r.s.Nodes {
		bands, i := r.bands(n), &r.band[n]
		for r.temp[n] > bands[*i].HighC+bandEdgeK/2 {
			*i++
		}
		for *i > 0 && r.temp[n] < bands[*i-1].HighC-bandEdgeK/2 {
			*i--
		}
	}
}

// untilBand returns the time until a node's temperature leaves its band.
func (r *run) untilBand(g *Segment) (h float64, found bool) {
	first := soonest{h: g.LengthS}
	for n := range r.s.Nodes {
		bands, i := r.bands(n), r.band[n]
		least, most := g.bound[n][0], g.bound[n][1]
		if high := bands[i].HighC + bandEdgeK; most >= high {
			first.at(g.temp[n].FirstReachingWith(high, true, g.LengthS, g.decay))
		}
		if i == 0 {
			continue
		}
		if low := bands[i-1].HighC - bandEdgeK; least <= low {
			first.at(g.temp[n].FirstReachingWith(low, false, g.LengthS, g.decay))
		}
	}
	return first.h, first.found
}

// layOutWater writes level, deficit, spill and what salinity follows from, the temperatures being known.
func (r *run) layOutWater(g *Segment) {
	net := numeric.Constant(r.inflow-r.evaporation[g.last].Const).Plus(-r.evaporation[g.last].Slope, &g.temp[g.last])
	net.P[0] -= g.leak.rest
	g.deficit = numeric.Constant(r.deficit)
	if r.s.Nodes == 2 {
		e := r.evaporation[Display]
		if g.displayAlone {
			g.deficit = numeric.Constant(e.Const+g.leak.display).Plus(e.Slope, &g.temp[Display]).IntegralFrom(r.deficit)
		} else {
			net.P[0] -= e.Const
			net = net.Plus(-e.Slope, &g.temp[Display])
		}
	}
	g.drained, g.dilutes = r.drains, 0
	if r.dammed {
		g.taken = 0
		r.layOutDam(g)
		return
	}
	g.taken = r.takes(net.At(0))
	net.P[0] -= g.taken
	g.spilling = r.level >= r.rimL-1e-9 && net.At(0) > 0
	if g.spilling {
		g.level, g.spill = numeric.Constant(r.rimL), net.IntegralFrom(r.spilled)
	} else {
		g.level, g.spill = net.IntegralFrom(r.level), numeric.Constant(r.spilled)
	}
	g.salt, g.volume = r.mixed()
	if g.displayAlone {
		g.volume += r.deficit
		return
	}
	if g.spilling {
		g.dilutes = g.volume
	}
	g.volume -= r.level
}

// evaporates returns the evaporation of a node, none when it has dried out.
func (r *run) evaporates(n, fan int) Line {
	if r.spare(n) <= limitBand {
		return Line{}
	}
	return r.bands(n)[r.band[n]].EvaporationLS[fan]
}
