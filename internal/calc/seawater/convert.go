package seawater

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"saltwright/internal/calc"
	"saltwright/internal/calc/numeric"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// Scale names what an instrument or a table states.
type Scale string

// The scales.
const (
	ScalePractical       Scale = "practical_psu"
	ScaleAbsolute        Scale = "absolute_g_kg"
	ScaleGramsPerLitre   Scale = "grams_per_litre"
	ScaleChlorinity      Scale = "chlorinity_g_kg"
	ScaleDensity         Scale = "density_kg_m3"
	ScaleSpecificGravity Scale = "specific_gravity" // sample and reference as the pair says
	// hydrometer floating in the sample at its own temperature
	ScaleSpecificGravityAsRead Scale = "specific_gravity_uncorrected"
	ScaleConductivity          Scale = "conductivity_ms_cm"         // at the sample's temperature
	ScaleConductivity25        Scale = "conductivity_25_ms_cm"      // true value at 25 °C
	ScaleMeter25               Scale = "meter_25_ms_cm"             // display of a meter with linear compensation
	ScaleRefractiveIndex       Scale = "refractive_index"           // at the sample's temperature
	ScaleRefractometerSeawater Scale = "refractometer_seawater_psu" // compensated to 20 °C
	ScaleRefractometerBrine    Scale = "refractometer_brine_g_kg"   // compensated to 20 °C, sodium chloride scale
)

// Pair is the two temperatures of a specific gravity: sample over pure water.
type Pair string

// The pairs in use; Unnamed is a reading whose pair nobody wrote down.
const (
	PairUnnamed Pair = "unnamed"
	Pair20      Pair = "20/20"
	Pair25      Pair = "25/25"
	Pair60F     Pair = "60F/60F"
	Pair20Over4 Pair = "20/4"
)

var pairs = map[Pair][2]quantity.Celsius{
	PairUnnamed: {25, 25}, // what most instruments sold to keepers are made for. Source: [CommonPractice].
	Pair20:      {20, 20},
	Pair25:      {25, 25},
	Pair60F:     {quantity.CelsiusFromFahrenheit(60), quantity.CelsiusFromFahrenheit(60)},
	Pair20Over4: {20, 4},
}

// ConversionInput is one reading.
type ConversionInput struct {
	Scale              Scale
	Value              float64          // in the scale's unit
	Sample             quantity.Celsius // temperature of the sample, 0 … 40 °C
	Pair               Pair             // of the specific gravities
	MeterPercentPerK   float64          // compensation of the meter, 0 … 5 %/K
	ReadingUncertainty float64          // of the reading, in the scale's unit, at least 0
}

// Reading is the same water on one scale.
type Reading struct {
	Scale          Scale
	Value          float64
	Unit           string
	Uncertainty    float64 // in the scale's unit, one standard uncertainty
	UncertaintyPSU float64 // what that is in practical salinity
}

// NoteCode tells notes apart.
type NoteCode string

// The notes.
const (
	NotePairUnnamed NoteCode = "pair_not_named"
	NoteBrineScale  NoteCode = "brine_scale"
	NoteLinearMeter NoteCode = "linear_compensation"
)

// Note is something the reader of a result should know.
type Note struct {
	Code     NoteCode
	Sentence string
}

// Conversion is one reading on every scale.
type Conversion struct {
	Practical      quantity.PracticalSalinity
	UncertaintyPSU float64
	Readings       []Reading
	Notes          []Note
}

// scale is how one scale follows from practical salinity.
type scale struct {
	name        Scale
	unit        string
	relationPSU float64 // standard uncertainty of the relation, as practical salinity
	of          func(s quantity.PracticalSalinity, in ConversionInput) (float64, error)
}

func noTemperature(
	f func(quantity.PracticalSalinity) (float64, error),
) func(quantity.PracticalSalinity, ConversionInput) (float64, error) {
	return func(s quantity.PracticalSalinity, _ ConversionInput) (float64, error) { return f(s) }
}

func atSample(
	f func(quantity.PracticalSalinity, quantity.Celsius) (float64, error),
) func(quantity.PracticalSalinity, ConversionInput) (float64, error) {
	return func(s quantity.PracticalSalinity, in ConversionInput) (float64, error) { return f(s, in.Sample) }
}

// The relations' uncertainties in practical salinity follow from the accuracies
// their functions state, through the slope near SP 35.
var scales = [...]scale{
	{ScalePractical, "1", 0, noTemperature(
		func(s quantity.PracticalSalinity) (float64, error) { return float64(s), nil },
	)},
	{ScaleAbsolute, "g/kg", 0.01, noTemperature(func(s quantity.PracticalSalinity) (float64, error) {
		a, err := Absolute(s)
		return float64(a), err
	})},
	{ScaleGramsPerLitre, "g/L", 0.01, atSample(GramsPerLitre)},
	{ScaleChlorinity, "g/kg", 0.001, noTemperature(Chlorinity)},
	{ScaleDensity, "kg/m3", 0.008, atSample(Density)},
	{ScaleSpecificGravity, "1", 0.008, func(s quantity.PracticalSalinity, in ConversionInput) (float64, error) {
		return SpecificGravity(s, pairs[in.Pair][0], pairs[in.Pair][1])
	}},
	{ScaleSpecificGravityAsRead, "1", 0.1, func(s quantity.PracticalSalinity, in ConversionInput) (float64, error) {
		return SpecificGravity(s, in.Sample, pairs[in.Pair][1])
	}},
	{ScaleConductivity, "mS/cm", 0.002, atSample(Conductivity)},
	{ScaleConductivity25, "mS/cm", 0.002, noTemperature(func(s quantity.PracticalSalinity) (float64, error) {
		return Conductivity(s, 25)
	})},
	{ScaleMeter25, "mS/cm", 0.002, func(s quantity.PracticalSalinity, in ConversionInput) (float64, error) {
		c, err := Conductivity(s, in.Sample)
		if err != nil {
			return 0, err
		}
		return MeterDisplay(c, in.Sample, in.MeterPercentPerK)
	}},
	{ScaleRefractiveIndex, "1", 0.15, atSample(RefractiveIndex)},
	{ScaleRefractometerSeawater, "1", 0.15, noTemperature(
		func(s quantity.PracticalSalinity) (float64, error) { return float64(s), nil },
	)},
	{ScaleRefractometerBrine, "g/kg", 0.3, noTemperature(BrineRefractometer)},
}

