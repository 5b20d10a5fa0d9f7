package sim

import (
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
)

// coveredAgainMM is how much higher than its end water must stand to cool a heater again, mm; common practice, no
// source.
const coveredAgainMM = 1.0

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

// skimmers adds the skimmers of a plan.
func (c *compiler) skimmers() {
	full := map[plan.FullCup]CupFull{plan.CupStops: Stops, plan.CupReturns: RunsBack, plan.CupSpills: RunsOver}
	for _, x := range c.p.Skimmers {
		k := Skimming{
			Node: nodeOf(*x.Place), CupL: x.CupL, FlowLS: x.SkimmateLDay / daySeconds, WetTimes: x.WetTimes,
			Full: full[x.FullCup], Airs: x.AerationShare,
		}
		if x.WetAboveMM != nil {
			k.Wet = c.heightIn(*x.Place, *x.WetAboveMM-coveredAgainMM, *x.WetAboveMM) + 1
		}
		d := Device{ID: x.ID, Kind: Skimmer, Circuit: c.circ[*x.Circuit], ElectricW: x.PowerW, Programme: -1,
			Thermostat: -1, Skim: k}
		d.HeatW[k.Node] = x.PowerW * x.HeatShare
		c.device[x.ID] = len(c.s.Devices)
		c.s.Devices = append(c.s.Devices, d)
	}
}

// heightIn adds a comparator of the water's height in a vessel: true at the higher mark, false at the lower.
func (c *compiler) heightIn(place plan.Place, lowMM, highMM float64) int {
	x := Comparator{Quantity: Level, Sensor: -1, Low: c.s.Chamber.VolumeAtL(lowMM), High: c.s.Chamber.VolumeAtL(highMM)}
	if c.p.Sump != nil && place == plan.InDisplay {
		area := *c.p.Display.LengthMM * *c.p.Display.WidthMM / quantity.SquareMMPerSquareMetre
		x.Quantity, x.Low, x.High = DisplayLevel, area*lowMM, area*highMM
	}
	return c.comparator(x)
}

// clogging says what is left of a pump's flow.
func (c *compiler) clogging(x plan.Pump) Clogging {
	var out Clogging
	if x.CloggedShare == nil {
		return out
	}
	out.Left = *x.CloggedShare
	sum := 0.0
	for _, p := range c.p.Pumps {
		if p.Role == plan.ReturnRole {
			sum += p.FlowLH
		}
	}
	if x.Role == plan.ReturnRole {
		out.Return = x.FlowLH / sum
	}
	return out
}
