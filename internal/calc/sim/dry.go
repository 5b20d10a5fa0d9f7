package sim

import "saltwright/internal/calc/plan"

// Dryness is what becomes of a heater that stands out of the water.
type Dryness struct {
	Covered int  // the comparator that says whether water covers it, counted from 1; 0: it always does
	CutsOut bool // it is off while it stands dry, and heats again when it is covered
	Opens   int  // the circuit that opens when it breaks, counted from 1; 0: none
}

// coveredAgainMM is how much higher than its end water must stand to cool a heater again, mm; common practice, no source.
const coveredAgainMM = 1.0

// standsDry tells whether no water covers a device, which breaks it if it would run: its heat is then lost for good.
func (r *run) standsDry(i int, wouldRun bool) bool {
	d := &r.s.Devices[i]
	if d.Dry.Covered == 0 || r.ranDry != nil && r.ranDry[i] != Never {
		return d.Dry.Covered != 0
	}
	if r.comparators[d.Dry.Covered-1].state {
		return false
	}
	if wouldRun && (!d.Dry.CutsOut || r.f.cutOutDead[i]) {
		r.breakDry(i)
	}
	return true
}

// breakDry notes when a heater first ran dry, and opens what protects its circuit where its glass broke.
func (r *run) breakDry(i int) {
	if r.ranDry == nil {
		r.ranDry = make([]float64, len(r.s.Devices))
		for k := range r.ranDry {
			r.ranDry[k] = Never
		}
		r.course.ranDry = r.ranDry
	}
	r.ranDry[i] = r.t
	if k := r.s.Devices[i].Dry.Opens - 1; k >= 0 && r.course.opened[k] == Never {
		r.course.opened[k], r.broke = r.t, true
	}
}

// firstRanDry returns when the first heater ran dry and broke, s, or Never.
func (c *Course) firstRanDry() float64 {
	first := Never
	for _, at := range c.ranDry {
		if at < c.EndS-timeTolerance {
			first = sooner(first, at)
		}
	}
	return first
}

// bare returns when a device first stood out of the water, running or not, s, or Never.
func (c *Course) bare(i int) float64 {
	d := &c.s.Devices[i]
	if d.Dry.Covered == 0 {
		return Never
	}
	covered := c.said(d.Dry.Covered-1, sensorFault{})
	return covered.not().lasting(0, c.EndS)
}

// firstBare returns when the first of all devices did.
func (c *Course) firstBare() float64 {
	first := Never
	for i := range c.s.Devices {
		first = sooner(first, c.bare(i))
	}
	return first
}

// mayBreak tells whether a circuit may open because a heater breaks.
func (s *System) mayBreak(circuit int) bool {
	for i := range s.Devices {
		if s.Devices[i].Dry.Opens == circuit+1 {
			return true
		}
	}
	return false
}

// dryness says when a heater of the plan stands dry, and what comes of it.
func (c *compiler) dryness(h plan.Heater) Dryness {
	if h.HeightMM == nil {
		return Dryness{}
	}
	covered := c.heightIn(*h.Place, *h.HeightMM, *h.HeightMM+coveredAgainMM)
	d := Dryness{Covered: covered + 1, CutsOut: *h.WhenDry == plan.CutsOut}
	if *h.WhenDry == plan.Shatters {
		d.Opens = c.circ[c.protecting(*h.Circuit)] + 1
	}
	return d
}

// protecting returns the residual-current device that a supply lies behind, or the supply itself.
func (c *compiler) protecting(supply string) string {
	if device := c.p.Power.Behind(supply); device != "" {
		return device
	}
	return supply
}
