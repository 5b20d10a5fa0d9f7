package plan

import (
	"slices"

	"saltwright/internal/calc/quantity"
)

// opensAtOnce is the lower end of the range in which each type opens at once, in multiples of its rating: it may open
// there, and must at 5, 10 and 20.
var opensAtOnce = map[BreakerType]float64{TypeB: 3, TypeC: 5, TypeD: 10} // IEC 60898-1

// AtOnceA returns above which current a breaker may open at once; not ok: the plan says no rating.
//
//	I = m I_n,  m = 3 (type B), 5 (C), 10 (D)
//
// Accuracy: the lower end of the type's range, the cautious one; its upper end is 1.7 to 2 times as much. Errors: none.
// Source: [IEC60898].
func (c Circuit) AtOnceA() (float64, bool) {
	if c.BreakerA == nil || c.BreakerType == nil {
		return 0, false
	}
	return opensAtOnce[*c.BreakerType] * *c.BreakerA, true
}

// StartOf returns how a device starts; one that says nothing of it takes no more than it runs on, at once.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (w Power) StartOf(element string) Start {
	if i := slices.IndexFunc(w.Starts, func(x Start) bool { return x.Element == element }); i >= 0 {
		return w.Starts[i]
	}
	return Start{Element: element, InrushTimes: 1}
}

// Starting is what a device draws after its circuit has come back.
type Starting struct {
	Load
	AtS   float64 // after the circuit
	Start Start
}

// Startings returns whatever starts when a circuit of a completed plan comes back, in the order of the plan.
//
// Accuracy: labels state powers to some 10 %. Errors: none. Source: [Derived].
func (p Plan) Startings(circuit string) []Starting {
	var out []Starting
	for _, x := range p.Loads() {
		above := p.Power.Above(x.Supply)
		i := slices.Index(above, circuit)
		if i < 0 {
			continue
		}
		start := p.Power.StartOf(x.ID)
		minutes := 0.0
		if start.BackAfterMin != nil {
			minutes = *start.BackAfterMin
		}
		carried := false
		for _, id := range above[:i] {
			minutes += p.Power.backAfterMin(id)
			carried = carried || p.Power.carriedAtOnce(id)
		}
		if carried { // it never stopped
			minutes, start.InrushTimes = 0, 1
		}
		out = append(out, Starting{x, minutes * quantity.SecondsPerMinute, start})
	}
	return out
}

// backAfterMin is how long a strip waits after its supply.
func (w Power) backAfterMin(strip string) float64 {
	for _, x := range w.Strips {
		if x.ID == strip && x.BackAfterMin != nil {
			return *x.BackAfterMin
		}
	}
	return 0
}

// carriedAtOnce tells whether a backup carries a supply from the first moment on.
func (w Power) carriedAtOnce(supply string) bool {
	return slices.ContainsFunc(w.Backups, func(x Backup) bool {
		return x.Starts != ByHand && x.DelayMin == 0 && slices.Contains(x.Supplies, supply)
	})
}

// StartPeak returns the largest power that a circuit sees after it has come back with everything on it wanting to run,
// and when.
//
//	P(t) = Σ over what is back by t of P_i m_i where it came within its inrush, P_i afterwards
//
// Accuracy: labels state powers to some 10 %. Errors: none. Source: [Derived].
func (p Plan) StartPeak(circuit string) (powerW, atS float64) {
	list := p.Startings(circuit)
	for _, first := range list {
		sum := 0.0
		for _, x := range list {
			switch since := first.AtS - x.AtS; {
			case since < 0:
			case since < x.Start.InrushS:
				sum += x.PowerW * x.Start.InrushTimes
			default:
				sum += x.PowerW
			}
		}
		if sum > powerW {
			powerW, atS = sum, first.AtS
		}
	}
	return powerW, atS
}

// StartsHard tells whether a plan says of anything on a circuit that it takes more at first.
//
// Errors: none. Source: [Derived].
func (p Plan) StartsHard(circuit string) bool {
	return slices.ContainsFunc(p.Startings(circuit), func(x Starting) bool { return x.Start.InrushTimes > 1 })
}
