package sim

import (
	"math"

	"saltwright/internal/calc/numeric"
)

// Peaks are the extremes of a course.
type Peaks struct {
	TempMinC, TempMaxC       float64 // of the display
	SalinityMin, SalinityMax float64 // of the display
	LevelMinL, LevelMaxL     float64
	OxygenMinMgL             float64
	SumpMaxC                 float64         // of the sump, of the display where there is none
	TempChangeK              float64         // most within an hour
	SalinityChange           float64         // most within an hour
	Dissolved                *DissolvedPeaks // nil: not followed
}

// Peaks returns the extremes of the water.
//
// Accuracy: rounding. Errors: none. Source: [Derived].
func (c *Course) Peaks() Peaks {
	w := &c.start
	salinity := w.value(&Comparator{Quantity: Salinity})
	p := Peaks{
		TempMinC: w.temp[0], TempMaxC: w.temp[0], SalinityMin: salinity, SalinityMax: salinity,
		LevelMinL: w.level, LevelMaxL: w.level, OxygenMinMgL: w.oxygen, SumpMaxC: w.temp[w.s.Nodes-1],
		TempChangeK: c.greatestChange(DisplayTemp), SalinityChange: c.greatestChange(Salinity),
	}
	for i := range c.Segments {
		g := &c.Segments[i]
		leaves := func(q Quantity, least, most float64) bool { return g.bound[q][0] < least || g.bound[q][1] > most }
		if leaves(DisplayTemp, p.TempMinC, p.TempMaxC) {
			widen(&p.TempMinC, &p.TempMaxC, &g.temp[Display], g)
		}
		if leaves(SumpTemp, math.Inf(-1), p.SumpMaxC) {
			_, most := g.temp[g.last].ExtremesWith(g.LengthS, g.decay)
			p.SumpMaxC = max(p.SumpMaxC, most)
		}
		if leaves(Oxygen, p.OxygenMinMgL, math.Inf(1)) {
			least, _ := g.oxygen.Extremes(g.LengthS)
			p.OxygenMinMgL = min(p.OxygenMinMgL, least)
		}
		if leaves(Level, p.LevelMinL, p.LevelMaxL) {
			widen(&p.LevelMinL, &p.LevelMaxL, &g.level, g)
		}
		if leaves(Salinity, p.SalinityMin, p.SalinityMax) {
			p.salinity(g)
		}
	}
	p.Dissolved = c.dissolvedPeaks()
	return p
}

func widen(least, most *float64, f *numeric.ExpPoly, g *Segment) {
	lo, hi := f.ExtremesWith(g.LengthS, g.decay)
	*least, *most = min(*least, lo), max(*most, hi)
}

// salinity takes in a segment: it is salt over volume, and while water spills it falls from what it was.
func (p *Peaks) salinity(g *Segment) {
	var least, most float64
	switch {
	case g.change.shows(), g.dilutes > 0: // it goes one way
		least, most = span(g.salinityAt, g.LengthS)
	case g.displayAlone:
		lo, hi := g.freshly().ExtremesWith(g.LengthS, g.decay)
		least, most = g.salt/(g.volume-lo), g.salt/(g.volume-hi)
	default:
		lo, hi := g.freshly().ExtremesWith(g.LengthS, g.decay)
		least, most = g.salt/(g.volume+hi), g.salt/(g.volume+lo)
	}
	p.SalinityMin, p.SalinityMax = min(p.SalinityMin, least), max(p.SalinityMax, most)
}
