package sim

import (
	"slices"

	"saltwright/internal/calc/numeric"
)

// plumb applies the faults of overflows and return lines.
func (r *run) plumb() {
	for i, drains := range r.f.lineDrains {
		if drains {
			r.drains = max(r.drains, r.s.ReturnLines[i].DepthL)
		}
	}
	r.blocked = r.s.Overflows > 0 && !slices.Contains(r.f.weirBlocked, false)
}

// fills is the node that top-off water gets to.
func (r *run) fills() int {
	if r.dammed {
		return Display
	}
	return r.s.Nodes - 1
}

// damOrNot lets the return pump lift the sump's water onto a display whose overflows are blocked, or lets it run back
// when the pump stops; changed when it does either. What takes a minute or two is taken to happen at once, which is
// cautious.
func (r *run) damOrNot(lifts bool) (changed bool) {
	switch {
	case lifts && !r.dammed:
		r.dam()
	case !lifts && r.dammed:
		r.undam()
	default:
		return false
	}
	r.course.flow.set(false, r.t)
	return true
}

// dam lifts all water above the pump's intake into the display, up to its rim and over it.
func (r *run) dam() {
	if r.flowing { // as the return stops, but that nothing spills from the sump
		rim := r.rimL
		r.rimL = max(rim, r.level+r.drains)
		r.setFlow(false)
		r.rimL = rim
	}
	r.dammed = true
	r.lift(max(0, r.level-r.intakeL))
	if over := r.brimL() - r.deficit; over > 0 {
		r.loses(over)
		lost := over * r.salt[Display] / r.displayVolume()
		r.salt[Display] -= lost
		r.saltSpilled += lost
		r.spilled += over
		r.deficit += over
	}
}

// lift moves water with its salt from the sump up to a display that stands alone; below 0 it runs down.
func (r *run) lift(litres float64) {
	from := Sump
	if litres < 0 {
		from = Display
	}
	salt := litres * r.salt[from] / r.left(from)
	r.salt[Sump] -= salt
	r.salt[Display] += salt
	r.level -= litres
	r.deficit -= litres
}

// undam lets the display run back through the return lines, down to the lowest nozzle of those that let it.
func (r *run) undam() {
	r.dammed = false
	low, runs := 0.0, len(r.s.ReturnLines) == 0
	if runs {
		low = r.drains
	}
	for i, x := range r.s.ReturnLines {
		if !x.Stops || r.f.lineDrains[i] {
			low, runs = max(low, x.DepthL), true
		}
	}
	if down := r.displayVolume() - (r.s.Node[Display].VolumeL - low); runs && down > 0 {
		r.lift(-down)
	}
	if over := r.level - r.rimL; over > 0 {
		r.loses(over)
		lost := over * r.salt[Sump] / r.sumpVolume()
		r.salt[Sump] -= lost
		r.saltSpilled += lost
		r.level = r.rimL
		r.spilled += over
	}
}

// layOutDam writes the water of a segment in which the return pump holds up what comes: top-off water goes on into the
// display, less what the sump loses to the air, and over the rim once it is full.
func (r *run) layOutDam(g *Segment) {
	e := r.evaporation
	sump := numeric.Constant(e[Sump].Const).Plus(e[Sump].Slope, &g.temp[Sump])
	loss := numeric.Constant(e[Display].Const+g.leak.display-r.inflow).Plus(e[Display].Slope, &g.temp[Display])
	g.level = numeric.Constant(r.level)
	if r.inflow > 0 {
		loss = loss.Plus(1, &sump)
	} else {
		drying := numeric.Constant(0).Plus(-1, &sump)
		g.level = drying.IntegralFrom(r.level)
	}
	g.spill, g.spilling = numeric.Constant(r.spilled), r.deficit <= r.brimL()+1e-9 && loss.At(0) < 0
	g.salt, g.volume = r.mixed()
	if g.spilling {
		g.dilutes = g.volume
		over := numeric.Constant(0).Plus(-1, &loss)
		g.deficit, g.spill = numeric.Constant(r.deficit), over.IntegralFrom(r.spilled)
	} else {
		g.deficit = loss.IntegralFrom(r.deficit)
	}
	g.volume += r.deficit
}

// plumbing says what runs down when the return stops, and what may keep it up.
func (c *compiler) plumbing(surfaceM2 float64) {
	d, s := c.p.Display, c.s
	// Of a display full of rock more cannot run down than the water that it holds.
	litres := func(depthMM float64) float64 { return min(surfaceM2*depthMM, (1-driedShare)*s.Node[Display].VolumeL) }
	s.DrainBackL = litres(d.DrainBackMM)
	s.DisplayFreeL = surfaceM2 * d.FreeboardMM
	s.Overflows = len(c.p.Overflows)
	for _, x := range c.p.ReturnLines {
		line := ReturnLine{ID: x.ID, DepthL: litres(x.NozzleDepthMM), Stops: x.SiphonHole || x.CheckValve}
		if !line.Stops {
			s.DrainBackL = max(s.DrainBackL, line.DepthL)
		}
		s.ReturnLines = append(s.ReturnLines, line)
	}
}
