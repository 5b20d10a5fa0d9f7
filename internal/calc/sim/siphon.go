package sim

import "saltwright/internal/calc/numeric"

// leastHeadMM is less than what moves water.
const leastHeadMM = 1e-3

// head returns how far a reservoir's water stands above where its line lets it out: the line's end, or the water that
// the end dips into.
func (r *run) head(i int) float64 {
	v := &r.s.Reservoirs[i]
	return v.HeightMM(r.stored[i]) - max(v.LineEndMM, r.s.Chamber.HeightAtMM(r.level))
}

// beginSiphon lets a reservoir run on when its pump stops and has left the line full.
func (r *run) beginSiphon(i int) {
	v := &r.s.Reservoirs[i]
	r.siphon[i] = r.stored[i] > 0 && v.Siphons() && (!v.Break || r.f.siphon[i]) && r.head(i) > leastHeadMM
}

// untilSiphonEnds returns the time until a siphon has run down to the end of its line, or to equal levels.
//
// The chamber widens above its baffle, so the volume up to the reservoir's height is the greater one of two straight
// lines: equal levels are reached when the water has reached both.
func (r *run) untilSiphonEnds(g *Segment, i int) (h float64, found bool) {
	v, c, q := &r.s.Reservoirs[i], &r.s.Chamber, g.outflow[i]
	h, found = (r.stored[i]-(v.LineEndMM-v.EmptyMM)*v.AreaM2)/q, true
	from, fall := v.HeightMM(r.stored[i]), q/v.AreaM2 // mm, mm/s
	narrow := g.level.Plus(1, lineOf(-c.AreaM2*from, c.AreaM2*fall))
	wide := g.level.Plus(1, lineOf(-c.VolumeAtL(c.BaffleMM)-c.WideAreaM2*(from-c.BaffleMM), c.WideAreaM2*fall))
	below, reached := narrow.FirstReachingWith(0, true, g.LengthS, g.decay)
	above, both := wide.FirstReachingWith(0, true, g.LengthS, g.decay)
	if reached && both {
		h = min(h, max(below, above))
	}
	return max(0, h), found
}

func lineOf(start, slope float64) *numeric.ExpPoly {
	f := numeric.Linear(start, slope)
	return &f
}

// endSiphons stops those whose head is gone.
func (r *run) endSiphons() {
	for i := range r.siphon {
		if r.siphon[i] && (r.stored[i] == 0 || r.head(i) <= leastHeadMM) {
			r.siphon[i] = false
		}
	}
}
