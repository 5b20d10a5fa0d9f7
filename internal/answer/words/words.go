// Package words writes numbers with their units, metric or US, for people.
package words

import (
	"math"
	"strconv"
	"strings"

	"saltwright/internal/calc/quantity"
)

// Units is how texts are written; numbers are metric always.
type Units string

const (
	Metric Units = "metric"
	US     Units = "us"
)

// usUnit is how a metric unit is written in US customary units.
var usUnit = map[string]struct {
	convert func(float64) float64
	name    string
}{
	"degC": {func(x float64) float64 { return quantity.Celsius(x).Fahrenheit() }, "°F"},
	"K":    {quantity.FahrenheitDifference, "°F"},
	"W/K":  {func(x float64) float64 { return x / quantity.FahrenheitDifference(1) }, "W/°F"},
	"L":    {quantity.USGallons, "gal"},
	"L/d":  {quantity.USGallons, "gal/d"},
	"L/h":  {quantity.USGallons, "gal/h"},
	"mm":   {quantity.Inches, "in"},
	"m":    {quantity.Feet, "ft"},
	"mm/d": {quantity.Inches, "in/d"},
	"kg":   {quantity.Pounds, "lb"},
	"kg/h": {quantity.Pounds, "lb/h"},
}

// Converts tells whether a unit of the contract is written otherwise in US customary units.
func Converts(unit string) bool {
	_, ok := usUnit[unit]
	return ok
}

// metricName is how a unit is written where that is not its contract name.
var metricName = map[string]string{"degC": "°C", "umol/(m2 s)": "µmol/(m² s)", "kg/m3": "kg/m³",
	"mol/(m2 d)": "mol/(m² d)", "1": ""}

// Text writes a number with its unit, with three significant digits: more than
// a keeper can read off anything.
func Text(x float64, unit string, u Units) string {
	name := unit
	if n, ok := metricName[unit]; ok {
		name = n
	}
	if conv, ok := usUnit[unit]; ok && u == US {
		x, name = conv.convert(x), conv.name
	}
	return strings.TrimSpace(Digits(x) + " " + name)
}

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
