package instrument

import (
	"errors"
	"math"
	"sort"

	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/seawater"
	"saltwright/internal/calc/text"
)

// Fluid is what an instrument was set with.
type Fluid string

// The fluids.
const (
	PureWater      Fluid = "pure_water"
	SeaWater       Fluid = "sea_water"       // of a stated practical salinity
	SodiumChloride Fluid = "sodium_chloride" // solution of stated g/kg
)

// Calibration is the last time the instrument was set or checked.
type Calibration struct {
	Fluid Fluid
	// PSU of sea water 0 … 42, g/kg of sodium chloride 0 … 55; not read for pure water
	Value          float64
	UncertaintyPSU float64          // of the fluid, 0 … 5
	Shown          float64          // by the instrument in the fluid, after setting it, in the scale's unit
	FluidC         quantity.Celsius // temperature of the fluid, 0 … 40 °C
	DaysAgo        float64          // 0 … 3650 d
}

// Input is a reading and the instrument's history.
type Input struct {
	Scale              seawater.Scale // one of Scales
	Reading            float64
	Sample             quantity.Celsius // 0 … 40 °C
	SampleUncertaintyK float64          // of the thermometer, 0 … 5 K
	Pair               seawater.Pair
	MeterPercentPerK   float64      // 0 … 5 %/K
	ReadingUncertainty *float64     // nil: usual for the kind
	DriftPSUPerMonth   *float64     // nil: usual for the kind
	Calibration        *Calibration // nil: never checked
}

// Part is one cause of uncertainty.
type Part struct {
	Cause  string  // reading, temperature, never_checked, fluid, drift, distance or relation
	PSU    float64 // standard uncertainty
	Share  float64 // of the variance, 0 … 1
	Advice text.Text
}

// Result is what the reading is worth.
type Result struct {
	FaceValuePSU   float64 // the reading taken at its word
	LikelyPSU      float64
	UncertaintyPSU float64   // standard
	Low95, High95  float64   // PSU, coverage factor 2
	Parts          []Part    // largest first
	FluidShouldBe  float64   // what the instrument ought to show in the fluid; 0 without calibration
	FluidError     float64   // what it shows more than that
	FluidErrorPSU  float64   // what that shifts this reading by
	BrineFor35GKg  float64   // sodium chloride solution that stands for 35 on this instrument
	BrinePerKgG    float64   // salt per kilogram of pure water to make it
	Correction     float64   // added to, or for a meter multiplied with, the reading
	Slip           text.Text // what was probably meant instead of the reading; none for a usual one
}

// LargeErrorPSU is the error in a check fluid beyond which an instrument wants setting right. Source:
// [CommonPractice].
const LargeErrorPSU = 1.0

