package reading

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"saltwright/clients/go/units"
)

// Dimension is what a number measures.
type Dimension string

// The dimensions that are understood, and in the comment the contract's unit of each.
const (
	Length          Dimension = "length"             // mm
	Area            Dimension = "area"               // m2
	Volume          Dimension = "volume"             // L
	Temperature     Dimension = "temperature"        // degC
	Days            Dimension = "days"               // d
	Flow            Dimension = "flow"               // L/h
	Loss            Dimension = "volume a day"       // L/d
	Percent         Dimension = "percent"            // %
	Power           Dimension = "power"              // W
	Energy          Dimension = "energy"             // Wh
	Mass            Dimension = "mass"               // g
	Speed           Dimension = "speed"              // m/s
	SpecificGravity Dimension = "specific gravity"   // 1
	Practical       Dimension = "practical salinity" // 1
	Absolute        Dimension = "salt by mass"       // g/kg
	Concentration   Dimension = "salt by volume"     // g/L
	Trace           Dimension = "trace by volume"    // mg/L
	Conductivity    Dimension = "conductivity"       // mS/cm
	Alkalinity      Dimension = "alkalinity"         // dKH
	Voltage         Dimension = "voltage"            // V
	Current         Dimension = "current"            // A
)

// System tells who uses a unit.
type System int

