package sim

import (
	"math"

	"saltwright/internal/calc/carbonate"
	"saltwright/internal/calc/numeric"
)

// Chemistry is how what is dissolved changes. All water, display and sump, is taken to be one mixture, also while the
// return stands. The equilibrium is that of the salinity and temperature at the start.
//
// Carbon is kept as what it would be at the carbon dioxide of the start, which is a straight line of alkalinity, and an
// excess over that. The excess goes away with the air by itself:
//
//	C = Tied·A + Apart·V + W;  dW/dt = sources - rate·W
//
// The rate is that of small excesses. Real exchange of an excess of carbon dioxide is faster, which is cautious; that of
// a lack is slower, at pH 8.8 about by half.
type Chemistry struct {
	Constants    carbonate.Constants
	KgPerL       float64
	MeqL         float64 // at the start, of alkalinity
	CalciumMmolL float64
	Tied         float64 // mmol of carbon to a meq of alkalinity at one carbon dioxide
	Apart        float64 // mmol/L of carbon besides
	StirredS     float64 // rate at which an excess goes away, 1/s, > 0
	StillS       float64
	// What the tank takes up, all of it, in a second. It stops for good when little alkalinity is left.
	UptakeMeqS, UptakeCalciumS, UptakeCarbonS float64
	StarvedMeqL                               float64
}

// Contents is what a litre of a reservoir brings, or a gram of gas.
type Contents struct {
	Salinity    float64 // practical
	Meq         float64 // of alkalinity
	CalciumMmol float64
	CarbonMmol  float64
}

// Dissolved is what all water holds besides salt.
type Dissolved struct {
	Meq, CalciumMmol float64
	ExcessMmol       float64 // of carbon
}

func (s *System) dissolvedAtStart() Dissolved {
	c := s.Chemistry
	if c == nil {
		return Dissolved{}
	}
	volume := s.Node[Display].VolumeL
	if s.Nodes == 2 {
		volume += s.Node[Sump].VolumeL
	}
	return Dissolved{Meq: c.MeqL * volume, CalciumMmol: c.CalciumMmolL * volume}
}

// see returns what a keeper would measure of a water; concentrations in meq/L and mmol/L.
func (c *Chemistry) see(meqL, calciumMmolL, excessMmolL float64) carbonate.Seen {
	perKg := 1e-3 / c.KgPerL
	return c.Constants.See(carbonate.Water{Alkalinity: meqL * perKg, Calcium: math.Max(0, calciumMmolL) * perKg,
		Carbon: (c.Tied*meqL + c.Apart + excessMmolL) * perKg})
}

func (w *water) seen(q Quantity) float64 {
	d, volume := w.dissolved, w.whole()
	if q == Alkalinity {
		return d.Meq / volume
	}
	seen := w.s.Chemistry.see(d.Meq/volume, d.CalciumMmol/volume, d.ExcessMmol/volume)
	if q == PH {
		return seen.PH
	}
	return seen.Aragonite
}

// loses takes what goes over a rim at once, before the water itself is taken.
func (w *water) loses(litres float64) {
	if w.s.Chemistry == nil {
		return
	}
	kept := 1 - litres/w.whole()
	w.dissolved.Meq *= kept
	w.dissolved.CalciumMmol *= kept
	w.dissolved.ExcessMmol *= kept
}

// dissolving is what is dissolved within a segment.
//
//	closed  amounts are straight lines of time: A = A0 + sources·t, and the volume is that of the segment
//	open    water leaves with what it holds: as salinity while it changes
type dissolving struct {
	c        *Chemistry
	from     Dissolved
	sources  Dissolved       // a second
	rate     float64         // of the excess
	volume   numeric.ExpPoly // of all water
	open     bool
	exchange changing // of a concentration that begins at 0 and that nothing feeds; its volume and flows

	lengthS  float64 // that the bounds were found for; below 0: not found
	meqLow   float64
	meqHigh  float64
	ph       [2]float64
	saturate [2]float64
	sought   bool // pH and saturation have bounds
}

