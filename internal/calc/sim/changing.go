package sim

import (
	"math"

	"saltwright/internal/calc/numeric"
)

// changing is a concentration in a body of water that other water comes into and that is taken from.
//
//	V dS/dt = source - into·S;  V = V0 + grows·t
//
// What is taken out leaves with its concentration and so changes only the volume. Evaporation is taken as it stands at
// the beginning of the segment.
type changing struct {
	start   float64 // concentration
	source  float64 // amount a second
	into    float64 // L/s of water that comes in, less what evaporates
	grows   float64 // L/s
	volumeL float64
	pool    pool
}

// pool is the water that change pumps work in.
type pool uint8

const (
	allWater pool = iota
	sumpAlone
	displayHeldUp
)

// shows tells whether the display's salinity is this concentration.
func (c *changing) shows() bool { return c != nil && c.pool != sumpAlone }

// at returns the concentration so long after the beginning.
func (c *changing) at(seconds float64) float64 {
	turned := seconds / c.volumeL // ∫ dt/V
	if x := c.grows * turned; math.Abs(x) > 1e-9 {
		turned = math.Log1p(x) / c.grows
	}
	passed := turned
	if c.into*turned != 0 {
		passed = -math.Expm1(-c.into*turned) / c.into
	}
	return c.start + (c.source-c.into*c.start)*passed
}

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
	h = g.LengthS
	for i := range r.s.Devices {
		d := &r.s.Devices[i]
		if d.Kind != Drain || !r.on[i] || r.level <= d.InletL+limitBand || g.bound[Level][0] > d.InletL {
			continue
		}
		if t, ok := g.level.FirstReachingWith(d.InletL, false, g.LengthS, g.decay); ok && t < h {
			h, found = t, true
		}
	}
	return h, found
}

// layOutChange writes how salinity goes while salt comes in or water is taken out.
func (r *run) layOutChange(g *Segment) {
	g.change = nil
	source := 0.0
	for i, q := range g.outflow {
		if q > 0 {
			source += q * r.holds(i).Salinity
		}
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

// clocked tells whether a pump runs by electronics of its own.
func (d *Device) clocked() bool { return (d.Kind == Doser || d.Kind == Drain) && d.Programme >= 0 }

// taps tells whether a device draws on a reservoir.
func (d *Device) taps() bool { return d.Kind == TopOffPump || d.Kind == Doser }

// curved returns the course of a quantity that no polynomial with exponentials tells within this segment; nil: one does.
func (g *Segment) curved(q Quantity) func(float64) float64 {
	switch {
	case q > Stored:
		return g.dissolved.quantity(q)
	case q == Salinity && g.change.shows():
		return g.change.at
	}
	return nil
}

// pieceS is how finely a curved course is looked at, s. Between two looks it is taken to go one way.
const pieceS = 1800.0

func piecesOf(seconds float64) int { return max(1, int(math.Ceil(seconds/pieceS))) }

// firstReaching returns the first time from an earlier one on at which a curved course reaches a value.
func (g *Segment) firstReaching(course func(float64) float64, q Quantity, value float64, rising bool, from float64) (
	float64, bool) {
	low, high := g.bound[min(q, Stored-1)][0], g.bound[min(q, Stored-1)][1]
	if q > Stored {
		low, high = g.dissolved.bounds(q, g)
	}
	if rising && high < value || !rising && low > value {
		return 0, false
	}
	past := func(x float64) bool { return rising && x >= value || !rising && x <= value }
	if past(course(from)) {
		return from, true
	}
	n := piecesOf(g.LengthS - from)
	step := (g.LengthS - from) / float64(n)
	for k := range n {
		begins, ends := from+step*float64(k), from+step*float64(k+1)
		if !past(course(ends)) {
			continue
		}
		t, err := numeric.Root(func(t float64) float64 { return course(t) - value }, begins, ends, timeTolerance/10)
		if err != nil { // it only just gets there
			return ends, true
		}
		return t, true
	}
	return 0, false
}
