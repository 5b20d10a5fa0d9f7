package sim

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
	first := soonest{h: g.LengthS}
	for i, flow := range r.skimming {
		first.at((r.s.Devices[i].Skim.CupL-r.cups[i])/flow, true) // never where nothing flows
	}
	return first.h, first.found
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
