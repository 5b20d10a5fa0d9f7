package seawater

import (
	"saltwright/internal/calc/quantity"
)

const (
	sodiumDNM = 589.26 // nm, mean of the two lines
	// rise of the index per g/kg of sodium chloride at 20 °C up to 50 g/kg. Source: [CRCHandbook].
	brineIndexPerGKg   = 1.757e-4
	refractometerTempC = 20 // °C that scales are drawn for
)

// RefractiveIndexMillardSeaver1990 returns the index of sea water for sodium light, relative to air, at one atmosphere.
//
//	n = Σ (18 terms in t, S and the wavelength)
//
//	s  practical salinity  valid 0 … 45, published 0 … 43
//	t  [°C]                valid 0 … 40, published 0 … 30
//
// Accuracy: 3e-5, about 0.15 in S. Increasing in s, falling in t.
// Errors: *calc.RangeError. Source: [MillardSeaver1990], with -1.705881e-9 for the term in t³·wavelength,
// which public transcriptions print in two ways.
func RefractiveIndexMillardSeaver1990(s quantity.PracticalSalinity, t quantity.Celsius) (float64, error) {
	if err := check(s, t); err != nil {
		return 0, err
	}
	l := sodiumDNM / 1000 // µm
	l2 := l * l
	T, S := float64(t), float64(s)
	n := 1.3280657 - 4.5536802e-3*l2 + (2.5471707e-3+(7.501966e-6+2.802632e-6/l2)/l2)/l2
	n += T*(-5.2883907e-6+T*(-3.0738272e-6+T*(3.0124687e-8-T*2.0883178e-10))) +
		T*l*(1.0508621e-5+T*(2.1282248e-7-T*1.705881e-9))
	n += S * (1.9029121e-4 + 2.4239607e-6/l2 + T*(-7.3960297e-7+T*(8.9818478e-9+T*1.2078804e-10)) - 3.589495e-7*T*l)
	return n, nil
}

// RefractiveIndex returns the default index, that of Millard and Seaver.
//
// Accuracy: 3e-5. Errors: *calc.RangeError. Source: [MillardSeaver1990].
func RefractiveIndex(s quantity.PracticalSalinity, t quantity.Celsius) (float64, error) {
	return RefractiveIndexMillardSeaver1990(s, t)
}

// BrineRefractometer returns what a refractometer with a sodium chloride scale, set to zero in pure water, shows for
// sea water, g/kg.
//
//	x = (n(S, 20 °C) - n(0, 20 °C)) / 1.757e-4
//
// It is read at 20 °C or compensated to it. Sea water of 35 shows about 36.4.
// Accuracy: 0.3 g/kg, the rounding of the handbook's table and of the scale.
// Errors: *calc.RangeError. Source: [CRCHandbook], [MillardSeaver1990].
func BrineRefractometer(s quantity.PracticalSalinity) (float64, error) {
	n, err := RefractiveIndex(s, refractometerTempC)
	if err != nil {
		return 0, err
	}
	pure, err := RefractiveIndex(0, refractometerTempC)
	return (n - pure) / brineIndexPerGKg, err
}
