package sim

// delivers is what a pump moves, as a share of its flow.
func (r *run) delivers(i int) float64 {
	times := 1.0
	if f := r.f.flow[i]; f != 0 {
		times = f
	}
	if r.s.Devices[i].Programme >= 0 {
		level, _ := r.programmed(i)
		times *= level
	}
	return times
}

// holds is what a reservoir has in it.
func (r *run) holds(i int) *Contents {
	if k := r.f.filled[i]; k > 0 {
		i = k - 1
	}
	return &r.s.Reservoirs[i].Holds
}

// takes returns what drains take, L/s: all that they can above their inlets, and below them no more than what comes in.
//
//	net  L/s that the level chamber gains without them
func (r *run) takes(net float64) float64 {
	sum := 0.0
	for i := range r.s.Devices {
		d := &r.s.Devices[i]
		if d.Kind != Drain || !r.on[i] {
			continue
		}
		flow := d.FlowLS * r.delivers(i)
		if r.level <= d.InletL+limitBand {
			flow = min(flow, max(0, net-sum))
		}
		sum += flow
	}
	return sum
}

// untilInlet returns the time until a drain has drawn the water down to its inlet.
func (r *run) untilInlet(g *Segment) (h float64, found bool) {
	if g.taken == 0 {
		return 0, false
	}
	first := soonest{h: g.LengthS}
	for i := range r.s.Devices {
		d := &r.s.Devices[i]
		if d.Kind != Drain || !r.on[i] || r.level <= d.InletL+limitBand {
			continue
		}
		first.at(g.level.FirstReachingWith(d.InletL, false, g.LengthS, g.decay))
	}
	return first.h, first.found
}

// layOutChange writes how salinity goes while salt comes in or water is taken out.
func (r *run) layOutChange(g *Segment) {
	g.change = nil
	source := 0.0
	for i, q := range g.outflow {
		source += q * r.holds(i).Salinity
	}
	if source == 0 && g.taken == 0 {
		return
	}
	evaporates := func(n int) float64 { return r.evaporation[n].At(r.temp[n]) }
	level, deficit := g.level.Derivative(), g.deficit.Derivative()
	c := &changing{source: source, into: r.inflow}
	var salt float64
	switch {
	case r.dammed:
		c.pool, c.volumeL, salt = displayHeldUp, r.displayVolume(), r.salt[Display]
		c.into -= evaporates(Display) + evaporates(Sump)
		c.grows = -deficit.At(0)
	case g.displayAlone:
		c.pool, c.volumeL, salt = sumpAlone, r.sumpVolume(), r.salt[Sump]
		c.into -= evaporates(Sump)
		c.grows = level.At(0)
	default:
		salt, c.volumeL = r.mixed()
		for n := range r.s.Nodes {
			c.into -= evaporates(n)
		}
		c.grows = level.At(0)
	}
	c.start = salt / c.volumeL
	g.change = c
}

// changeSalt takes the salt of a segment in which water was changed, level and deficit being those of the end.
//
//	salinity  of the display at the end
func (r *run) changeSalt(g *Segment, salinity float64) {
	c := g.change
	added := c.source * g.LengthS
	r.saltAdded += added
	var before, kept float64
	switch c.pool {
	case sumpAlone:
		before, kept = r.salt[Sump], c.at(g.LengthS)*r.sumpVolume()
		r.salt[Sump] = kept
		if g.leak.display > 0 {
			left := salinity * r.displayVolume()
			r.saltSpilled += r.salt[Display] - left
			r.salt[Display] = left
		}
	case displayHeldUp:
		before, kept = r.salt[Display], salinity*r.displayVolume()
		r.salt[Display] = kept
	default:
		salt, volume := r.mixed()
		before, kept = salt, salinity*volume
		r.share(kept)
	}
	r.saltSpilled += before + added - kept
}

// book counts what has come out of a reservoir.
func (r *run) book(reservoir int, litres float64) {
	switch v := &r.s.Reservoirs[reservoir]; {
	case v.Gas:
	case v.Container:
		r.dosed += litres
	default:
		r.toppedUp += litres
	}
}

// layOutDissolved writes what is dissolved in the segment, its water being known and moving by a share.
func (r *run) layOutDissolved(g *Segment, moved float64) {
	c := r.s.Chemistry
	g.dissolved = nil
	if c == nil {
		return
	}
	d := &dissolving{c: c, from: r.dissolved, rate: c.StillS + moved*(c.StirredS-c.StillS), lengthS: -1}
	into := r.inflow
	for n := range r.s.Nodes {
		into -= r.evaporation[n].At(r.temp[n])
	}
	carbon := 0.0
	for i, q := range g.outflow {
		holds := r.holds(i)
		d.sources.Meq += q * holds.Meq
		d.sources.CalciumMmol += q * holds.CalciumMmol
		d.sources.MagnesiumMmol += q * holds.MagnesiumMmol
		carbon += q * holds.CarbonMmol
	}
	if !r.starved {
		d.sources.Meq -= c.UptakeMeqS
		d.sources.CalciumMmol -= c.UptakeCalciumS
		d.sources.MagnesiumMmol -= c.UptakeMagnesiumS
		carbon -= c.UptakeCarbonS
	}
	d.sources.ExcessMmol = carbon - c.Tied*d.sources.Meq - c.Apart*into
	d.volume = g.level.Plus(-1, &g.deficit)
	d.volume.P[0] += r.whole() - d.volume.At(0)
	d.open = g.taken > 0 || g.spilling || g.leak.any()
	if d.open {
		grows := d.volume.Derivative()
		d.exchange = changing{volumeL: r.whole(), into: into, grows: grows.At(0)}
	}
	g.dissolved = d
}

// advanceDissolved takes what is dissolved to the end of a segment, its water being that of the end.
func (r *run) advanceDissolved(g *Segment) {
	if g.dissolved == nil {
		return
	}
	meq, calcium, excess := g.dissolved.at(g.LengthS)
	v := r.whole()
	r.dissolved = Dissolved{Meq: meq * v, CalciumMmol: calcium * v, ExcessMmol: excess * v,
		MagnesiumMmol: g.dissolved.magnesium(g.LengthS) * v}
	if c := r.s.Chemistry; meq <= c.StarvedMeqL*(1+rounding) {
		r.starved = true
	}
}

// untilStarved returns the time until so little alkalinity is left that nothing takes it up any more.
func (r *run) untilStarved(g *Segment) (float64, bool) {
	if g.dissolved == nil || r.starved {
		return 0, false
	}
	return g.firstReaching(g.dissolved.quantity(Alkalinity), Alkalinity, r.s.Chemistry.StarvedMeqL, false, 0)
}
