package seawater

import "saltwright/internal/calc/quantity"

// Viscosity returns the dynamic viscosity at one atmosphere, Pa s.
//
//	mu = mu_w (1 + A S + B S²),  mu_w = 4.2844e-5 + 1/(0.157 (t + 64.993)² - 91.296)
//	A = 1.541 + 1.998e-2 t - 9.52e-5 t²,  B = 7.974 - 7.561e-2 t + 4.724e-4 t²
//
//	s  practical salinity, S as kg/kg of reference salinity  valid 0 … 45
//	t  [°C]                                                   valid 0 … 40
//
// Accuracy: 1.5 %. Errors: *calc.RangeError. Source: [Sharqawy2010] eq. 22, 23.
func Viscosity(s quantity.PracticalSalinity, t quantity.Celsius) (float64, error) {
	if err := check(s, t); err != nil {
		return 0, err
	}
	absolute, err := Absolute(s)
	if err != nil {
		return 0, err
	}
	T, S := float64(t), float64(absolute)/1000
	pure := 4.2844e-5 + 1/(0.157*(T+64.993)*(T+64.993)-91.296)
	a := 1.541 + T*(1.998e-2-T*9.52e-5)
	b := 7.974 - T*(7.561e-2-T*4.724e-4)
	return pure * (1 + S*(a+S*b)), nil
}
