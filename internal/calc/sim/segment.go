package sim

import (
	"math"

	"saltwright/internal/calc/numeric"
)

// Segment is a stretch of a course between two switching instants. Every quantity is known as a
// function of the time since it began.
type Segment struct {
	StartS, LengthS float64
	Flowing         bool

	temp           [2]numeric.ExpPoly
	last           int // the node with the level chamber
	level, deficit numeric.ExpPoly
	spill, oxygen  numeric.ExpPoly
	exchanged      numeric.ExpPoly // level or deficit as it would be without leaks
	leak           leaking
	volumeNow      float64         // that the display shares its salinity with, at its beginning
	room           numeric.ExpPoly // of its own rate, as oxygen
	rates          [2]float64      // of the exponentials that all quantities but oxygen share, 1/s
	decay          numeric.Decay   // at its end, of the two exponentials that all quantities but oxygen share
	spilling       bool
	dilutes        float64 // volume that a spill takes salt from, as far as the display shares it; 0: none
	drained        float64 // L of the display in the sump while the display stands alone
	displayAlone   bool    // the display's salinity follows its deficit, else the level
	salt, volume   float64 // what the display shares its salinity with, at its beginning; volume at level or deficit 0
	stored         []float64
	outflow        []float64          // L/s from each reservoir
	taken          float64            // L/s of tank water by drains
	change         *changing          // while salt comes in or is taken out; nil: neither
	dissolved      *dissolving        // nil: not followed
	bound          [Stored][2]float64 // what no quantity leaves up to its end, or up to a later instant
}

// leaking is what runs out now, L/s: from a display that stands alone, and from the rest; of it what the cups of
// skimmers take.
type leaking struct{ display, rest, cups float64 }

// soonest is the first of several instants within a segment.
type soonest struct {
	h     float64 // its length as long as none is found
	found bool
}

func (l leaking) any() bool { return l.display+l.rest > 0 }

func (x *soonest) at(t float64, ok bool) {
	if ok && t < x.h {
		x.h, x.found = t, true
	}
}

// lookTo sets how long it lasts. Bounds of a longer time still hold.
func (g *Segment) lookTo(seconds float64) {
	g.LengthS = seconds
	g.decay = numeric.DecayOf(g.rates, seconds)
}

// confine finds what no quantity leaves, from each term alone.
func (g *Segment) confine() {
	set := func(q Quantity, f *numeric.ExpPoly) {
		g.bound[q][0], g.bound[q][1] = f.BoundsWith(g.LengthS, g.decay)
	}
	set(DisplayTemp, &g.temp[Display])
	g.bound[SumpTemp] = g.bound[DisplayTemp]
	if g.last == Sump {
		set(SumpTemp, &g.temp[Sump])
	}
	set(Level, &g.level)
	g.bound[Spill] = [2]float64{g.spill.P[0], g.spill.P[0]}
	if g.spilling || g.leak.any() {
		set(Spill, &g.spill)
	}
	g.bound[DisplayLevel] = [2]float64{}
	now, then := g.room.P[0]+g.room.B[0], g.room.P[0]
	g.bound[RoomTemp] = [2]float64{min(now, then), max(now, then)}
	if g.displayAlone {
		least, most := g.deficit.BoundsWith(g.LengthS, g.decay)
		g.bound[DisplayLevel] = [2]float64{-g.drained - most, -g.drained - least}
	}
	begins, ends := g.oxygen.P[0]+g.oxygen.B[0], g.oxygen.P[0] // it only ever nears what it ends at
	g.bound[Oxygen] = [2]float64{min(begins, ends), max(begins, ends)}
	const rounding = 1e-12
	var low, high float64
	switch {
	case g.change.shows(), g.dilutes > 0: // it goes one way
		low, high = span(g.salinityAt, g.LengthS)
	case g.displayAlone:
		least, most := g.freshly().BoundsWith(g.LengthS, g.decay)
		low, high = g.salt/(g.volume-least), g.salt/(g.volume-most)
	case g.leak.any():
		least, most := g.freshly().BoundsWith(g.LengthS, g.decay)
		low, high = g.salt/(g.volume+most), g.salt/(g.volume+least)
	default:
		low, high = g.salt/(g.volume+g.bound[Level][1]), g.salt/(g.volume+g.bound[Level][0])
	}
	g.bound[Salinity] = [2]float64{low * (1 - rounding), high * (1 + rounding)}
}

// freshly is the curve that the salinity follows: the level, or the deficit of a display that stands alone.
func (g *Segment) freshly() *numeric.ExpPoly {
	switch {
	case g.leak.any() && g.dilutes == 0:
		return &g.exchanged
	case g.displayAlone:
		return &g.deficit
	}
	return &g.level
}