// Interpret returns the likely true salinity of a reading, from what the instrument showed in a fluid whose value is
// known.
//
//	refractometer, hydrometer:  reading' = reading - (shown - should be)
//	meter:                      reading' = reading · should be / shown
//	u² = reading² + temperature² + fluid² + drift² + (slope · distance)² + relation²
//
//	drift     PSU a month times the months since
//	distance  between the salinity it was set at and the one read, PSU
//
// Accuracy: one standard uncertainty is stated, the interval is twice that (JCGM 100).
// Errors: *calc.RangeError; *calc.ConflictError for a scale without an instrument, for a
// meter set in pure water, which says nothing about its gain, or a fluid the instrument cannot have shown so.
// Source: [JCGM100], [CRCHandbook], [RogersPitzer1982]; what is usual is [CommonPractice].
func Interpret(in Input) (Result, error) {
	var r Result
	k := kindOf[in.Scale]
	if k == none {
		return r, &calc.ConflictError{
			Params: []string{"scale"},
			Reason: text.Of("instrument_scale_needed", nil),
		}
	}
	if err := calc.CheckRange("sample_uncertainty_k", in.SampleUncertaintyK, 0, 5, "K"); err != nil {
		return r, err
	}
	usually := usual[k]
	reading, drift := usually.reading, usually.driftPSUPerMth
	if in.ReadingUncertainty != nil {
		reading = *in.ReadingUncertainty
	}
	if in.DriftPSUPerMonth != nil {
		drift = *in.DriftPSUPerMonth
	}
	if err := calc.CheckRange("drift_psu_month", drift, 0, 20, "1/month"); err != nil {
		return r, err
	}
	face, err := in.convert(in.Reading, in.Sample, reading)
	if err != nil {
		return r, named("reading", err)
	}
	r.FaceValuePSU, r.Slip = float64(face.Practical), face.Slip
	corrected, err := in.correct(&r, k)
	if err != nil {
		return r, err
	}
	now, err := in.convert(corrected, in.Sample, reading)
	if err != nil {
		return r, &calc.ConflictError{
			Params: []string{"reading", "shown"},
			Reason: text.Of("instrument_corrected_impossible", nil),
		}
	}
	r.LikelyPSU = float64(now.Practical)
	r.FluidErrorPSU = r.FaceValuePSU - r.LikelyPSU
	exact, err := in.convert(corrected, in.Sample, 0)
	if err != nil {
		return r, err
	}
	relation := exact.UncertaintyPSU
	r.add("relation", relation, text.Of("instrument_second_opinion", nil))
	r.add(
		"reading", math.Sqrt(math.Max(0, now.UncertaintyPSU*now.UncertaintyPSU-relation*relation)),
		text.Of("instrument_read_again", nil),
	)
	if in.SampleUncertaintyK > 0 {
		t := in.temperatureEffect(corrected)
		r.add(
			"temperature", t*in.SampleUncertaintyK,
			text.Of("instrument_measure_temperature", nil),
		)
	}
	if c := in.Calibration; c == nil {
		r.add(
			"never_checked", usually.uncalibrated, text.Of("instrument_check_before_trust", nil),
		)
	} else {
		r.add("fluid", c.UncertaintyPSU, text.Of("instrument_better_fluid", nil))
		r.add("drift", drift*c.DaysAgo/quantity.DaysPerMonth, text.Of("instrument_check_today", nil))
		r.add(
			"distance", usually.slope*math.Abs(in.setAtPSU(k)-r.LikelyPSU),
			text.Of("instrument_check_nearby", nil),
		)
	}
	sum := 0.0
	for _, p := range r.Parts {
		sum += p.PSU * p.PSU
	}
	r.UncertaintyPSU = math.Sqrt(sum)
	r.Low95, r.High95 = math.Max(0, r.LikelyPSU-2*r.UncertaintyPSU), r.LikelyPSU+2*r.UncertaintyPSU
	for i := range r.Parts {
		if sum > 0 {
			r.Parts[i].Share = r.Parts[i].PSU * r.Parts[i].PSU / sum
		}
	}
	sort.SliceStable(r.Parts, func(i, j int) bool { return r.Parts[i].PSU > r.Parts[j].PSU })
	if r.BrineFor35GKg, err = BrineFor(in.Scale, 35, in.Sample); err != nil {
		return r, err
	}
	r.BrinePerKgG = 1000 * r.BrineFor35GKg / (1000 - r.BrineFor35GKg)
	return r, nil
}

func (r *Result) add(cause string, psu float64, advice text.Text) {
	r.Parts = append(r.Parts, Part{Cause: cause, PSU: psu, Advice: advice})
}

func (in Input) convert(value float64, at quantity.Celsius, uncertainty float64) (seawater.Conversion, error) {
	return seawater.Convert(seawater.ConversionInput{
		Scale: in.Scale, Value: value, Sample: at, Pair: in.Pair, MeterPercentPerK: in.MeterPercentPerK,
		ReadingUncertainty: uncertainty,
	})
}

// temperatureEffect returns the salinity a kelvin of the sample's temperature is worth.
func (in Input) temperatureEffect(value float64) float64 {
	const step = 0.5 // K
	warmer, colder := min(in.Sample+step, 40), max(in.Sample-step, 0)
	above, err1 := in.convert(value, warmer, 0)
	below, err2 := in.convert(value, colder, 0)
	if err1 != nil || err2 != nil {
		return 0 // at the edge of the scale the reading bounds it
	}
	return math.Abs(float64(above.Practical-below.Practical)) / float64(warmer-colder)
}

// setAtPSU returns the salinity that the fluid stood for on this instrument.
func (in Input) setAtPSU(k kind) float64 {
	c := in.Calibration
	switch c.Fluid {
	case SeaWater:
		return c.Value
	case SodiumChloride:
		if s, err := in.brineAsSeawater(k, c.Value); err == nil {
			return s
		}
	}
	return 0
}

