// Package unit tells how the units of the contract are written for people. It holds the one table of them: the texts
// of answers, the pages and the reports use it, and the tables of the clients are generated from it.
package unit

import "saltwright/internal/calc/quantity"

// Unit is one unit of the contract.
type Unit struct {
	Name   string // in the contract: degC
	Metric string // as people write it: °C; empty for a pure number
	US     string // as readers in the US write it: °F; empty where they use the metric unit
	Scale         // from the metric unit to that of the US
}

// Scale turns a number in a metric unit into one in the US unit: number · Times / Over + Offset. Each of the three is
// exact by definition, which their quotient would not be.
type Scale struct{ Times, Over, Offset float64 }

var (
	fahrenheit           = Scale{quantity.FahrenheitPerKelvin, 1, quantity.FahrenheitAtZeroCelsius}
	fahrenheitDifference = Scale{quantity.FahrenheitPerKelvin, 1, 0}
	perFahrenheit        = Scale{1, quantity.FahrenheitPerKelvin, 0}
	perGallon            = Scale{quantity.LitresPerUSGallon, 1, 0}
	gallons              = Scale{1, quantity.LitresPerUSGallon, 0}
	inches               = Scale{1, quantity.MillimetresPerInch, 0}
	inchesOfCentimetres  = Scale{10, quantity.MillimetresPerInch, 0}
	feet                 = Scale{1, quantity.MetresPerFoot, 0}
	squareFeet           = Scale{1, quantity.MetresPerFoot * quantity.MetresPerFoot, 0}
	pounds               = Scale{1, quantity.KilogramsPerPound, 0}
)

// Table lists the units that are written differently from their name in the contract, for metric or for US readers.
var Table = []Unit{
	{"degC", "°C", "°F", fahrenheit},
	{"K", "K", "°F", fahrenheitDifference},
	{"W/L", "W/L", "W/gal", perGallon},
	{"W/K", "W/K", "W/°F", perFahrenheit},
	{"L", "L", "gal", gallons},
	{"L/d", "L/d", "gal/d", gallons},
	{"L/h", "L/h", "gal/h", gallons},
	{"mm", "mm", "in", inches},
	{"mm/d", "mm/d", "in/d", inches},
	{"cm/h", "cm/h", "in/h", inchesOfCentimetres},
	{"m", "m", "ft", feet},
	{"m/s", "m/s", "ft/s", feet},
	{"m2", "m²", "ft²", squareFeet},
	{"kg", "kg", "lb", pounds},
	{"kg/h", "kg/h", "lb/h", pounds},
	{Name: "m3", Metric: "m³"},
	{Name: "1/m3", Metric: "1/m³"},
	{Name: "kg/m3", Metric: "kg/m³"},
	{Name: "W/m2", Metric: "W/m²"},
	{Name: "dKH/d", Metric: "dKH a day"},
	{Name: "mg/(L d)", Metric: "mg/L a day"},
	{Name: "MJ/(m2 d)", Metric: "MJ/(m² d)"},
	{Name: "mol/(m2 d)", Metric: "mol/(m² d)"},
	{Name: "umol/(m2 s)", Metric: "µmol/(m² s)"},
	{Name: "umol/kg", Metric: "µmol/kg"},
	{Name: "uatm", Metric: "µatm"},
	{Name: "deg", Metric: "°"},
	{Name: "currency", Metric: "money"},
	{Name: "1"},
	{Name: "that of the alkalinity"},
	{Name: "that of what is raised"},
	{Name: "that of the axis"},
	{Name: "that of the input"},
	{Name: "that of the member"},
	{Name: "that of the result"},
	{Name: "that of the scale"},
	{Name: "that of the setting"},
}

var byName = func() map[string]Unit {
	out := map[string]Unit{}
	for _, u := range Table {
		out[u.Name] = u
	}
	return out
}()

// Of returns the unit with a name of the contract. One that the table does not list is written as it is named.
func Of(name string) Unit {
	if u, ok := byName[name]; ok {
		return u
	}
	return Unit{Name: name, Metric: name}
}

// For returns what a reader is told for a number in the contract's unit: the number in that reader's unit, and how the
// unit is written.
func (u Unit) For(us bool, number float64) (float64, string) {
	if !us || u.US == "" {
		return number, u.Metric
	}
	return number*u.Times/u.Over + u.Offset, u.US
}

// Beside writes a unit beside a number that is already written.
func Beside(number, unit string) string {
	switch unit {
	case "":
		return number
	case "°":
		return number + unit
	}
	return number + " " + unit
}
