// Package words writes numbers with their units, metric or US, for people.
package words

import (
	"math"
	"strconv"
	"strings"

	"saltwright/internal/unit"
)

// Units is how texts are written; numbers are metric always.
type Units string

const (
	Metric Units = "metric"
	US     Units = "us"
)

// Text writes a number with its unit, with three significant digits: more than
// a keeper can read off anything.
func Text(x float64, name string, u Units) string {
	x, written := unit.Of(name).For(u == US, x)
	return unit.Beside(Digits(x), written)
}

// Digits writes a number with three significant digits.
func Digits(x float64) string {
	const significant = 3
	if math.Abs(x) < 5e-7 {
		return "0"
	}
	decimals := significant - 1 - int(math.Floor(math.Log10(math.Abs(x))))
	s := strconv.FormatFloat(x, 'f', max(0, min(decimals, 6)), 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}