// brineAsSeawater returns the salinity for which an instrument takes a sodium chloride solution.
func (in Input) brineAsSeawater(k kind, gramsPerKg float64) (float64, error) {
	if err := calc.CheckRange("fluid_value", gramsPerKg, 0, maxBrineGKg, "g/kg"); err != nil {
		return 0, err
	}
	var c seawater.Conversion
	var err error
	at := in.Calibration.FluidC
	switch k {
	case refractometer:
		c, err = seawater.Convert(seawater.ConversionInput{
			Scale: seawater.ScaleRefractometerBrine, Value: gramsPerKg, Sample: at, Pair: in.Pair,
		})
	case hydrometer:
		var density float64
		if density, err = BrineDensity(gramsPerKg, at); err == nil {
			c, err = seawater.Convert(seawater.ConversionInput{
				Scale: seawater.ScaleDensity, Value: density, Sample: at, Pair: in.Pair,
			})
		}
	default:
		var conductivity float64
		if conductivity, err = BrineConductivity(gramsPerKg); err == nil {
			c, err = seawater.Convert(seawater.ConversionInput{
				Scale: seawater.ScaleConductivity, Value: conductivity, Sample: brineConductivityC, Pair: in.Pair,
			})
		}
	}
	return float64(c.Practical), named("fluid_value", err)
}

// named calls the value that a conversion refused as this package's caller does.
func named(name string, err error) error {
	var out *calc.RangeError
	var conflict *calc.ConflictError
	switch {
	case errors.As(err, &out) && out.Param == "value":
		r := *out
		r.Param = name
		return &r
	case errors.As(err, &conflict):
		c := calc.ConflictError{Reason: conflict.Reason}
		for _, p := range conflict.Params {
			if p == "value" {
				p = name
			}
			c.Params = append(c.Params, p)
		}
		return &c
	}
	return err
}

// correct takes what the instrument showed in the fluid out of the reading.
func (in Input) correct(r *Result, k kind) (float64, error) {
	c := in.Calibration
	if c == nil {
		if k == meter {
			r.Correction = 1
		}
		return in.Reading, nil
	}
	for _, b := range []struct {
		param           string
		value, min, max float64
		unit            string
	}{
		{"fluid_uncertainty_psu", c.UncertaintyPSU, 0, 5, "1"}, {"fluid_c", float64(c.FluidC), 0, 40, "degC"},
		{"days_ago", c.DaysAgo, 0, 3650, "d"}, {"shown", c.Shown, 0, 200, "1"},
	} {
		if err := calc.CheckRange(b.param, b.value, b.min, b.max, b.unit); err != nil {
			return 0, err
		}
	}
	s := 0.0
	switch c.Fluid {
	case PureWater:
		if k == meter {
			return 0, &calc.ConflictError{
				Params: []string{"fluid"},
				Reason: text.Of("instrument_meter_in_pure_water", nil),
			}
		}
	case SeaWater:
		if err := calc.CheckRange("fluid_value", c.Value, 0, 42, "1"); err != nil {
			return 0, err
		}
		s = c.Value
	case SodiumChloride:
		var err error
		if s, err = in.brineAsSeawater(k, c.Value); err != nil {
			return 0, err
		}
	default:
		return 0, &calc.ConflictError{
			Params: []string{"fluid"},
			Reason: text.Of("instrument_fluid_unknown", nil),
		}
	}
	should, err := in.shows(quantity.PracticalSalinity(s), c.FluidC)
	if err != nil {
		return 0, err
	}
	r.FluidShouldBe, r.FluidError = should, c.Shown-should
	if k != meter {
		r.Correction = -r.FluidError
		return in.Reading + r.Correction, nil
	}
	const most = 2 // a gain further off is a broken cell or a mistyped figure
	if !(c.Shown > should/most && c.Shown < should*most) || should == 0 {
		return 0, &calc.ConflictError{Params: []string{"shown", "fluid_value"},
			Reason: text.Of("instrument_gain_far_off",
				text.Params{"should": should, "shown": c.Shown})}
	}
	r.Correction = should / c.Shown
	return in.Reading * r.Correction, nil
}

// shows returns what a correct instrument shows in sea water.
func (in Input) shows(s quantity.PracticalSalinity, at quantity.Celsius) (float64, error) {
	c, err := seawater.Convert(seawater.ConversionInput{
		Scale: seawater.ScalePractical, Value: float64(s), Sample: at, Pair: in.Pair,
		MeterPercentPerK: in.MeterPercentPerK,
	})
	if err != nil {
		return 0, err
	}
	for _, x := range c.Readings {
		if x.Scale == in.Scale {
			return x.Value, nil
		}
	}
	return 0, calc.ErrNoSolution // Convert gives every scale
}
