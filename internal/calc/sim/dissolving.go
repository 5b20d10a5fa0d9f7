package sim

import (
	"math"

	"saltwright/internal/calc/numeric"
)

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

// magnesium returns its concentration after so long, mmol/L.
func (d *dissolving) magnesium(t float64) float64 {
	if !d.open {
		return (d.from.MagnesiumMmol + d.sources.MagnesiumMmol*t) / d.volume.At(t)
	}
	x := d.exchange
	x.start, x.source = d.from.MagnesiumMmol/x.volumeL, d.sources.MagnesiumMmol
	return x.at(t)
}

// quantity returns one of those that can be watched.
func (d *dissolving) quantity(q Quantity) func(t float64) float64 {
	if q == Magnesium {
		return d.magnesium
	}
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

// bounds returns what a quantity does not leave up to the end of a segment, rounding included.
func (d *dissolving) bounds(q Quantity, lengthS float64, decay numeric.Decay) (low, high float64) {
	if d.lengthS < lengthS {
		d.lengthS, d.sought = lengthS, false
		d.meqLow, d.meqHigh = d.within(d.quantity(Alkalinity), lengthS, decay)
	}
	switch q {
	case Alkalinity:
		low, high = d.meqLow, d.meqHigh
	case Magnesium:
		low, high = d.within(d.magnesium, lengthS, decay)
	case PH:
		d.corners(lengthS, decay)
		low, high = d.ph[0], d.ph[1]
	default:
		d.corners(lengthS, decay)
		low, high = d.saturate[0], d.saturate[1]
	}
	return low - rounding, high + rounding
}

// within returns what a concentration does not leave: while water is open it goes one way, else its amount does, and
// with it goes a volume that may have an extreme within.
func (d *dissolving) within(course func(float64) float64, lengthS float64, decay numeric.Decay) (low, high float64) {
	if d.open {
		return span(course, lengthS)
	}
	low, high = span(func(t float64) float64 { return course(t) * d.volume.At(t) }, lengthS)
	least, most := d.volume.BoundsWith(lengthS, decay)
	return min(low/least, low/most), max(high/least, high/most)
}

const rounding = 1e-9

func span(f func(float64) float64, lengthS float64) (low, high float64) {
	a, b := f(0), f(lengthS)
	return min(a, b), max(a, b)
}

// corners finds the bounds of pH and saturation, once: the extremes of alkalinity with those of the excess.
func (d *dissolving) corners(lengthS float64, decay numeric.Decay) {
	if d.sought {
		return
	}
	d.sought = true
	part := func(k int) func(float64) float64 {
		return func(t float64) float64 {
			var x [3]float64
			x[0], x[1], x[2] = d.at(t)
			return x[k]
		}
	}
	calciumLow, calciumHigh := d.within(part(1), lengthS, decay)
	excessLow, excessHigh := d.within(part(2), lengthS, decay)
	d.ph, d.saturate = [2]float64{math.Inf(1), math.Inf(-1)}, [2]float64{math.Inf(1), math.Inf(-1)}
	for _, meq := range []float64{d.meqLow, d.meqHigh} {
		for _, x := range []struct{ excess, calcium float64 }{{excessLow, calciumHigh}, {excessHigh, calciumLow}} {
			seen := d.c.see(meq, x.calcium, x.excess)
			d.ph[0], d.ph[1] = min(d.ph[0], seen.PH), max(d.ph[1], seen.PH)
			d.saturate[0], d.saturate[1] = min(d.saturate[0], seen.Aragonite), max(d.saturate[1], seen.Aragonite)
		}
	}
}
