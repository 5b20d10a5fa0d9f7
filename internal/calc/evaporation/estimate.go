package evaporation

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// Range is an evaporation rate with its spread.
type Range struct {
	Low, Expected, High float64 // kg/h, at least 0, ascending
	LatentJPerKg        float64 // latent heat at the water temperature
	Condensing          bool    // the air is wetter than the surface: water would condense on it, the rates are 0
}

// WideSpread is the ratio of high to low beyond which an estimate deserves a word of doubt. Source: [CommonPractice].
const WideSpread = 2.0

// Plus returns the sum of two surfaces of one system.
//
//	(low1 + low2, expected1 + expected2, high1 + high2)
//
// Both are taken to err the same way; the latent heat is the first's unless it has none.
// Accuracy: exact. Errors: none. Source: [Derived].
func (r Range) Plus(o Range) Range {
	latent := r.LatentJPerKg
	if latent == 0 {
		latent = o.LatentJPerKg
	}
	return Range{
		Low: r.Low + o.Low, Expected: r.Expected + o.Expected, High: r.High + o.High,
		LatentJPerKg: latent, Condensing: r.Condensing || o.Condensing,
	}
}

// Times returns the rates as a measurement corrects them.
//
//	expected = factor · expected, low and high = expected (1 ∓ percent/100)
//
//	factor   times the expected estimate  [1]  valid 0.05 … 10
//	percent  uncertainty of the factor    [%]  valid 0 … 90
//
// Accuracy: that of the factor, in rooms like the measured one.
// Errors: *calc.RangeError. Source: [Derived].
func (r Range) Times(factor, percent float64) (Range, error) {
	if err := calc.CheckRange("evaporation_factor", factor, 0.05, 10, "1"); err != nil {
		return Range{}, err
	}
	if err := calc.CheckRange("evaporation_uncertainty_percent", percent, 0, 90, "%"); err != nil {
		return Range{}, err
	}
	r.Expected *= factor
	ratio := percent / quantity.PerCent
	r.Low, r.High = r.Expected*(1-ratio), r.Expected*(1+ratio)
	return r, nil
}

// Watts returns the heat that leaves the water at one of the rates.
//
//	Q = w · Y / 3600
//
//	w  evaporation  [kg/h]
//	Q  latent loss  [W]
//
// Accuracy: that of the latent heat. Errors: none. Source: [Derived].
func (r Range) Watts(kgPerHour float64) float64 {
	return kgPerHour * r.LatentJPerKg / quantity.SecondsPerHour
}

// Estimate returns the evaporation of a surface with the spread of the published correlations.
//
//	expected = 0.74 · ASHRAE, high = ASHRAE at activity 1, low = min(Shah, expected)
//
// Accuracy: the spread is the answer: the correlations differ by a factor of 1.4 to 3.8.
// A lid's factor is a further unknown that the spread does not hold.
// Errors: *calc.RangeError for any input outside its range. Condensation is no
// error: the rates are 0 and Condensing is set.
// Source: [ASHRAEApplications], [SmithLofJones1998], [Shah2014].
func Estimate(s Surface) (Range, error) {
	return Calibration{ASHRAEFactor: undisturbedActivity, ShahFactor: 1}.estimate(s,
		publicActivity/undisturbedActivity)
}

// Calibration carries a keeper's measurement to other rooms and temperatures.
type Calibration struct {
	ASHRAEFactor       float64 // measured rate over the ASHRAE rate at activity 1, in the measured room
	ShahFactor         float64 // measured rate over Shah's
	UncertaintyPercent float64 // of the measurement, 0 … 90 %
}

// Measurement is what a keeper found: litres of fresh water a day in a stated room.
type Measurement struct {
	LitresPerDay       float64   // > 0, up to 100000
	Surfaces           []Surface // all free surfaces of the system while it was measured
	UncertaintyPercent float64   // of LitresPerDay, 0 … 90 %
}

// Calibrate returns the factors that scale each correlation to a measurement.
//
//	fA = w / Σ ASHRAE, fS = w / Σ Shah
//
// The room moves the scaled rates; where the two correlations move apart, the spread opens.
// Accuracy: that of the measurement, in the measured room.
// Errors: *calc.RangeError; *calc.ConflictError when the model has nothing to
// scale: no surface, or air as wet as the water.
// Source: [Derived].
func Calibrate(m Measurement) (Calibration, error) {
	var c Calibration
	if err := calc.CheckRange("measured_l_d", m.LitresPerDay, 1e-6, 1e5, "L/d"); err != nil {
		return c, err
	}
	if err := calc.CheckRange("measured_uncertainty_percent", m.UncertaintyPercent, 0, 90, "%"); err != nil {
		return c, err
	}
	var ashrae, shah float64
	for _, s := range m.Surfaces {
		a, err := ASHRAE(s, publicActivity)
		if err != nil {
			return c, err
		}
		b, err := Shah(s)
		if err != nil {
			return c, err
		}
		ashrae += a
		shah += b
	}
	measured := KgPerHour(m.LitresPerDay)
	const most = 1e3 // a factor beyond this says that the room was stated wrongly
	if !(ashrae*most > measured && shah*most > measured) {
		return c, &calc.ConflictError{
			Params: []string{"measured_l_d", "room_c", "rh_percent"},
			Reason: text.Of("evaporation_not_to_be_scaled", nil),
		}
	}
	return Calibration{
		ASHRAEFactor: measured / ashrae, ShahFactor: measured / shah, UncertaintyPercent: m.UncertaintyPercent,
	}, nil
}

// Scaled returns the evaporation of a surface by the calibrated correlations.
//
//	expected = fA · ASHRAE, low = (1 - u) · min(fS · Shah, expected), high = (1 + u) · max(fS · Shah, expected)
//
// Accuracy: u in the measured room, less good the further from it.
// Errors: *calc.RangeError for any input outside its range, factors included.
// Source: [Derived].
func (c Calibration) Scaled(s Surface) (Range, error) {
	for _, f := range []struct {
		param      string
		value, max float64
		unit       string
	}{
		{"ashrae_factor", c.ASHRAEFactor, 1e4, "1"}, {"shah_factor", c.ShahFactor, 1e4, "1"},
		{"measured_uncertainty_percent", c.UncertaintyPercent, 90, "%"},
	} {
		if err := calc.CheckRange(f.param, f.value, 0, f.max, f.unit); err != nil {
			return Range{}, err
		}
	}
	return c.estimate(s, 0)
}

// estimate makes the range; highRatio > 0 sets high to that multiple of
// expected, 0 takes the larger correlation.
func (c Calibration) estimate(s Surface, highRatio float64) (Range, error) {
	v, err := s.vapour()
	if err != nil {
		return Range{}, err
	}
	shah, err := s.shah(v)
	if err != nil {
		return Range{}, err
	}
	if v.surface <= v.air {
		return Range{LatentJPerKg: v.latentJPerKg, Condensing: v.surface < v.air}, nil
	}
	ashrae := s.ashrae(v)
	expected, second := c.ASHRAEFactor*ashrae, c.ShahFactor*shah
	r := Range{Expected: expected, LatentJPerKg: v.latentJPerKg}
	u := c.UncertaintyPercent / quantity.PerCent
	r.Low = (1 - u) * math.Min(second, expected)
	r.High = (1 + u) * math.Max(second, expected)
	if highRatio > 0 {
		r.High = highRatio * expected
	}
	return r, nil
}
