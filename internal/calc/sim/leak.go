package sim

import (
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
)

// leakedShare of the water is what leaks in one segment at most: the salinity takes the volume of its beginning.
const leakedShare = 0.02

// runsOut finds what leaks now.
func (r *run) runsOut() (l leaking) {
	for i, opened := range r.f.leaks {
		if !opened {
			continue
		}
		x := &r.s.Leaks[i]
		switch {
		case x.Pumped:
			if r.flowing {
				l.rest += x.FlowLS
			}
		case !r.above(x):
		case x.Node == Display && r.displayAlone():
			l.display += x.FlowLS
		default: // also of a display whose water the return pump replaces out of the sump
			l.rest += x.FlowLS
		}
	}
	r.skims(&l)
	return l
}

// above tells whether water stands above a leak.
func (r *run) above(x *Leak) bool {
	level := r.level
	if x.Node == Display && r.s.Nodes == 2 {
		level = r.displayLevel()
	}
	return level > x.AtL+limitBand
}

// untilLeakEnds returns the time until a leak has nothing above it, or until so much has run out that salinity wants a
// new volume.
func (r *run) untilLeakEnds(g *Segment) (h float64, found bool) {
	first := soonest{h: g.LengthS}
	at := first.at
	at(leakedShare*r.displayVolume()/g.leak.display, true) // never where nothing leaks
	at(leakedShare*min(r.sumpOrAll(), g.volumeNow)/g.leak.rest, true)
	for i, opened := range r.f.leaks {
		x := &r.s.Leaks[i]
		switch {
		case !opened || x.Pumped || !r.above(x):
		case x.Node == Display && r.displayAlone():
			at(g.deficit.FirstReachingWith(-r.drains-x.AtL, true, g.LengthS, g.decay))
		case x.Node == Display && r.flowing: // its level stays
		default:
			at(g.level.FirstReachingWith(x.AtL, false, g.LengthS, g.decay))
		}
	}
	return first.h, first.found
}

// sumpOrAll is the water of the vessel with the level chamber.
func (w *water) sumpOrAll() float64 { return w.left(w.s.Nodes - 1) }

// layOutLeak writes what the salinity follows from while water leaks: the exchange of fresh water alone.
func (r *run) layOutLeak(g *Segment) {
	g.volumeNow = g.volume + r.level
	if g.displayAlone {
		g.volumeNow = r.displayVolume()
	}
	if !g.leak.any() {
		return
	}
	g.exchanged = g.level.Plus(1, lineOf(0, g.leak.rest))
	if g.displayAlone {
		g.exchanged = g.deficit.Plus(1, lineOf(0, -g.leak.display))
	}
	g.spill = g.spill.Plus(1, lineOf(0, g.leak.display+g.leak.rest-g.leak.cups))
}

// leakSalt takes the salt that has leaked by the end of a segment, level and deficit being those of the end.
//
//	salinity  of the display at the end
//	sump      of the sump at the beginning, where it stands alone
func (r *run) leakSalt(g *Segment, salinity, sump float64) {
	if g.dilutes > 0 || !g.leak.any() {
		return
	}
	if !g.displayAlone {
		salt, volume := r.mixed()
		r.saltSpilled += salt - salinity*volume
		r.share(salinity * volume)
		return
	}
	if g.leak.display > 0 {
		kept := salinity * r.displayVolume()
		r.saltSpilled += r.salt[Display] - kept
		r.salt[Display] = kept
	}
	lost := g.leak.rest * g.LengthS * sump
	r.salt[Sump] -= lost
	r.saltSpilled += lost
}

// leaks says where water may run out.
func (c *compiler) leaks() {
	p, s := c.p, c.s
	area := *p.Display.LengthMM * *p.Display.WidthMM / quantity.SquareMMPerSquareMetre
	for _, x := range p.Leaks {
		l := Leak{ID: x.ID, FlowLS: x.FlowLH / quantity.SecondsPerHour, Pumped: x.Kind == plan.HoseLeak}
		switch {
		case p.Sump != nil && *x.Place == plan.InDisplay:
			l.Node, l.AtL = Display, area*x.HeightMM
		default:
			l.Node, l.AtL = s.Nodes-1, s.Chamber.VolumeAtL(x.HeightMM)
		}
		if l.Node == Sump { // no deeper than its floor
			l.AtL = max(l.AtL, s.Chamber.VolumeAtL(-p.Sump.WaterLevelMM))
		}
		l.AtL = max(l.AtL, -(1-driedShare)*s.Node[l.Node].VolumeL)
		s.Leaks = append(s.Leaks, l)
	}
}
