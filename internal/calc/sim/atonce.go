package sim

import (
	"math"

	"saltwright/internal/calc/carbonate"
)

// WholeL returns all water with the return running.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (s *System) WholeL() float64 {
	return s.Node[Display].VolumeL + s.Node[Sump].VolumeL // a sump that is none has no water
}

// AfterAtOnce mixes so much of a reservoir into the tank as it stands at the start, and returns how far
// past the nearest harm limit that is, as a share of the limit, and which: without any gas exchange, and when the air
// has made up for it, whichever is worse.
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
	seen := []carbonate.Seen{c.see(meq/v, calcium/v, excess/v)}
	if !r.Gas { // and once the air has made up for it
		seen = append(seen, c.see(meq/v, calcium/v, 0))
	}
	salinity := (s.SalinityStart*whole + litres*r.Holds.Salinity) / v
	spilled := litres - s.Chamber.VolumeAtL(s.Chamber.RimMM)
	over = math.Inf(-1)
	beyond := func(k LimitKind, share float64) {
		if share > over {
			over, kind = share, k
		}
	}
	above := func(k LimitKind, value float64) { beyond(k, (value-s.Limits[k].Harm.At)/s.Limits[k].Harm.At) }
	below := func(k LimitKind, value float64) { beyond(k, (s.Limits[k].Harm.At-value)/s.Limits[k].Harm.At) }
	above(AlkalinityHigh, meq/v)
	below(AlkalinityLow, meq/v)
	for _, x := range seen {
		above(PHHigh, x.PH)
		below(PHLow, x.PH)
		above(FallingOut, x.Aragonite)
		below(Dissolving, x.Aragonite)
	}
	if c.MagnesiumMmolL > 0 {
		magnesium := (c.MagnesiumMmolL*whole + amount*r.Holds.MagnesiumMmol) / v
		above(MagnesiumHigh, magnesium)
		below(MagnesiumLow, magnesium)
	}
	above(Concentrated, salinity)
	below(Diluted, salinity)
	above(Flooded, spilled)
	return over, kind
}
