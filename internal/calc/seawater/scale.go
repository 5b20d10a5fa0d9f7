package seawater

import (
	"math"
	"slices"

	"saltwright/internal/calc"
	"saltwright/internal/calc/numeric"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// What readings people send, by which a slip is known; all of it common practice, no source.
const (
	leastGravity         = 1.015 // of water that somebody keeps livestock in
	mostGravity          = 1.035
	leastConductivity    = 47.0 // mS/cm
	mostConductivity     = 70.0
	gravityInThousandths = 1000.0
	leastSalinityMeant   = 5.0 // far above every specific gravity
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

func scaleOf(name Scale) (scale, bool) {
	i := slices.IndexFunc(scales[:], func(s scale) bool { return s.name == name })
	if i < 0 {
		return scale{}, false
	}
	return scales[i], true
}

// ends returns the readings of the least and the largest salinity.
func (f scale) ends(in ConversionInput) (low, high float64, err error) {
	if low, err = f.of(minSP, in); err != nil {
		return 0, 0, err
	}
	high, err = f.of(maxSP, in)
	return low, high, err
}

func (s Scale) isGravity() bool { return s == ScaleSpecificGravity || s == ScaleSpecificGravityAsRead }

func (s Scale) isSalinity() bool {
	switch s {
	case ScalePractical, ScaleAbsolute, ScaleGramsPerLitre, ScaleRefractometerSeawater, ScaleRefractometerBrine:
		return true
	}
	return false
}

// check refuses a reading outside its scale, low … high, and says what was probably meant.
func (f scale) check(value, low, high float64) error {
	outside := calc.CheckRange("value", value, low, high, f.unit)
	if outside == nil {
		return nil
	}
	p := text.Params{"value": value, "low": low, "high": high}
	var meant text.Text
	switch {
	case f.name.isGravity() && value >= leastSalinityMeant && value <= maxSP:
		meant = text.Of("meant_salinity", p)
	case f.name.isGravity() && value >= leastGravity*gravityInThousandths && value <= mostGravity*gravityInThousandths:
		p["gravity"] = value / gravityInThousandths
		meant = text.Of("meant_gravity_in_thousandths", p)
	case f.name == ScaleDensity && value >= leastGravity && value <= mostGravity:
		meant = text.Of("meant_specific_gravity", p)
	case f.name.isSalinity() && value > high && value >= leastConductivity && value <= mostConductivity:
		meant = text.Of("meant_conductivity", p)
	}
	if meant.IsZero() {
		return outside
	}
	return &calc.ConflictError{Params: []string{"scale", "value"}, Reason: meant}
}

// inverse returns the salinity of a reading.
func (f scale) inverse(in ConversionInput) (quantity.PracticalSalinity, error) {
	low, high, err := f.ends(in)
	if err != nil {
		return 0, err
	}
	if err := f.check(in.Value, low, high); err != nil {
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

// on returns the salinity of the same number on another scale, and whether it is one there.
func (in ConversionInput) on(other Scale) (float64, bool) {
	in.Scale = other
	f, _ := scaleOf(other)
	s, err := f.inverse(in)
	return float64(s), err == nil
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
