// Package instrument holds what a salinity instrument's reading is worth: what it
// was set with, how long ago, and how much of its error that explains.
package instrument

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/numeric"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/seawater"
	"saltwright/internal/calc/text"
)

const (
	sodiumChlorideGPerMol = 58.44 // g/mol. Source: [CRCHandbook].
	maxBrineGKg           = 55.0  // up to which the tables below are used, g/kg
)

// specificVolume is the volume of a gram of sodium chloride solution at 100 kPa,
// cm3/g, by temperature (rows) and molality (columns). Source: [RogersPitzer1982].
var (
	brineTempsC    = []float64{0, 10, 20, 25, 30, 40}
	brineMolality  = []float64{0.1, 0.25, 0.5, 0.75, 1}
	specificVolume = [][]float64{
		{0.995732, 0.989259, 0.978889, 0.968991, 0.959525},
		{0.995998, 0.989781, 0.979804, 0.970256, 0.961101},
		{0.997620, 0.991564, 0.981833, 0.972505, 0.963544},
		{0.998834, 0.992832, 0.983185, 0.973932, 0.965038},
		{1.000279, 0.994319, 0.984735, 0.975539, 0.966694},
		{1.003796, 0.997883, 0.988374, 0.979243, 0.970455},
	}
)

// BrineDensity returns the density of a sodium chloride solution, kg/m3.
//
//	rho = 1000 / v(t, m), m = w / (58.44 (1 - w/1000))
//
//	gramsPerKg  w, salt in the solution  [g/kg]  valid 0 … 55
//	t           temperature              [°C]    valid 0 … 40
//
// Polynomials through the table's points. Accuracy: 0.03 kg/m3 between its points;
// below 0.1 mol/kg drawn out of it. Errors: *calc.RangeError. Source: [RogersPitzer1982].
func BrineDensity(gramsPerKg float64, t quantity.Celsius) (float64, error) {
	if err := calc.CheckRange("brine_g_kg", gramsPerKg, 0, maxBrineGKg, "g/kg"); err != nil {
		return 0, err
	}
	if err := calc.CheckRange("water_c", float64(t), 0, 40, "degC"); err != nil {
		return 0, err
	}
	m := gramsPerKg / (sodiumChlorideGPerMol * (1 - gramsPerKg/1000))
	column := make([]float64, len(brineTempsC))
	for i, row := range specificVolume {
		column[i] = lagrange(brineMolality, row, m)
	}
	return 1000 / lagrange(brineTempsC, column, float64(t)), nil
}

func lagrange(x, y []float64, at float64) float64 {
	sum := 0.0
	for i := range x {
		term := y[i]
		for j := range x {
			if j != i {
				term *= (at - x[j]) / (x[i] - x[j])
			}
		}
		sum += term
	}
	return sum
}

// BrineConductivity returns the conductivity of a sodium chloride solution at 20 °C, mS/cm.
//
//	kappa = w (k0 + k1 √w + k2 w), w in per cent by mass, through the handbook's values at 1, 2 and 5 %
//
//	gramsPerKg  salt in the solution  [g/kg]  valid 0 … 55
//
// Accuracy: 1 %, the handbook's digits and the interpolation.
// Errors: *calc.RangeError. Source: [CRCHandbook].
func BrineConductivity(gramsPerKg float64) (float64, error) {
	if err := calc.CheckRange("brine_g_kg", gramsPerKg, 0, maxBrineGKg, "g/kg"); err != nil {
		return 0, err
	}
	w := gramsPerKg / 10
	root := []float64{1, math.Sqrt2, math.Sqrt(5)}
	perCent := []float64{16.0, 30.2 / 2, 70.1 / 5} // mS/cm per per cent. Source: [CRCHandbook].
	return w * lagrange(root, perCent, math.Sqrt(w)), nil
}

// BrineFor returns the sodium chloride solution that an instrument takes for sea water of a salinity, g/kg.
//
//	refractometer: equal index at 20 °C;  hydrometer: equal density at t;  meter: equal conductivity at 20 °C
//
//	s  salinity it stands for  valid 0 … 42
//	t  temperature of the solution under a hydrometer  [°C]
//
// Accuracy: refractometer 0.3 g/kg, hydrometer 0.05 g/kg, meter 0.4 g/kg; a meter's
// differs further away from 20 °C, as brine's temperature coefficient is a tenth larger.
// Errors: *calc.RangeError; *calc.ConflictError for a scale without an instrument.
// Source: [CRCHandbook], [RogersPitzer1982], [UNESCO44], [MilleroPoisson1981].
func BrineFor(scale seawater.Scale, s quantity.PracticalSalinity, t quantity.Celsius) (float64, error) {
	if err := calc.CheckRange("salinity_psu", float64(s), 0, 42, "1"); err != nil {
		return 0, err
	}
	switch kindOf[scale] {
	case refractometer:
		return seawater.BrineRefractometer(s)
	case hydrometer:
		want, err := seawater.Density(s, t)
		if err != nil {
			return 0, err
		}
		return solveBrine(func(w float64) (float64, error) { return BrineDensity(w, t) }, want)
	case meter:
		want, err := seawater.Conductivity(s, brineConductivityC)
		if err != nil {
			return 0, err
		}
		return solveBrine(BrineConductivity, want)
	}
	return 0, &calc.ConflictError{
		Params: []string{"scale"}, Reason: text.Of("instrument_scale_needed", nil),
	}
}

// brineConductivityC is the temperature of the handbook's conductivities, °C.
const brineConductivityC = 20

// solveBrine returns the solution with a property that rises with its salt.
func solveBrine(of func(float64) (float64, error), want float64) (float64, error) {
	var first error
	w, err := numeric.Root(func(w float64) float64 {
		v, err := of(w)
		if err != nil && first == nil {
			first = err
		}
		return v - want
	}, 0, maxBrineGKg, 1e-9)
	if first != nil {
		return 0, first
	}
	if err != nil { // pure water by two formulas
		return 0, nil
	}
	return w, nil
}