// The systems of units.
const (
	AnySystem System = iota
	Metric
	US
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

// over converts by a divisor, which is exact where its inverse is not.
func over(divisor float64) conversion {
	return conversion{times(divisor).fromContract, times(divisor).toContract}
}

// ofUS converts the US counterpart of a metric unit, which is the contract's unit times a factor.
func ofUS(name string, factor float64) conversion {
	u := units.Of(name)
	return conversion{
		func(v float64) float64 { return factor * u.FromUS(v) },
		func(v float64) float64 { return u.ToUS(v / factor) },
	}
}

// Unit is one way to write a dimension.
type Unit struct {
	Symbol    string
	Dimension Dimension
	System    System
	conversion
	aliases []string
}

const (
	hoursADay   = 24
	minutesADay = 60 * hoursADay
)

// knownUnits lists every unit that is understood.
var knownUnits = []*Unit{
	{"mm", Length, Metric, times(1), []string{"mm", "millimetre", "millimetres", "millimeter", "millimeters"}},
	{"cm", Length, Metric, times(10), []string{
		"cm", "cms", "centimetre", "centimetres", "centimeter", "centimeters", "zentimeter", "centímetros",
	}},
	{"m", Length, Metric, times(1000), []string{"m", "metre", "metres", "meter", "meters", "metros"}},
	{"in", Length, US, ofUS("mm", 1), []string{"in", "in.", "inch", "inches", "ins", `"`, "zoll", "pulgadas"}},
	{"ft", Length, US, ofUS("m", 1000), []string{"ft", "ft.", "foot", "feet", "'"}},
	{"m²", Area, Metric, times(1), []string{"m2", "sq m", "square metres", "square meters"}},
	{"cm²", Area, Metric, over(10000), []string{"cm2", "sq cm"}},
	{"ft²", Area, US, ofUS("m2", 1), []string{"ft2", "sq ft", "square feet"}},
	{"L", Volume, Metric, times(1), []string{"l", "litre", "litres", "liter", "liters", "ltr", "litros", "litern"}},
	{"ml", Volume, Metric, over(1000), []string{"ml"}},
	{"m³", Volume, Metric, times(1000), []string{"m3", "cubic metres", "cubic meters"}},
	{"gal", Volume, US, ofUS("L", 1), []string{
		"gal", "gals", "gal.", "gallon", "gallons", "us gal", "us gallons", "galones", "gallonen",
	}},
	{"°C", Temperature, Metric, times(1), []string{
		"c", "°c", "° c", "degc", "deg c", "degrees c", "celsius", "degrees celsius", "grad celsius", "℃",
	}},
	{"°F", Temperature, US, ofUS("degC", 1), []string{
		"f", "°f", "° f", "degf", "deg f", "degrees f", "fahrenheit", "degrees fahrenheit", "℉",
	}},
	{"days", Days, AnySystem, times(1), []string{
		"d", "day", "days", "tage", "tagen", "tag", "días", "dias", "día", "dia",
		"jour", "jours",
	}},
	{"weeks", Days, AnySystem, times(7), []string{
		"week", "weeks", "wk", "wks", "woche", "wochen", "semana", "semanas", "semaine", "semaines",
	}},
	{"h", Days, AnySystem, over(hoursADay), []string{
		"h", "hr", "hrs", "hour", "hours", "stunden", "stunde", "std", "hora", "horas", "heure", "heures",
		"h/d", "hours a day", "hours per day",
	}},
	{"min", Days, AnySystem, over(minutesADay), []string{"min", "mins", "minute", "minutes", "minuten", "minutos"}},
	{"s", Days, AnySystem, over(60 * minutesADay), []string{"s", "sec", "secs", "second", "seconds", "sekunden"}},
	{"L/h", Flow, Metric, times(1), perHour("l", "litres", "liters", "litre", "liter", "ltr")},
	{"L/min", Flow, Metric, times(60), []string{"l/min", "lpm"}},
	{"gal/h", Flow, US, ofUS("L/h", 1), perHour("gal", "gallons", "gallon", "gals")},
	{"gal/min", Flow, US, ofUS("L/h", 60), []string{"gal/min", "gpm"}},
	{"L/d", Loss, Metric, times(1), perDay("l", "litre", "litres", "liter", "liters")},
	{"ml/d", Loss, Metric, over(1000), perDay("ml")},
	{"gal/d", Loss, US, ofUS("L/d", 1), perDay("gal", "gals", "gallon", "gallons")},
	{"%", Percent, AnySystem, times(1), []string{"%", "percent", "per cent", "pct", "prozent", "por ciento"}},
	{"W", Power, AnySystem, times(1), []string{"w", "watt", "watts", "vatios"}},
	{"kW", Power, AnySystem, times(1000), []string{"kw"}},
	{"Wh", Energy, AnySystem, times(1), []string{"wh"}},
	{"kWh", Energy, AnySystem, times(1000), []string{"kwh"}},
	{"g", Mass, Metric, times(1), []string{"g", "gram", "grams", "gramm"}},
	{"kg", Mass, Metric, times(1000), []string{"kg", "kilo", "kilos"}},
	{"lb", Mass, US, ofUS("kg", 1000), []string{"lb", "lbs", "pound", "pounds"}},
	{"m/s", Speed, Metric, times(1), []string{"m/s"}},
	{"cm/s", Speed, Metric, over(100), []string{"cm/s"}},
	{"ft/s", Speed, US, ofUS("m/s", 1), []string{"ft/s"}},
	{"SG", SpecificGravity, AnySystem, times(1), []string{"sg", "s.g.", "specific gravity"}},
	{"ppt", Practical, AnySystem, times(1), []string{"ppt", "psu", "‰"}},
	{"g/kg", Absolute, AnySystem, times(1), []string{"g/kg"}},
	{"g/L", Concentration, AnySystem, times(1), []string{"g/l"}},
	{"mg/L", Trace, AnySystem, times(1), []string{"mg/l", "ppm"}},
	{"mS/cm", Conductivity, AnySystem, times(1), []string{"ms/cm", "ms"}},
	{"µS/cm", Conductivity, AnySystem, over(1000), []string{"µs/cm", "us/cm"}},
	{"dKH", Alkalinity, AnySystem, times(1), []string{"dkh", "kh"}},
	{"A", Current, AnySystem, times(1), []string{"amp", "amps", "ampere", "amperes", "amperios", "ampères"}},
	{"V", Voltage, AnySystem, times(1), []string{"v", "volt", "volts"}},
}

// perHour and perDay list how people write so much an hour, and so much a day.
func perHour(volumes ...string) []string {
	out := []string{volumes[0] + "ph", volumes[0][:1] + "ph"}
	return append(out, each(volumes, "/h", "/hr", "/hour", " an hour", " per hour", " pro stunde")...)
}

func perDay(volumes ...string) []string {
	return each(volumes, "/d", "/day", "/24h", " a day", " per day", " each day", " every day", " daily",
		" pro tag", " am tag",
		" al día", " al dia", " par jour")
}

func each(volumes []string, endings ...string) []string {
	var out []string
	for _, v := range volumes {
		for _, e := range endings {
			out = append(out, v+e)
		}
	}
	return out
}

// notUnits look like units but are ambiguous.
var notUnits = []string{
	"imp gal", "imp gallons", "imperial gal", "imperial gallons", "uk gal", "uk gallons", "k",
}

// bareDegrees say that a number is a temperature, and not on which scale.
var bareDegrees = &Unit{Dimension: Temperature}

var bareDegreeWords = []string{"degrees", "degree", "deg", "°", "grad", "grados"}

type alias struct {
	text string
	unit *Unit // nil for one of notUnits
}

// aliases lists all spellings, the longest first.
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
	for _, a := range bareDegreeWords {
		out = append(out, alias{a, bareDegrees})
	}
	slices.SortFunc(out, func(a, b alias) int { return len(b.text) - len(a.text) })
	return out
}()