// Convert returns one reading on every scale, each with its uncertainty.
//
//	S = inverse of the reading's relation, 0 … 45
//	u² = (reading / slope)² + relation_in² + relation_out²
//
// Accuracy: stated with each reading as one standard uncertainty.
// Errors: *calc.RangeError when the sample is outside 0 … 40 °C or the reading
// belongs to no salinity of 0 … 45 (its range is given in the reading's own
// unit); *calc.ConflictError for an unknown scale or pair, or a compensation
// that leaves no reading.
// Source: [UNESCO44], [MilleroPoisson1981], [Millero2008], [Wooster1969], [MillardSeaver1990], [CRCHandbook].
func Convert(in ConversionInput) (Conversion, error) {
	from, ok := scaleOf(in.Scale)
	if !ok {
		return Conversion{}, &calc.ConflictError{
			Params: []string{"scale"}, Reason: text.Plain(fmt.Sprintf("%q is not a scale", in.Scale)),
		}
	}
	if _, ok := pairs[in.Pair]; !ok {
		return Conversion{}, &calc.ConflictError{
			Params: []string{"sg_pair"}, Reason: text.Plain(fmt.Sprintf("%q is not a pair of temperatures", in.Pair)),
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
	c.Notes, err = notes(from, in, c)
	return c, err
}

func scaleOf(name Scale) (scale, bool) {
	i := slices.IndexFunc(scales[:], func(s scale) bool { return s.name == name })
	if i < 0 {
		return scale{}, false
	}
	return scales[i], true
}

// inverse returns the salinity of a reading.
func (f scale) inverse(in ConversionInput) (quantity.PracticalSalinity, error) {
	low, err := f.of(minSP, in)
	if err != nil {
		return 0, err
	}
	high, err := f.of(maxSP, in)
	if err != nil {
		return 0, err
	}
	if err := calc.CheckRange("value", in.Value, low, high, f.unit); err != nil {
		return 0, err
	}
	slope := (high - low) / (maxSP - minSP) // every scale is nearly straight
	excess := func(s float64) float64 {
		v, err := f.of(quantity.PracticalSalinity(s), in)
		if err != nil {
			return math.NaN()
		}
		return v - in.Value
	}
	s, err := numeric.RootFrom(excess, minSP, maxSP, minSP+(in.Value-low)/slope, slope, salinityToleranceOfRoots)
	return quantity.PracticalSalinity(s), err
}

// slope returns the change of a scale per unit of practical salinity.
func (f scale) slope(s quantity.PracticalSalinity, in ConversionInput) (float64, error) {
	const step = 0.01
	up, down := min(s+step, maxSP), max(s-step, minSP)
	a, err := f.of(up, in)
	if err != nil {
		return 0, err
	}
	b, err := f.of(down, in)
	if err != nil {
		return 0, err
	}
	slope := (a - b) / float64(up-down)
	const least = 1e-6 // no scale is flatter; the conductivity is cut at 0 for the last traces of salt
	return math.Max(slope, least), nil
}

func notes(from scale, in ConversionInput, c Conversion) ([]Note, error) {
	var out []Note
	gravity := in.Scale == ScaleSpecificGravity || in.Scale == ScaleSpecificGravityAsRead
	if gravity && in.Pair == PairUnnamed {
		text := []byte("The instrument's pair of temperatures is not named; 25/25 is taken. " +
			"The same reading means, by pair:")
		for _, p := range [...]Pair{Pair20, Pair25, Pair60F, Pair20Over4} {
			other := in
			other.Pair = p
			if s, err := from.inverse(other); err == nil {
				text = append(append(append(text, ' '), p...), ' ')
				text = append(strconv.AppendFloat(text, float64(s), 'f', 1, 64), ',')
			}
		}
		text[len(text)-1] = '.'
		out = append(out, Note{NotePairUnnamed, string(text)})
	}
	if in.Scale == ScaleRefractometerBrine || in.Scale == ScaleRefractometerSeawater {
		other, name := ScaleRefractometerSeawater, "sea water"
		if in.Scale == ScaleRefractometerSeawater {
			other, name = ScaleRefractometerBrine, "brine (sodium chloride)"
		}
		swapped := in
		swapped.Scale = other
		otherScale, _ := scaleOf(other)
		if s, err := otherScale.inverse(swapped); err == nil {
			out = append(out, Note{NoteBrineScale, fmt.Sprintf(
				"Scales differ: were this a %s scale, the water would have %.1f instead of %.1f.", name, float64(s),
				float64(c.Practical),
			)})
		}
	}
	if in.Scale == ScaleMeter25 {
		naive, err := PracticalFromConductivity(in.Value, 25)
		const farPSU = 0.05
		if err == nil && math.Abs(float64(naive-c.Practical)) > farPSU {
			out = append(out, Note{NoteLinearMeter, fmt.Sprintf("Linear compensation is not sea water's: read as a "+
				"true 25 °C value the display would mean %.2f instead of %.2f; measure nearer to 25 °C.",
				float64(naive), float64(c.Practical))})
		}
	}
	return out, nil
}
