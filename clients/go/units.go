package saltwright

import "saltwright/clients/go/units"

// The units of people in the US, each exact by definition: see package units.
var (
	inch       = units.Of("mm")
	foot       = units.Of("m")
	gallon     = units.Of("L")
	pound      = units.Of("kg")
	fahrenheit = units.Of("degC")
)

const mmPerMetre = 1000

// FromInches returns mm.
func FromInches(in float64) float64 { return inch.FromUS(in) }

// ToInches returns inches of mm.
func ToInches(mm float64) float64 { return inch.ToUS(mm) }

// FromFeet returns mm.
func FromFeet(ft float64) float64 { return mmPerMetre * foot.FromUS(ft) }

// FromGallons returns litres of US liquid gallons.
func FromGallons(gal float64) float64 { return gallon.FromUS(gal) }

// ToGallons returns US liquid gallons of litres.
func ToGallons(l float64) float64 { return gallon.ToUS(l) }

// FromFahrenheit returns °C.
func FromFahrenheit(f float64) float64 { return fahrenheit.FromUS(f) }

// ToFahrenheit returns °F.
func ToFahrenheit(c float64) float64 { return fahrenheit.ToUS(c) }

// FromPounds returns kg.
func FromPounds(lb float64) float64 { return pound.FromUS(lb) }

// ToPounds returns pounds of kg.
func ToPounds(kg float64) float64 { return pound.ToUS(kg) }
