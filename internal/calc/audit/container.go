package audit

import (
	"math"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// fillingMargin is between what is filled and what does no harm, or lasts the absence; common practice, no source.
const fillingMargin = 0.05

// Container is what stands ready to be dosed, changed or topped off: the last limit of a pump that never stops.
type Container struct {
	Element string  // id of the pump, or of the reservoir of lime water
	HoldsL  float64 // that its pump can reach; grams of a bottle of gas
	// SmallestL lasts the longest absence.
	SmallestL float64
	// LargestL may arrive in the tank at once without passing a harm limit, before and after gas exchange. Where
	// no content does any harm it is the most that was tried: as much as the tank holds.
	LargestL float64
	Limit    string // the kind of harm that more would bring; empty: none
	Gas      bool   // in grams
}

// Harmless tells whether its whole content may arrive at once.
//
// Errors: none. Source: [Derived].
func (c Container) Harmless() bool { return c.HoldsL <= c.LargestL }

// Lasts tells whether it lasts the absence.
//
// Errors: none. Source: [Derived].
func (c Container) Lasts() bool { return c.HoldsL >= c.SmallestL*(1-1e-9) }

// mostFilledL is what to fill so that it does no harm at once: less by a margin where it lasts the absence so, in steps
// of ten millilitres.
func (c Container) mostFilledL() float64 {
	return math.Floor(100*math.Max(c.LargestL*(1-fillingMargin), math.Min(c.LargestL, c.SmallestL))) / 100
}

// leastFilledL is what to fill so that it lasts, the other way round.
func (c Container) leastFilledL() float64 {
	return math.Ceil(100*math.Min(c.SmallestL*(1+fillingMargin), math.Max(c.LargestL, c.SmallestL))) / 100
}

// filled fills another amount into a container; nil: there is no such amount.
func (c Container) filled(code, sentence string, litres float64) *Change {
	if litres <= 0 || litres < c.SmallestL || litres > c.LargestL {
		return nil
	}
	change := c.Filled(code, sentence, litres)
	return &change
}

// Filled fills another amount into a container, or into a reservoir of lime water.
//
//	code, sentence  of the change; the sentence takes element and volume
//	litres          more than 0
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (c Container) Filled(code, sentence string, litres float64) Change {
	return Change{code, text.Of(sentence, text.Params{"element": c.Element, "volume": litres}), func(p *plan.Plan) {
		for i := range p.DosingPumps {
			if p.DosingPumps[i].ID == c.Element {
				p.DosingPumps[i].Container.VolumeL = litres
			}
		}
		for i := range p.ChangePumps {
			if x := &p.ChangePumps[i]; x.ID == c.Element && x.Container != nil {
				held := *x.Container
				held.VolumeL = litres
				x.Container = &held
			}
		}
		for i := range p.Reservoirs {
			if x := &p.Reservoirs[i]; x.ID == c.Element {
				x.VolumeL = math.Round(100*litres/x.UsableShare) / 100
			}
		}
	}}
}
