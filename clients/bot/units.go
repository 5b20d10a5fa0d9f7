package bot

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"saltwright/clients/go/units"
)

// Dimension is what a number is a measure of.
type Dimension string

// The dimensions a question may hold.
const (
	Length          Dimension = "length"
	Volume          Dimension = "volume"
	Temperature     Dimension = "temperature"
	Days            Dimension = "days"
	Flow            Dimension = "flow"
	Percent         Dimension = "percent"
	Power           Dimension = "power"
	SpecificGravity Dimension = "specific gravity"
	Practical       Dimension = "practical salinity"
	Absolute        Dimension = "salt by mass"
	Concentration   Dimension = "salt by volume"
	Conductivity    Dimension = "conductivity"
)

// system tells whose unit it is.
type system int

const (
	anySystem system = iota
	metric
	us
)

// conversion turns a number in a unit into one in the contract's unit of its dimension, and back.
type conversion struct{ toContract, fromContract func(float64) float64 }

// times converts by a factor.
func times(factor float64) conversion {
	return conversion{
		func(v float64) float64 { return v * factor },
		func(v float64) float64 { return v / factor },
	}
}

// ofUS converts the US unit of a metric one.
func ofUS(u units.Unit) conversion { return conversion{u.FromUS, u.ToUS} }

// feet converts to mm; the table has metres.
var feet = conversion{
	func(v float64) float64 { return mmPerMetre * units.Of("m").FromUS(v) },
	func(v float64) float64 { return units.Of("m").ToUS(v / mmPerMetre) },
}

const mmPerMetre = 1000

// Unit is one way to write a dimension.
type Unit struct {
	Symbol    string
	Dimension Dimension
	system    system
	conversion
	aliases []string
}

// knownUnits are all that is read. The contract's units are mm, L, °C, d, L/h, %, W, 1, g/kg, g/L and mS/cm.
var knownUnits = []*Unit{
	{"mm", Length, metric, times(1), []string{"mm", "millimetre", "millimetres", "millimeter", "millimeters"}},
	{"cm", Length, metric, times(10), []string{"cm", "centimetre", "centimetres", "centimeter", "centimeters"}},
	{"m", Length, metric, times(1000), []string{"m", "metre", "metres", "meter", "meters"}},
	{"in", Length, us, ofUS(units.Of("mm")), []string{"in", "in.", "inch", "inches", `"`, "″", "”", "''"}},
	{"ft", Length, us, feet, []string{"ft", "foot", "feet", "'", "′", "’"}},
	{"L", Volume, metric, times(1), []string{"l", "litre", "litres", "liter", "liters"}},
	{"ml", Volume, metric, times(0.001), []string{"ml"}},
	{"gal", Volume, us, ofUS(units.Of("L")), []string{"gal", "gals", "gallon", "gallons", "us gal", "us gallons"}},
	{"°C", Temperature, metric, times(1), []string{
		"c", "°c", "° c", "degc", "deg c", "degrees c", "celsius", "degrees celsius", "℃",
	}},
	{"°F", Temperature, us, ofUS(units.Of("degC")), []string{
		"f", "°f", "° f", "degf", "deg f", "degrees f", "fahrenheit", "degrees fahrenheit", "℉",
	}},
	{"days", Days, anySystem, times(1), []string{"d", "day", "days"}},
	{"weeks", Days, anySystem, times(7), []string{"week", "weeks"}},
	{"L/h", Flow, metric, times(1), []string{"l/h", "lph", "l/hr", "litres per hour", "liters per hour"}},
	{"L/min", Flow, metric, times(60), []string{"l/min", "lpm"}},
	{"gal/h", Flow, us, ofUS(units.Of("L/h")), []string{"gal/h", "gph", "gal/hr", "gallons per hour"}},
	{"%", Percent, anySystem, times(1), []string{"%", "percent", "per cent"}},
	{"W", Power, anySystem, times(1), []string{"w", "watt", "watts"}},
	{"SG", SpecificGravity, anySystem, times(1), []string{"sg", "s.g.", "specific gravity"}},
	{"ppt", Practical, anySystem, times(1), []string{"ppt", "psu", "‰"}},
	{"g/kg", Absolute, anySystem, times(1), []string{"g/kg"}},
	{"g/L", Concentration, anySystem, times(1), []string{"g/l"}},
	{"mS/cm", Conductivity, anySystem, times(1), []string{"ms/cm", "ms"}},
	{"µS/cm", Conductivity, anySystem, times(0.001), []string{"µs/cm", "us/cm"}},
}

