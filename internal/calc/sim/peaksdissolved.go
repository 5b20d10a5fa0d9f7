package sim

// DissolvedPeaks are the extremes of what is dissolved.
type DissolvedPeaks struct {
	AlkalinityMin, AlkalinityMax float64 // meq/L
	PHMin, PHMax                 float64
	AragoniteMin, AragoniteMax   float64 // saturation
	MagnesiumMin, MagnesiumMax   float64 // mmol/L; 0: not followed
}

// With returns the extremes of two runs.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (p DissolvedPeaks) With(o DissolvedPeaks) DissolvedPeaks {
	return DissolvedPeaks{
		min(p.AlkalinityMin, o.AlkalinityMin), max(p.AlkalinityMax, o.AlkalinityMax), min(p.PHMin, o.PHMin),
		max(p.PHMax, o.PHMax), min(p.AragoniteMin, o.AragoniteMin), max(p.AragoniteMax, o.AragoniteMax),
		min(p.MagnesiumMin, o.MagnesiumMin), max(p.MagnesiumMax, o.MagnesiumMax),
	}
}

func (c *Course) dissolvedPeaks() *DissolvedPeaks {
	if c.s.Chemistry == nil {
		return nil
	}
	w := &c.start
	meq, pH, saturation := w.seen(Alkalinity), w.seen(PH), w.seen(Aragonite)
	magnesium := w.seen(Magnesium)
	p := &DissolvedPeaks{meq, meq, pH, pH, saturation, saturation, magnesium, magnesium}
	for i := range c.Segments {
		g := &c.Segments[i]
		for _, x := range []struct {
			q           Quantity
			least, most *float64
		}{
			{Alkalinity, &p.AlkalinityMin, &p.AlkalinityMax}, {PH, &p.PHMin, &p.PHMax},
			{Aragonite, &p.AragoniteMin, &p.AragoniteMax}, {Magnesium, &p.MagnesiumMin, &p.MagnesiumMax},
		} {
			if low, high := g.dissolved.bounds(x.q, g.LengthS, g.decay); low >= *x.least && high <= *x.most {
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