// salinityAt returns the display's salinity so long after its beginning.
func (g *Segment) salinityAt(seconds float64) float64 {
	switch {
	case g.change.shows():
		return g.change.at(seconds)
	case g.dilutes > 0:
		return g.salt / g.dilutes * math.Exp(-(g.spill.At(seconds)-g.spill.At(0))/g.dilutes)
	case g.displayAlone:
		return g.salt / (g.volume - g.freshly().At(seconds))
	}
	return g.salt / (g.volume + g.freshly().At(seconds))
}

// curve returns the function that decides when a quantity reaches a value, what it has then come to, and whether from
// below. A salinity of the display is turned into the volume, or while spilling into the spilled volume.
//
//	filling   S = salt/V                     V reaches salt/S
//	spilling  S = S0·exp(-spilled/V)         spilled reaches V·ln(S0/S)
func (g *Segment) curve(c *Comparator, value float64, rising bool) (f *numeric.ExpPoly, level float64, up bool) {
	switch c.Quantity {
	case DisplayTemp:
		return &g.temp[Display], value, rising
	case SumpTemp:
		return &g.temp[g.last], value, rising
	case Level:
		return &g.level, value, rising
	case Oxygen:
		return &g.oxygen, value, rising
	case Spill:
		return &g.spill, value, rising
	case RoomTemp:
		return &g.room, value, rising
	case DisplayLevel:
		if !g.displayAlone {
			stands := numeric.Constant(0)
			return &stands, value, rising
		}
		return &g.deficit, -g.drained - value, !rising
	case Stored:
		stored := numeric.Linear(g.stored[c.Reservoir], -g.outflow[c.Reservoir])
		return &stored, value, rising
	}
	switch {
	case value <= 0:
		return &g.level, math.Inf(-1), false
	case g.dilutes > 0:
		return &g.spill, g.spill.At(0) + g.dilutes*math.Log(g.salt/g.dilutes/value), !rising
	case g.displayAlone: // its deficit grows to V - salt/S
		return g.freshly(), g.volume - g.salt/value, rising
	}
	return g.freshly(), g.salt/value - g.volume, !rising
}

// reaching returns the first time since its beginning at which a quantity reaches a value.
func (g *Segment) reaching(c *Comparator, value float64, rising bool) (float64, bool) {
	if course := g.curved(c.Quantity); course != nil {
		return g.firstReaching(course, c.Quantity, value, rising, 0)
	}
	f, level, up := g.curve(c, value, rising)
	if c.Quantity == Oxygen || c.Quantity == RoomTemp {
		return f.FirstReaching(level, up, g.LengthS)
	}
	return f.FirstReachingWith(level, up, g.LengthS, g.decay)
}

// reachingAfter returns the first time not before an earlier one at which a quantity reaches a value. At the very end
// it does so, too, where only rounding keeps it from it: a control may have turned it back at this value.
func (g *Segment) reachingAfter(earlier float64, c *Comparator, value float64, rising bool) (float64, bool) {
	if course := g.curved(c.Quantity); course != nil {
		if g.staysOff(c.Quantity, value, rising) {
			return 0, false
		}
		t, found := g.firstReaching(course, c.Quantity, value, rising, earlier)
		if !found && same(course(g.LengthS), value) {
			return g.LengthS, true
		}
		return t, found
	}
	f, level, up := g.curve(c, value, rising)
	rest, found := 0.0, false
	if earlier == 0 {
		rest, found = g.reaching(c, value, rising)
	} else {
		rest, found = f.Later(earlier).FirstReaching(level, up, g.LengthS-earlier)
	}
	if !found && same(f.At(g.LengthS), level) {
		return g.LengthS, true
	}
	return earlier + rest, found
}

// sameThreshold is how far apart, as a share, two values are that only rounding tells apart.
const sameThreshold = 1e-12

func same(a, b float64) bool { return math.Abs(a-b) <= sameThreshold*max(1, math.Abs(b)) }

// curved returns the course of a quantity that no polynomial with exponentials tells within this segment; nil: one
// does.
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

// staysOff tells that the bounds of a curved course keep it from a value by more than rounding.
func (g *Segment) staysOff(q Quantity, value float64, rising bool) bool {
	low, high := g.bound[min(q, Stored-1)][0], g.bound[min(q, Stored-1)][1]
	if q > Stored {
		low, high = g.dissolved.bounds(q, g.LengthS, g.decay)
	}
	return rising && high < value || !rising && low > value
}

// firstReaching returns the first time from an earlier one on at which a curved course reaches a value.
func (g *Segment) firstReaching(course func(float64) float64, q Quantity, value float64, rising bool, from float64) (
	float64, bool) {
	if g.staysOff(q, value, rising) {
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
		const tolerance = timeTolerance / 10
		t, err := numeric.Root(func(t float64) float64 { return course(t) - value }, begins, ends, tolerance)
		if err != nil { // it only just gets there
			return ends, true
		}
		// A steep course is elsewhere within the tolerance: it would turn back at once.
		for t < ends && !past(course(t)) {
			t = min(ends, t+tolerance)
		}
		return t, true
	}
	return 0, false
}