// notUnits look like a unit and are none that can be taken at its word.
var notUnits = []string{
	"imp gal", "imp gallons", "imperial gal", "imperial gallons", "uk gal", "uk gallons", "degrees", "degree", "deg",
	"°", "k",
}

type alias struct {
	text string
	unit *Unit // nil: one of notUnits
}

// aliases are all spellings, the longest first.
var aliases = func() []alias {
	var out []alias
	for _, u := range knownUnits {
		for _, a := range u.aliases {
			out = append(out, alias{a, u})
		}
	}
	for _, a := range notUnits {
		out = append(out, alias{a, nil})
	}
	slices.SortFunc(out, func(a, b alias) int { return len(b.text) - len(a.text) })
	return out
}()

// Quantity is a number as somebody wrote it, with its unit.
type Quantity struct {
	Value float64
	Unit  *Unit // nil: none was written
	Text  string

	thousands bool // may be meant as thousands: 1.200
}

// InContractUnit returns the number in the contract's unit of its dimension, to
// 1/10000, which is finer than anybody measures and keeps addresses short.
func (q Quantity) InContractUnit() float64 {
	return math.Round(q.Unit.toContract(q.Value)*1e4) / 1e4
}

// String is the quantity as this bot writes it; it reads it again as the same.
func (q Quantity) String() string {
	text := strconv.FormatFloat(q.Value, 'f', -1, 64)
	switch {
	case q.Unit == nil:
		return text
	case q.Unit.Symbol == "%":
		return text + q.Unit.Symbol
	}
	return text + " " + q.Unit.Symbol
}

// roundedFrom returns what a number of the contract's unit is in unit u, to four figures:
// rounded down or up, so that a limit as it is told is still within the limit.
func (u *Unit) roundedFrom(contract float64, round func(float64) float64) Quantity {
	v := u.fromContract(contract)
	if v == 0 || math.IsInf(v, 0) || math.IsNaN(v) {
		return Quantity{Value: v, Unit: u}
	}
	figures := math.Pow(10, 3-math.Floor(math.Log10(math.Abs(v))))
	// What binary fractions add to a whole number of steps is no reason for a further one.
	scaled := v * figures
	if near := math.Round(scaled); math.Abs(scaled-near) < 1e-6 {
		scaled = near
	}
	v, _ = strconv.ParseFloat(strconv.FormatFloat(round(scaled)/figures, 'g', 6, 64), 64)
	return Quantity{Value: v, Unit: u}
}

// unitAt finds the unit that text begins with, after spaces: its length, whether
// there is one, and the unit, which is nil for those that cannot be taken at their word.
func unitAt(text string) (length int, found bool, u *Unit) {
	trimmed := strings.TrimLeft(text, " ")
	spaces := len(text) - len(trimmed)
	for _, a := range aliases {
		if !strings.HasPrefix(trimmed, a.text) {
			continue
		}
		rest := trimmed[len(a.text):]
		if last, _ := utf8.DecodeLastRuneInString(a.text); unicode.IsLetter(last) && !endsWord(rest) {
			continue
		}
		if a.text == "in" && preposition(rest) {
			return 0, false, nil
		}
		return spaces + len(a.text), true, a.unit
	}
	return 0, false, nil
}

// endsWord tells whether a word ends before rest: at no letter or digit, or at the x of "24inx20in".
func endsWord(rest string) bool {
	r, size := utf8.DecodeRuneInString(rest)
	if size == 0 || !unicode.IsLetter(r) && !unicode.IsDigit(r) {
		return true
	}
	next, _ := utf8.DecodeRuneInString(rest[size:])
	return r == 'x' && unicode.IsDigit(next)
}

// preposition tells whether "in" before rest is likely a word and no inch: "48x24x20 in a room".
func preposition(rest string) bool {
	if !strings.HasPrefix(rest, " ") {
		return false
	}
	next, _, _ := strings.Cut(strings.TrimLeft(rest, " "), " ")
	return slices.Contains(
		[]string{"a", "an", "the", "my", "our", "this", "room", "winter", "summer", "total"},
		strings.Trim(next, ",.;:!?"),
	)
}