// UnitOf returns the unit with a spelling, or nil.
func UnitOf(spelling string) *Unit {
	length, _, u := unitAt(spelling)
	if length != len(spelling) || u == bareDegrees {
		return nil
	}
	return u
}

// unitAt finds the unit at the beginning of a text in small letters, after spaces or the hyphen of 75-gallon. It
// returns its length, whether there is one, and the unit, which is nil for an ambiguous one.
func unitAt(text string) (length int, found bool, u *Unit) {
	trimmed := strings.TrimLeft(text, " ")
	if len(text) > 1 && text[0] == '-' && text[1] >= 'a' && text[1] <= 'z' {
		trimmed = text[1:]
	}
	skipped := len(text) - len(trimmed)
	for _, a := range aliases {
		if !strings.HasPrefix(trimmed, a.text) {
			continue
		}
		rest := trimmed[len(a.text):]
		if last, _ := utf8.DecodeLastRuneInString(a.text); (unicode.IsLetter(last) || unicode.IsDigit(last)) &&
			!endsWord(rest) {
			continue
		}
		if a.text == "in" && preposition(skipped > 0, rest) {
			return 0, false, nil
		}
		return skipped + len(a.text), true, a.unit
	}
	return 0, false, nil
}

// endsWord reports whether a word ends before rest: no letter or digit follows, or the x of "24inx20in".
func endsWord(rest string) bool {
	r, size := utf8.DecodeRuneInString(rest)
	if size == 0 || !unicode.IsLetter(r) && !unicode.IsDigit(r) {
		return true
	}
	next, _ := utf8.DecodeRuneInString(rest[size:])
	return r == 'x' && unicode.IsDigit(next)
}

// preposition reports whether "in", with a space before it, is probably the word and not inches: "48x24x20 in a room".
func preposition(spaced bool, rest string) bool {
	if !spaced || !strings.HasPrefix(rest, " ") {
		return false
	}
	next, _, _ := strings.Cut(strings.TrimLeft(rest, " "), " ")
	if next != "" && next[0] >= '0' && next[0] <= '9' { // from 380 to 430 in 200 L
		return true
	}
	return slices.Contains(
		[]string{"a", "an", "the", "my", "our", "this", "room", "winter", "summer", "total", "all", "january",
			"february", "march", "april", "may", "june", "july", "august", "september", "october",
			"november", "december"},
		strings.Trim(next, ",.;:!?"),
	)
}
