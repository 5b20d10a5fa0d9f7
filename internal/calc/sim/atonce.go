package sim

import "math"

// WholeL returns all water with the return running.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (s *System) WholeL() float64 {
	whole := s.Node[Display].VolumeL
	if s.Nodes == 2 {
		whole += s.Node[Sump].VolumeL
	}
	return whole
}

// AfterAtOnce mixes so much of a reservoir into the tank as it stands at the start, without any gas exchange, and
// returns how far past the nearest harm limit that is, as a share of the limit, and which.
//
//	amount  litres, of gas grams; at least 0
//
// What goes over the rim of the vessel with the level chamber counts from its harm limit on; it takes no salt with it.
// Accuracy: that of carbonate.See. Errors: none. Source: [Derived], [Moras2022].
func (s *System) AfterAtOnce(reservoir int, amount float64) (over float64, kind LimitKind) {
	r, c := &s.Reservoirs[reservoir], s.Chemistry
	whole := s.WholeL()
	litres := amount
	if r.Gas {
		litres = 0
	}
	v := whole + litres
	meq, calcium := c.MeqL*whole+amount*r.Holds.Meq, c.CalciumMmolL*whole+amount*r.Holds.CalciumMmol
	excess := amount*(r.Holds.CarbonMmol-c.Tied*r.Holds.Meq) - c.Apart*litres
	seen := c.see(meq/v, calcium/v, excess/v)
	salinity := (s.SalinityStart*whole + litres*r.Holds.Salinity) / v
	spilled := litres - s.Chamber.VolumeAtL(s.Chamber.RimMM)
	over = math.Inf(-1)
	above := func(k LimitKind, value float64) {
		limit := s.Limits[k].Harm.At
		if x := (value - limit) / limit; x > over {
			over, kind = x, k
		}
	}
	below := func(k LimitKind, value float64) {
		limit := s.Limits[k].Harm.At
		if x := (limit - value) / limit; x > over {
			over, kind = x, k
		}
	}
	above(AlkalinityHigh, meq/v)
	below(AlkalinityLow, meq/v)
	above(PHHigh, seen.PH)
	below(PHLow, seen.PH)
	above(FallingOut, seen.Aragonite)
	below(Dissolving, seen.Aragonite)
	above(Concentrated, salinity)
	below(Diluted, salinity)
	above(Flooded, spilled)
	return over, kind
}
