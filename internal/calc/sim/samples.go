package sim

import (
	"math"

	"saltwright/internal/calc/carbonate"
)

// Sample is the tank at one instant of a course.
type Sample struct {
	AtS         float64
	TempC       float64 // display
	SumpC       float64 // sump; the display where there is none
	Salinity    float64 // display
	LevelMM     float64 // from the normal line of the level chamber
	DisplayL    float64 // of the display over its normal line
	OxygenMgL   float64
	SpilledL    float64
	ReturnFlows bool
	// Of what is dissolved; 0 where it is not followed.
	AlkalinityDKH, PH, Aragonite float64
	MagnesiumMgL                 float64
}

// nearestNanometre takes the last digits off a height, so that water at the normal line stands at 0.
func nearestNanometre(mm float64) float64 { return math.Round(mm*1e6) / 1e6 }

// Samples returns the tank every so often, ends included.
//
//	everyS  between two samples, > 0  [s]
//
// Accuracy: as Run. Errors: none. Source: [Derived].
func (c *Course) Samples(everyS float64) []Sample {
	var out []Sample
	for i := range c.Segments {
		g := &c.Segments[i]
		add := func(at float64) {
			d := at - g.StartS
			out = append(out, Sample{
				AtS: at, TempC: g.temp[Display].At(d), SumpC: g.temp[g.last].At(d), Salinity: g.salinityAt(d),
				LevelMM:   nearestNanometre(c.s.Chamber.HeightAtMM(g.level.At(d))),
				DisplayL:  g.displayOver(d),
				OxygenMgL: g.oxygen.At(d), SpilledL: g.spill.At(d),
				ReturnFlows: g.Flowing,
			})
			out[len(out)-1].dissolved(g, d)
		}
		for at := everyS * float64(len(out)); at < g.StartS+g.LengthS; at = everyS * float64(len(out)) {
			add(at)
		}
		if i == len(c.Segments)-1 {
			add(c.EndS)
		}
	}
	return out
}

// displayOver is how much more the display holds than at its normal line so long after the segment's beginning, L.
func (g *Segment) displayOver(seconds float64) float64 {
	switch {
	case g.last == Display:
		return g.level.At(seconds)
	case g.displayAlone:
		return -g.drained - g.deficit.At(seconds)
	}
	return 0
}

// dissolved adds what is dissolved to a sample so long after the beginning of a segment.
func (x *Sample) dissolved(g *Segment, seconds float64) {
	if g.dissolved == nil {
		return
	}
	meq, calcium, excess := g.dissolved.at(seconds)
	seen := g.dissolved.c.see(meq, calcium, excess)
	x.AlkalinityDKH, x.PH, x.Aragonite = meq*carbonate.DKHPerMeqL, seen.PH, seen.Aragonite
	x.MagnesiumMgL = g.dissolved.magnesium(seconds) * carbonate.Magnesium
}