// layOutDissolved writes what is dissolved in the segment, its water being known.
func (r *run) layOutDissolved(g *Segment, stirred bool) {
	c := r.s.Chemistry
	g.dissolved = nil
	if c == nil {
		return
	}
	d := &dissolving{c: c, from: r.dissolved, rate: c.StillS, lengthS: -1}
	if stirred {
		d.rate = c.StirredS
	}
	into := r.inflow
	for n := range r.s.Nodes {
		into -= r.evaporation[n].At(r.temp[n])
	}
	carbon := 0.0
	for i, q := range g.outflow {
		if q > 0 {
			holds := r.holds(i)
			d.sources.Meq += q * holds.Meq
			d.sources.CalciumMmol += q * holds.CalciumMmol
			carbon += q * holds.CarbonMmol
		}
	}
	if !r.starved {
		d.sources.Meq -= c.UptakeMeqS
		d.sources.CalciumMmol -= c.UptakeCalciumS
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

// at returns the concentrations after so long, meq/L and mmol/L.
func (d *dissolving) at(t float64) (meqL, calciumL, excessL float64) {
	if !d.open {
		v := d.volume.At(t)
		settled := d.sources.ExcessMmol / d.rate
		return (d.from.Meq + d.sources.Meq*t) / v, (d.from.CalciumMmol + d.sources.CalciumMmol*t) / v,
			(settled + (d.from.ExcessMmol-settled)*math.Exp(-d.rate*t)) / v
	}
	x := d.exchange
	of := func(amount, source, fades float64) float64 {
		x.start, x.source, x.into = amount/x.volumeL, source, d.exchange.into+fades*x.volumeL
		return x.at(t)
	}
	return of(d.from.Meq, d.sources.Meq, 0), of(d.from.CalciumMmol, d.sources.CalciumMmol, 0),
		of(d.from.ExcessMmol, d.sources.ExcessMmol, d.rate)
}

// quantity returns one of the three that can be watched.
func (d *dissolving) quantity(q Quantity) func(t float64) float64 {
	return func(t float64) float64 {
		meq, calcium, excess := d.at(t)
		if q == Alkalinity {
			return meq
		}
		seen := d.c.see(meq, calcium, excess)
		if q == PH {
			return seen.PH
		}
		return seen.Aragonite
	}
}

// bounds returns what a quantity does not leave up to the end of a segment: from the extremes of amounts and volume.
func (d *dissolving) bounds(q Quantity, g *Segment) (low, high float64) {
	if d.lengthS < g.LengthS {
		d.lengthS, d.sought = g.LengthS, false
		d.meqLow, d.meqHigh = span(d.quantity(Alkalinity), g)
		if !d.open {
			least, most := d.volume.BoundsWith(g.LengthS, g.decay)
			from, to := d.from.Meq, d.from.Meq+d.sources.Meq*g.LengthS
			d.meqLow, d.meqHigh = min(from, to)/most, max(from, to)/least
		}
	}
	if q == Alkalinity {
		return d.meqLow - rounding, d.meqHigh + rounding
	}
	if !d.sought {
		d.sought = true
		d.corners(g)
	}
	if q == PH {
		return d.ph[0] - rounding, d.ph[1] + rounding
	}
	return d.saturate[0] - rounding, d.saturate[1] + rounding
}

const rounding = 1e-9

func span(f func(float64) float64, g *Segment) (low, high float64) {
	a, b := f(0), f(g.LengthS)
	return min(a, b), max(a, b)
}

// corners finds the bounds of pH and saturation: the extremes of alkalinity with those of the excess.
func (d *dissolving) corners(g *Segment) {
	part := func(k int) func(float64) float64 {
		return func(t float64) float64 {
			var x [3]float64
			x[0], x[1], x[2] = d.at(t)
			return x[k]
		}
	}
	calciumLow, calciumHigh := span(part(1), g)
	excessLow, excessHigh := span(part(2), g)
	if !d.open { // a volume that has an extreme within
		least, most := d.volume.BoundsWith(g.LengthS, g.decay)
		at := d.volume.At(0)
		wider := max(at/least, most/at)
		calciumLow, calciumHigh = calciumLow/wider, calciumHigh*wider
		excessLow -= math.Abs(excessLow) * (wider - 1)
		excessHigh += math.Abs(excessHigh) * (wider - 1)
	}
	d.ph, d.saturate = [2]float64{math.Inf(1), math.Inf(-1)}, [2]float64{math.Inf(1), math.Inf(-1)}
	for k := range 4 {
		meq, excess, calcium := d.meqLow, excessLow, calciumLow
		if k&1 != 0 {
			meq = d.meqHigh
		}
		if k&2 != 0 {
			excess = excessHigh
		} else {
			calcium = calciumHigh
		}
		seen := d.c.see(meq, calcium, excess)
		d.ph[0], d.ph[1] = min(d.ph[0], seen.PH), max(d.ph[1], seen.PH)
		d.saturate[0], d.saturate[1] = min(d.saturate[0], seen.Aragonite), max(d.saturate[1], seen.Aragonite)
	}
}

// advanceDissolved takes what is dissolved to the end of a segment, its water being that of the end.
func (r *run) advanceDissolved(g *Segment) {
	if g.dissolved == nil {
		return
	}
	meq, calcium, excess := g.dissolved.at(g.LengthS)
	v := r.whole()
	r.dissolved = Dissolved{Meq: meq * v, CalciumMmol: calcium * v, ExcessMmol: excess * v}
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

// DissolvedPeaks are the extremes of what is dissolved.
type DissolvedPeaks struct {
	AlkalinityMin, AlkalinityMax float64 // meq/L
	PHMin, PHMax                 float64
	AragoniteMin, AragoniteMax   float64 // saturation
}

// With returns the extremes of two runs.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (p DissolvedPeaks) With(o DissolvedPeaks) DissolvedPeaks {
	return DissolvedPeaks{
		min(p.AlkalinityMin, o.AlkalinityMin), max(p.AlkalinityMax, o.AlkalinityMax), min(p.PHMin, o.PHMin),
		max(p.PHMax, o.PHMax), min(p.AragoniteMin, o.AragoniteMin), max(p.AragoniteMax, o.AragoniteMax),
	}
}

func (c *Course) dissolvedPeaks() *DissolvedPeaks {
	if c.s.Chemistry == nil {
		return nil
	}
	w := &c.start
	meq, pH, saturation := w.seen(Alkalinity), w.seen(PH), w.seen(Aragonite)
	p := &DissolvedPeaks{meq, meq, pH, pH, saturation, saturation}
	for i := range c.Segments {
		g := &c.Segments[i]
		for _, x := range []struct {
			q           Quantity
			least, most *float64
		}{
			{Alkalinity, &p.AlkalinityMin, &p.AlkalinityMax}, {PH, &p.PHMin, &p.PHMax},
			{Aragonite, &p.AragoniteMin, &p.AragoniteMax},
		} {
			if low, high := g.dissolved.bounds(x.q, g); low >= *x.least && high <= *x.most {
				continue
			}
			of := g.dissolved.quantity(x.q)
			for k := range piecesOf(g.LengthS) + 1 {
				value := of(g.LengthS * float64(k) / float64(piecesOf(g.LengthS)))
				*x.least, *x.most = min(*x.least, value), max(*x.most, value)
			}
		}
	}
	return p
}

// dissolved adds what is dissolved to a sample so long after the beginning of a segment.
func (x *Sample) dissolved(g *Segment, seconds float64) {
	if g.dissolved == nil {
		return
	}
	meq, calcium, excess := g.dissolved.at(seconds)
	seen := g.dissolved.c.see(meq, calcium, excess)
	x.AlkalinityDKH, x.PH, x.Aragonite = meq*carbonate.DKHPerMeqL, seen.PH, seen.Aragonite
}
