package httpapi

import (
	"math"
	"reflect"
	"sort"
	"strconv"
	"strings"
	"sync"

	"github.com/getkin/kin-openapi/openapi3"

	"saltwright/internal/calc/quantity"
)

// format writes texts for the numbers that the contract marks x-formatted, sorted by their place.
func format(s *openapi3.SchemaRef, value reflect.Value, pointer string, u units) []formatted {
	return appendFormatted(nil, s, value, pointer, u)
}

func appendFormatted(out []formatted, s *openapi3.SchemaRef, v reflect.Value, pointer string, u units) []formatted {
	for v.Kind() == reflect.Pointer || v.Kind() == reflect.Interface {
		v = v.Elem() // of nil: invalid, which has no kind below
	}
	if s == nil || s.Value == nil {
		return out
	}
	switch v.Kind() {
	case reflect.Struct:
		for _, m := range membersOf(v.Type()) {
			f := v.FieldByIndex(m.index)
			if m.optional && f.IsZero() {
				continue // left out of the answer
			}
			switch f.Kind() {
			case reflect.String, reflect.Bool:
				continue
			}
			if p := property(s, m.name); p != nil && formats(p) {
				out = appendFormatted(out, p, f, pointer+"/"+escapePointer(m.name), u)
			}
		}
	case reflect.Slice:
		items := itemsOf(s)
		for i := range v.Len() {
			out = appendFormatted(out, items, v.Index(i), pointer+"/"+strconv.Itoa(i), u)
		}
	case reflect.Float64:
		out = append(out, textOf(s, v.Float(), pointer, u))
	case reflect.Int:
		out = append(out, textOf(s, float64(v.Int()), pointer, u))
	}
	return out
}

func textOf(s *openapi3.SchemaRef, x float64, pointer string, u units) formatted {
	unit, _ := s.Value.Extensions["x-unit"].(string)
	return formatted{Pointer: pointer, Text: text(x, unit, u)}
}

// formatting remembers which schemas hold a number marked x-formatted.
var formatting sync.Map // *openapi3.Schema -> bool

func formats(s *openapi3.SchemaRef) bool {
	if s == nil || s.Value == nil {
		return false
	}
	if known, ok := formatting.Load(s.Value); ok {
		return known.(bool)
	}
	found := s.Value.Extensions["x-formatted"] == true || formats(s.Value.Items)
	for _, p := range s.Value.Properties {
		found = found || formats(p)
	}
	for _, p := range s.Value.AllOf {
		found = found || formats(p)
	}
	formatting.Store(s.Value, found)
	return found
}

// member is one JSON member of a struct.
type member struct {
	name     string
	index    []int
	optional bool
}

var structMembers sync.Map // reflect.Type -> []member

// membersOf lists the JSON members of a struct by name, embedded structs flattened.
func membersOf(t reflect.Type) []member {
	if known, ok := structMembers.Load(t); ok {
		return known.([]member)
	}
	var out []member
	for _, f := range reflect.VisibleFields(t) {
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if f.IsExported() && !f.Anonymous && name != "" && name != "-" {
			out = append(out, member{name, f.Index, options == "omitempty"})
		}
	}
	sort.Slice(out, func(i, j int) bool { return out[i].name < out[j].name })
	structMembers.Store(t, out)
	return out
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
