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
	Condensing          bool    // the air is wetter than the surface: water condenses on it, the rates are 0
	Condensed           Condensed
}

// Condensed is the water that wet air leaves on a cooler surface, kg/h, at least 0; it warms the tank.
// In still air the layer on the water stays and hardly any comes: the least is 0.
type Condensed struct{ Expected, High float64 }

// WideSpread is the ratio of high to low beyond which an estimate deserves a word of doubt. Source: [CommonPractice].
const WideSpread = 2.5

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
		Condensed: Condensed{r.Condensed.Expected + o.Condensed.Expected, r.Condensed.High + o.Condensed.High},
	}
}

// Times returns the rates as a measurement corrects them.
//
//	expected = factor · expected, low and high = expected (1 ∓ percent/100); what condenses goes by the factor too
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
	r.Condensed = Condensed{factor * r.Condensed.Expected, factor * r.Condensed.High}
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

// How still the air is: Shah's correlation holds to quietMS and says nothing of faster air. Source: [Shah2014]
// for the larger; that a still room's air stays below the smaller is common practice.
const stillMS, quietMS = 0.05, 0.15 // m/s

// fitScatter is by how much measured still and blown water lies below the estimate: 95 % of the runs within 16 %.
// Source: [Pauken1995].
const fitScatter = 0.16

// stillness is 1 in still air, 0 where the air is forced, straight between.
func stillness(speedMS float64) float64 {
	return math.Max(0, math.Min(1, (quietMS-speedMS)/(quietMS-stillMS)))
}

// thinAir is by how much more evaporates at a lower air pressure, the vapour pressures being the same.
//
//	(101325 Pa / p)^(1/3)
//
// Mass transfer by free convection over a level surface, Sh = 0.15 (Gr Sc)^(1/3), with a diffusivity and a viscosity
// that go with 1/p, and the same relative difference of density. Pools showed 0.76 of the handbook's equation at
// 1525 m and were given 0.73 for low places: 4 %, where this says 6 %. Source: [Incropera2007], [SmithJonesLof1993].
func thinAir(pressure quantity.Pascal) float64 {
	return math.Cbrt(float64(quantity.StandardAtmosphere / pressure))
}

// both are the correlations at sea level, in kg/h, carried to the pressure where the surface is.
type both struct{ ashrae, shah, shahMoist float64 }

func (s Surface) both(v vapour) (both, error) {
	low := s
	low.Air.Pressure = quantity.StandardAtmosphere
	dry, moist, err := low.shah(v)
	raise := thinAir(s.Air.Pressure)
	return both{ashrae: raise * s.ashrae(v), shah: raise * dry, shahMoist: raise * moist}, err
}

// expected is the handbook's share for undisturbed water; in still air Shah's correlation where that is less.
func (b both) expected(still float64) float64 {
	undisturbed := undisturbedActivity * b.ashrae
	return undisturbed - still*math.Max(0, undisturbed-b.shah)
}

// Estimate returns the evaporation of a surface with the spread of the published correlations.
//
//	expected = 0.74 · ASHRAE;  in still air Shah where that is less
//	low      = 0.84 · the same with Shah's correlation at the density of the moist air
//	high     = ASHRAE at activity 1;  in still air Shah where that is more
//	each · (101325 Pa / p)^(1/3)
//
// Still air moves at 0.05 m/s or less. From there to 0.15 m/s the weight goes over to ASHRAE in a straight line:
// Shah's correlation says nothing of faster air. So the expected rate follows ASHRAE where the air is forced or cool
// and the density of the air where the room is warm and still.
//
// Accuracy: the spread is the answer; the method page holds it against measurements.
// A lid's factor is a further unknown that the spread does not hold.
// Errors: *calc.RangeError for any input outside its range. Condensation is no
// error: the rates are 0, Condensing is set, and Condensed says what ASHRAE gives with the sign turned round.
// Source: [ASHRAEApplications], [SmithLofJones1998], [Shah2014], [Pauken1995], [SmithJonesLof1993],
// [SmithLofJones1994], [Incropera2007].
func Estimate(s Surface) (Range, error) {
	b, r, evaporates, err := s.begin()
	if err != nil || !evaporates {
		return r, err
	}
	still := stillness(s.AirSpeedMS)
	moist := b
	moist.shah = math.Min(b.shah, b.shahMoist)
	r.Expected = b.expected(still)
	r.Low = (1 - fitScatter) * moist.expected(still)
	r.High = math.Max(publicActivity*b.ashrae, r.Expected+still*math.Max(0, b.shah-undisturbedActivity*b.ashrae))
	return r, nil
}

