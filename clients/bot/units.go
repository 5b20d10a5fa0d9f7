package bot

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
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

type system int

const (
	either system = iota
	metric
	us
)

// Unit is one way to write a dimension. In the contract's unit a number is
// (value + before) · factor.
type Unit struct {
	Symbol    string
	Dimension Dimension
	before    float64
	factor    float64
	system    system
	spaced    bool // written apart from its number
	aliases   []string
}

// Exact factors: the international inch is 25.4 mm (yard and pound agreement of
// 1959), the US liquid gallon 231 cubic inches (NIST SP 811, appendix B). A test
// holds them to those of the Go client.
const (
	mmPerInch       = 25.4
	mmPerFoot       = 12 * mmPerInch
	litresPerGallon = 231 * mmPerInch * mmPerInch * mmPerInch / 1e6
)

// units are all that is read. The contract's units are mm, L, °C, d, L/h, %, W, 1, g/kg, g/L and mS/cm.
var units = []*Unit{
	{Symbol: "mm", Dimension: Length, factor: 1, system: metric, spaced: true, aliases: []string{"mm", "millimetre", "millimetres", "millimeter", "millimeters"}},
	{Symbol: "cm", Dimension: Length, factor: 10, system: metric, spaced: true, aliases: []string{"cm", "centimetre", "centimetres", "centimeter", "centimeters"}},
	{Symbol: "m", Dimension: Length, factor: 1000, system: metric, spaced: true, aliases: []string{"m", "metre", "metres", "meter", "meters"}},
	{Symbol: "in", Dimension: Length, factor: mmPerInch, system: us, spaced: true, aliases: []string{"in", "in.", "inch", "inches", `"`, "″", "”", "''"}},
	{Symbol: "ft", Dimension: Length, factor: mmPerFoot, system: us, spaced: true, aliases: []string{"ft", "foot", "feet", "'", "′", "’"}},
	{Symbol: "L", Dimension: Volume, factor: 1, system: metric, spaced: true, aliases: []string{"l", "litre", "litres", "liter", "liters"}},
	{Symbol: "ml", Dimension: Volume, factor: 0.001, system: metric, spaced: true, aliases: []string{"ml"}},
	{Symbol: "gal", Dimension: Volume, factor: litresPerGallon, system: us, spaced: true, aliases: []string{"gal", "gals", "gallon", "gallons", "us gal", "us gallons"}},
	{Symbol: "°C", Dimension: Temperature, factor: 1, system: metric, spaced: true, aliases: []string{"c", "°c", "° c", "degc", "deg c", "degrees c", "celsius", "degrees celsius", "℃"}},
	{Symbol: "°F", Dimension: Temperature, before: -32, factor: 1 / 1.8, system: us, spaced: true, aliases: []string{"f", "°f", "° f", "degf", "deg f", "degrees f", "fahrenheit", "degrees fahrenheit", "℉"}},
	{Symbol: "days", Dimension: Days, factor: 1, spaced: true, aliases: []string{"d", "day", "days"}},
	{Symbol: "weeks", Dimension: Days, factor: 7, spaced: true, aliases: []string{"week", "weeks"}},
	{Symbol: "L/h", Dimension: Flow, factor: 1, system: metric, spaced: true, aliases: []string{"l/h", "lph", "l/hr", "litres per hour", "liters per hour"}},
	{Symbol: "L/min", Dimension: Flow, factor: 60, system: metric, spaced: true, aliases: []string{"l/min", "lpm"}},
	{Symbol: "gal/h", Dimension: Flow, factor: litresPerGallon, system: us, spaced: true, aliases: []string{"gal/h", "gph", "gal/hr", "gallons per hour"}},
	{Symbol: "%", Dimension: Percent, factor: 1, aliases: []string{"%", "percent", "per cent"}},
	{Symbol: "W", Dimension: Power, factor: 1, spaced: true, aliases: []string{"w", "watt", "watts"}},
	{Symbol: "SG", Dimension: SpecificGravity, factor: 1, spaced: true, aliases: []string{"sg", "s.g.", "specific gravity"}},
	{Symbol: "ppt", Dimension: Practical, factor: 1, spaced: true, aliases: []string{"ppt", "psu", "‰"}},
	{Symbol: "g/kg", Dimension: Absolute, factor: 1, spaced: true, aliases: []string{"g/kg"}},
	{Symbol: "g/L", Dimension: Concentration, factor: 1, spaced: true, aliases: []string{"g/l"}},
	{Symbol: "mS/cm", Dimension: Conductivity, factor: 1, spaced: true, aliases: []string{"ms/cm", "ms"}},
	{Symbol: "µS/cm", Dimension: Conductivity, factor: 0.001, spaced: true, aliases: []string{"µs/cm", "us/cm"}},
}

// notUnits look like a unit and are none that can be taken at its word.
var notUnits = []string{"imp gal", "imp gallons", "imperial gal", "imperial gallons", "uk gal", "uk gallons", "degrees", "degree", "deg", "°", "k"}

type alias struct {
	text string
	unit *Unit // nil: one of notUnits
}

// aliases are all spellings, the longest first.
var aliases = func() []alias {
	var out []alias
	for _, u := range units {
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
	return math.Round((q.Value+q.Unit.before)*q.Unit.factor*1e4) / 1e4
}

// String is the quantity as this bot writes it; it reads it again as the same.
func (q Quantity) String() string {
	text := strconv.FormatFloat(q.Value, 'f', -1, 64)
	switch {
	case q.Unit == nil:
		return text
	case q.Unit.spaced:
		return text + " " + q.Unit.Symbol
	}
	return text + q.Unit.Symbol
}

// in returns what a number of the contract's unit is in unit u, to four figures:
// rounded down or up, so that a limit as it is told is still within the limit.
func (u *Unit) in(contract float64, round func(float64) float64) Quantity {
	v := contract/u.factor - u.before
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
	return slices.Contains([]string{"a", "an", "the", "my", "our", "this", "room", "winter", "summer", "total"}, strings.Trim(next, ",.;:!?"))
}
