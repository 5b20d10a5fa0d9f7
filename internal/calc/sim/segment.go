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
	rates          [2]float64    // of the exponentials that all quantities but oxygen share, 1/s
	decay          numeric.Decay // at its end, of the two exponentials that all quantities but oxygen share
	oxygenDecay    numeric.Decay // at its end, of the oxygen's exponential
	spilling       bool
	displayAlone   bool    // the display's salinity follows its deficit, else the level
	salt, volume   float64 // what the display shares its salinity with, at its beginning; volume at level or deficit 0
	stored         []float64
	outflow        []float64          // L/s from each reservoir
	bound          [Stored][2]float64 // what no quantity leaves up to its end, or up to a later instant
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
	set(Spill, &g.spill)
	begins, ends := g.oxygen.P[0]+g.oxygen.B[0], g.oxygen.P[0] // it only ever nears what it ends at
	g.bound[Oxygen] = [2]float64{math.Min(begins, ends), math.Max(begins, ends)}
	const rounding = 1e-12
	var low, high float64
	switch {
	case g.displayAlone: // evaporation only concentrates it
		low, high = g.salinityAt(0), g.salinityAt(g.LengthS)
	case g.spilling: // and spilling only dilutes it
		low, high = g.salinityAt(g.LengthS), g.salinityAt(0)
	default:
		low, high = g.salt/(g.volume+g.bound[Level][1]), g.salt/(g.volume+g.bound[Level][0])
	}
	g.bound[Salinity] = [2]float64{low * (1 - rounding), high * (1 + rounding)}
}

// salinityAt returns the display's salinity so long after its beginning.
func (g *Segment) salinityAt(seconds float64) float64 {
	switch {
	case g.displayAlone:
		return g.salt / (g.volume - g.deficit.At(seconds))
	case g.spilling:
		volume := g.volume + g.level.P[0]
		return g.salt / volume * math.Exp(-(g.spill.At(seconds)-g.spill.At(0))/volume)
	}
	return g.salt / (g.volume + g.level.At(seconds))
}

// at returns the value of a quantity so long after its beginning.
func (g *Segment) at(c *Comparator, seconds float64) float64 {
	switch c.Quantity {
	case DisplayTemp:
		return g.temp[Display].At(seconds)
	case SumpTemp:
		return g.temp[g.last].At(seconds)
	case Level:
		return g.level.At(seconds)
	case Oxygen:
		return g.oxygen.At(seconds)
	case Spill:
		return g.spill.At(seconds)
	case Stored:
		return g.stored[c.Reservoir] - g.outflow[c.Reservoir]*seconds
	}
	return g.salinityAt(seconds)
}

// reaching returns the first time since its beginning at which a quantity reaches a value.
func (g *Segment) reaching(c *Comparator, value float64, rising bool) (float64, bool) {
	switch c.Quantity {
	case DisplayTemp:
		return g.temp[Display].FirstReachingWith(value, rising, g.LengthS, g.decay)
	case SumpTemp:
		return g.temp[g.last].FirstReachingWith(value, rising, g.LengthS, g.decay)
	case Level:
		return g.level.FirstReachingWith(value, rising, g.LengthS, g.decay)
	case Oxygen:
		return g.oxygen.FirstReaching(value, rising, g.LengthS)
	case Spill:
		return g.spill.FirstReachingWith(value, rising, g.LengthS, g.decay)
	case Stored:
		return numeric.Linear(g.stored[c.Reservoir], -g.outflow[c.Reservoir]).FirstReaching(value, rising, g.LengthS)
	}
	return g.salinityReaching(value, rising)
}

// salinityReaching turns a salinity of the display into the volume, or while
// spilling into the spilled volume, at which it is reached.
//
//	filling   S = salt/V                     V reaches salt/S
//	spilling  S = S0·exp(-spilled/V)         spilled reaches V·ln(S0/S)
func (g *Segment) salinityReaching(value float64, rising bool) (float64, bool) {
	switch {
	case value <= 0:
		return 0, false
	case g.displayAlone: // its deficit grows to V - salt/S
		return g.deficit.FirstReachingWith(g.volume-g.salt/value, rising, g.LengthS, g.decay)
	case g.spilling:
		volume := g.volume + g.level.P[0]
		now := g.salt / volume
		if rising {
			return 0, now >= value
		}
		return g.spill.FirstReachingWith(g.spill.At(0)+volume*math.Log(now/value), true, g.LengthS, g.decay)
	}
	return g.level.FirstReachingWith(g.salt/value-g.volume, !rising, g.LengthS, g.decay)
}

// after returns what is left of it when so much has passed.
func (g *Segment) after(seconds float64) Segment {
	rest := *g
	if g.spilling && !g.displayAlone {
		rest.salt = g.salinityAt(seconds) * (g.volume + g.level.P[0])
	}
	for _, f := range []*numeric.ExpPoly{
		&rest.temp[Display], &rest.temp[Sump], &rest.level, &rest.deficit, &rest.spill, &rest.oxygen,
	} {
		*f = f.Later(seconds)
	}
	rest.stored = nil
	for i, stored := range g.stored {
		rest.stored = append(rest.stored, stored-g.outflow[i]*seconds)
	}
	rest.StartS += seconds
	rest.lookTo(g.LengthS - seconds)
	return rest
}
