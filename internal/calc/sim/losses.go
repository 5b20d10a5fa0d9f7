package sim

import (
	"math"
	"slices"

	"saltwright/internal/calc"
	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/moistair"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/seawater"
)

const (
	middleBandK                 = 7.0 // about the middle of the comfort band, so that a usual day crosses no edge
	otherBandK                  = 4.0
	coldestKnownC, hottestKnown = 0.0, 40.0 // range of the relations of heat loss and evaporation, °C
	leastBandK                  = 1.0       // a narrower band is not worth an edge
)

// bandEdgesC returns the temperatures between which losses are taken as straight, ascending.
func bandEdgesC(middleC float64) []float64 {
	edges := []float64{coldestKnownC, hottestKnown}
	for away := middleBandK / 2; away < hottestKnown; away += otherBandK {
		for _, edge := range []float64{middleC - away, middleC + away} {
			if edge > coldestKnownC+leastBandK && edge < hottestKnown-leastBandK {
				edges = append(edges, edge)
			}
		}
	}
	for edge := hottestKnown + otherBandK; edge <= boilsC; edge += otherBandK {
		edges = append(edges, edge)
	}
	slices.Sort(edges)
	return edges
}

const boilsC = 100.0 // and a little more with salt

// vesselInAir is what a vessel's losses follow from.
type vesselInAir struct {
	vessel      heat.Vessel
	air         moistair.State
	salinity    quantity.PracticalSalinity
	speedMS     float64    // of the room's air
	overWaterMS [2]float64 // as usual, and with the evaporative fan running
	dry, vapour float64    // factors as measured on this tank
	freshKgM3   float64
}

// bands returns the losses of a vessel as chords.
//
// Above the relations' range the dry loss goes on as a straight line, and evaporation grows with the difference of
// vapour pressures. TestBandsStayCloseToTheHeatBalance measures how far they are off.
func (v vesselInAir) bands(middleC float64) ([]Band, error) {
	edges := bandEdgesC(middleC)
	bands := make([]Band, len(edges)-1)
	var dryFrom, dryTo float64
	var vapourFrom, vapourTo [2]float64
	for i, edge := range edges {
		dryFrom, vapourFrom = dryTo, vapourTo
		if edge <= hottestKnown {
			loss, err := heat.DryLoss(v.vessel, quantity.Celsius(edge),
				heat.Surroundings{Air: v.air, AirSpeedMS: v.speedMS})
			if err != nil {
				return nil, err
			}
			dryTo = v.dry * loss.TotalW
		} else {
			dryTo = bands[i-2].DryLossW.At(edge)
		}
		var err error
		if vapourTo, err = v.evaporation(edge); err != nil {
			return nil, err
		}
		if i == 0 {
			continue
		}
		b := &bands[i-1]
		b.HighC, b.DryLossW = edge, chord(edges[i-1], dryFrom, edge, dryTo)
		for n := range b.EvaporationLS {
			b.EvaporationLS[n] = chord(edges[i-1], vapourFrom[n], edge, vapourTo[n])
		}
	}
	bands[len(bands)-1].HighC = math.Inf(1)
	return bands, nil
}

// evaporation returns litres of fresh water a second, as usual and with the fan.
func (v vesselInAir) evaporation(waterC float64) (out [2]float64, err error) {
	lid, err := evaporation.LidFactor(v.vessel.Lid)
	if err != nil {
		return out, err
	}
	known := quantity.Celsius(math.Min(waterC, hottestKnown))
	beyond := 1.0
	if waterC > hottestKnown {
		if beyond, err = v.vapourBeyond(quantity.Celsius(waterC)); err != nil {
			return out, err
		}
	}
	for i, speed := range v.overWaterMS {
		rate, err := evaporation.Estimate(evaporation.Surface{
			AreaM2: v.vessel.AreaM2(), Salinity: v.salinity, Water: known, Air: v.air, AirSpeedMS: speed,
			LidFactor: lid,
		})
		if err != nil {
			return out, err
		}
		litresPerHour := v.vapour * rate.Expected / (v.freshKgM3 / quantity.LitresPerCubicMetre)
		out[i] = beyond * litresPerHour / quantity.SecondsPerHour
	}
	return out, nil
}

// vapourBeyond returns how many times the difference of vapour pressures at the end of the relations' range water of a
// higher temperature has.
func (v vesselInAir) vapourBeyond(water quantity.Celsius) (float64, error) {
	ofAir, err := v.air.VapourPressure()
	if err != nil {
		return 0, err
	}
	atEnd, err := seawater.VapourPressure(v.salinity, hottestKnown)
	if err != nil {
		return 0, err
	}
	pureAtEnd, err := moistair.SaturationPressure(hottestKnown)
	if err != nil {
		return 0, err
	}
	pure, err := moistair.SaturationPressure(water)
	if err != nil {
		return 0, err
	}
	if ofAir >= atEnd { // hotter and damper than any room that evaporation cools
		return 1, nil
	}
	return float64(pure/pureAtEnd*atEnd-ofAir) / float64(atEnd-ofAir), nil
}

// measured returns the factors found on this very tank, 1 where none were.
func (c *compiler) measured() (dry, vapour float64, err error) {
	m := c.p.Measured
	if m == nil {
		return 1, 1, nil
	}
	if err := calc.CheckRange("measured.dry_loss_factor", m.DryLossFactor, 0.2, 5, "1"); err != nil {
		return 0, 0, err
	}
	if err := calc.CheckRange("measured.evaporation_factor", m.EvaporationFactor, 0.05, 10, "1"); err != nil {
		return 0, 0, err
	}
	return m.DryLossFactor, m.EvaporationFactor, nil
}
