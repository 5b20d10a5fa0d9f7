package seawater

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// Reading is the same water on one scale.
type Reading struct {
	Scale          Scale
	Value          float64
	Unit           string
	Uncertainty    float64 // in the scale's unit, one standard uncertainty
	UncertaintyPSU float64 // what that is in practical salinity
}

// Conversion is one reading on every scale.
type Conversion struct {
	Practical      quantity.PracticalSalinity
	UncertaintyPSU float64
	Readings       []Reading
	Notes          []text.Text
	Slip           text.Text // what was probably meant instead; none for a usual reading
}

// Convert returns one reading on every scale, each with its uncertainty.
//
//	S = inverse of the reading's relation, 0 … 45
//	u² = (reading / slope)² + relation_in² + relation_out²
//
// Accuracy: stated with each reading as one standard uncertainty.
// Errors: *calc.RangeError when the sample is outside 0 … 40 °C or the reading
// belongs to no salinity of 0 … 45 (its range is given in the reading's own
// unit); *calc.ConflictError for an unknown scale or pair, a compensation that leaves no reading, a reading that
// belongs to another scale, or an uncertainty worth more than 10 in salinity.
// Source: [UNESCO44], [MilleroPoisson1981], [Millero2008], [Wooster1969], [MillardSeaver1990], [CRCHandbook].
func Convert(in ConversionInput) (Conversion, error) {
	from, ok := scaleOf(in.Scale)
	if !ok {
		return Conversion{}, &calc.ConflictError{
			Params: []string{"scale"}, Reason: text.Of("salinity_scale_unknown", text.Params{"said": string(in.Scale)}),
		}
	}
	if _, ok := pairs[in.Pair]; !ok {
		return Conversion{}, &calc.ConflictError{
			Params: []string{"sg_pair"}, Reason: text.Of("salinity_pair_unknown", text.Params{"said": string(in.Pair)}),
		}
	}
	if err := calc.CheckRange("sample_c", float64(in.Sample), minTempC, maxTempC, "degC"); err != nil {
		return Conversion{}, err
	}
	if err := calc.CheckRange("reading_uncertainty", in.ReadingUncertainty, 0, 1e4, from.unit); err != nil {
		return Conversion{}, err
	}
	s, err := from.inverse(in)
	if err != nil {
		return Conversion{}, err
	}
	if err := from.checkUncertainty(in); err != nil {
		return Conversion{}, err
	}
	c := Conversion{Practical: s}
	slope, err := from.slope(s, in)
	if err != nil {
		return Conversion{}, err
	}
	c.UncertaintyPSU = math.Hypot(in.ReadingUncertainty/slope, from.relationPSU)
	c.Readings = make([]Reading, 0, len(scales))
	for _, to := range scales {
		r := Reading{
			Scale: to.name, Unit: to.unit, Value: in.Value,
			UncertaintyPSU: math.Hypot(c.UncertaintyPSU, to.relationPSU),
		}
		if to.name == in.Scale {
			r.Uncertainty, r.UncertaintyPSU = in.ReadingUncertainty, c.UncertaintyPSU
			c.Readings = append(c.Readings, r)
			continue
		}
		if r.Value, err = to.of(s, in); err != nil {
			return Conversion{}, err
		}
		slope, err := to.slope(s, in)
		if err != nil {
			return Conversion{}, err
		}
		r.Uncertainty = r.UncertaintyPSU * slope
		c.Readings = append(c.Readings, r)
	}
	c.Notes, c.Slip = notes(from, in, c), slip(in, s)
	return c, nil
}

// notes returns what the reader of a result should know.
func notes(from scale, in ConversionInput, c Conversion) []text.Text {
	var out []text.Text
	here := float64(c.Practical)
	if in.Scale.isGravity() && in.Pair == PairUnnamed {
		var others []text.Text
		for _, p := range [...]Pair{Pair20, Pair25, Pair60F, Pair20Over4} {
			other := in
			other.Pair = p
			if s, err := from.inverse(other); err == nil {
				others = append(others, text.Of("salinity_by_pair",
					text.Params{"salinity": float64(s), "pair": string(p)}))
			}
		}
		out = append(out, text.Of("pair_not_named", text.Params{"others": others}))
	}
	if in.Scale == ScaleRefractometerBrine || in.Scale == ScaleRefractometerSeawater {
		other, name := ScaleRefractometerSeawater, "sea_water"
		if in.Scale == ScaleRefractometerSeawater {
			other, name = ScaleRefractometerBrine, "brine"
		}
		if s, ok := in.on(other); ok {
			out = append(out, text.Of("brine_scale", text.Params{"scale": name, "salinity": s, "here": here}))
		}
	}
	if in.Scale == ScaleMeter25 {
		naive, err := PracticalFromConductivity(in.Value, 25)
		const farPSU = 0.05
		if err == nil && math.Abs(float64(naive-c.Practical)) > farPSU {
			out = append(out, text.Of("linear_compensation",
				text.Params{"salinity": float64(naive), "here": here, "best": 25.0}))
		}
	}
	return out
}