// begin returns the correlations, and the range as far as it is known without them: all of it where the air is as wet
// as the surface, so that nothing evaporates.
func (s Surface) begin() (b both, r Range, evaporates bool, err error) {
	v, err := s.vapour()
	if err != nil {
		return b, r, false, err
	}
	if b, err = s.both(v); err != nil {
		return b, r, false, err
	}
	r.LatentJPerKg = v.latentJPerKg
	if v.surface <= v.air {
		r.condense(b)
		return b, r, false, nil
	}
	return b, r, true, nil
}

// condense fills in what wet air leaves on the water.
func (r *Range) condense(b both) {
	if b.ashrae < 0 {
		r.Condensing = true
		r.Condensed = Condensed{Expected: -undisturbedActivity * b.ashrae, High: -publicActivity * b.ashrae}
	}
}

// Calibration carries a keeper's measurement to other rooms and temperatures.
type Calibration struct {
	Factor             float64 // measured rate over the expected one, in the measured room
	ASHRAEFactor       float64 // measured rate over the ASHRAE rate at activity 1
	ShahFactor         float64 // measured rate over Shah's
	UncertaintyPercent float64 // of the measurement, 0 … 90 %
}

// Measurement is what a keeper found: litres of fresh water a day in a stated room.
type Measurement struct {
	LitresPerDay       float64   // > 0, up to 100000
	Surfaces           []Surface // all free surfaces of the system while it was measured
	UncertaintyPercent float64   // of LitresPerDay, 0 … 90 %
}

// Calibrate returns the factors that scale the estimate and each correlation to a measurement.
//
//	f = w / Σ expected, fA = w / Σ ASHRAE, fS = w / Σ Shah
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
	var expected, ashrae, shah float64
	for _, s := range m.Surfaces {
		v, err := s.vapour()
		if err != nil {
			return c, err
		}
		b, err := s.both(v)
		if err != nil {
			return c, err
		}
		expected += b.expected(stillness(s.AirSpeedMS))
		ashrae += b.ashrae
		shah += b.shah
	}
	measured := KgPerHour(m.LitresPerDay)
	const most = 1e3 // a factor beyond this says that the room was stated wrongly
	if !(expected*most > measured && ashrae*most > measured && shah*most > measured) {
		return c, &calc.ConflictError{
			Params: []string{"measured_l_d", "room_c", "rh_percent"},
			Reason: text.Of("evaporation_not_to_be_scaled", nil),
		}
	}
	return Calibration{
		Factor: measured / expected, ASHRAEFactor: measured / ashrae, ShahFactor: measured / shah,
		UncertaintyPercent: m.UncertaintyPercent,
	}, nil
}

// Scaled returns the evaporation of a surface by the calibrated correlations.
//
//	expected = f · expected of Estimate
//	low      = (1 - u) · min(fA · ASHRAE, fS · Shah, expected)
//	high     = (1 + u) · max(fA · ASHRAE, fS · Shah, expected)
//
// Shah counts in still air only, as in Estimate.
// Accuracy: u in the measured room, less good the further from it.
// Errors: *calc.RangeError for any input outside its range, factors included.
// Source: [Derived].
func (c Calibration) Scaled(s Surface) (Range, error) {
	for _, f := range []struct {
		param      string
		value, max float64
		unit       string
	}{
		{"evaporation_factor", c.Factor, 1e4, "1"},
		{"ashrae_factor", c.ASHRAEFactor, 1e4, "1"}, {"shah_factor", c.ShahFactor, 1e4, "1"},
		{"measured_uncertainty_percent", c.UncertaintyPercent, 90, "%"},
	} {
		if err := calc.CheckRange(f.param, f.value, 0, f.max, f.unit); err != nil {
			return Range{}, err
		}
	}
	b, r, evaporates, err := s.begin()
	if err != nil || !evaporates {
		return r, err
	}
	still := stillness(s.AirSpeedMS)
	r.Expected = c.Factor * b.expected(still)
	first := c.ASHRAEFactor * b.ashrae
	second := first + still*(c.ShahFactor*b.shah-first)
	u := c.UncertaintyPercent / quantity.PerCent
	r.Low = (1 - u) * math.Min(r.Expected, math.Min(first, second))
	r.High = (1 + u) * math.Max(r.Expected, math.Max(first, second))
	return r, nil
}
