package numeric

import "math"

// Rounded returns x to some ten significant digits. Where a greater and a smaller are told apart by it,
// values that are equal but for rounding stay equal, on every machine and in every order of calculation.
//
//	x rounded to 33 binary digits, half away from zero
//
//	x  any float64
//
// Accuracy: 1.2e-10 relative. Errors: none. Source: [Derived].
func Rounded(x float64) float64 {
	const dropped = 52 - 32
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return x
	}
	return math.Float64frombits((math.Float64bits(x) + 1<<(dropped-1)) &^ (1<<dropped - 1))
}
