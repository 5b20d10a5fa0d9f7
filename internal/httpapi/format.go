package httpapi

import (
	"encoding/json"
	"fmt"
	"math"
	"sort"
	"strconv"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"

	"saltwright/internal/calc/quantity"
)

// format writes texts for the numbers that the contract marks x-formatted.
func format(s *openapi3.SchemaRef, value any, pointer string, u units) []formatted {
	if s == nil || s.Value == nil {
		return nil
	}
	switch v := value.(type) {
	case map[string]any:
		names := make([]string, 0, len(v))
		for name := range v {
			names = append(names, name)
		}
		sort.Strings(names)
		var out []formatted
		for _, name := range names {
			out = append(out, format(property(s, name), v[name], pointer+"/"+escapePointer(name), u)...)
		}
		return out
	case []any:
		var out []formatted
		for i, one := range v {
			out = append(out, format(itemsOf(s), one, fmt.Sprintf("%s/%d", pointer, i), u)...)
		}
		return out
	case json.Number:
		if s.Value.Extensions["x-formatted"] != true {
			return nil
		}
		f, err := v.Float64()
		if err != nil {
			return nil
		}
		unit, _ := s.Value.Extensions["x-unit"].(string)
		return []formatted{{Pointer: pointer, Text: text(f, unit, u)}}
	}
	return nil
}

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

// metricName is how a unit is written where that is not its contract name.
var metricName = map[string]string{"degC": "°C", "umol/(m2 s)": "µmol/(m² s)", "kg/m3": "kg/m³", "mol/(m2 d)": "mol/(m² d)", "1": ""}

// text writes a number with its unit, with three significant digits: more than
// a keeper can read off anything.
func text(x float64, unit string, u units) string {
	name := unit
	if n, ok := metricName[unit]; ok {
		name = n
	}
	if conv, ok := usUnit[unit]; ok && u == us {
		x, name = conv.convert(x), conv.name
	}
	return strings.TrimSpace(digits(x) + " " + name)
}

func digits(x float64) string {
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
