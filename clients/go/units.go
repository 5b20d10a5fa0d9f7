package saltwright

// Exact factors of the units that readers of the US use. The international inch
// is 25.4 mm and the pound 0.45359237 kg (international yard and pound agreement
// of 1959); the US liquid gallon is 231 cubic inches (NIST SP 811, appendix B).
const (
	mmPerInch       = 25.4
	litresPerGallon = 231 * 25.4 * 25.4 * 25.4 / 1e6
	kgPerPound      = 0.45359237
	inchesPerFoot   = 12
	degreesFAtZeroC = 32
	fahrenheitPerK  = 1.8
)

// FromInches returns mm.
func FromInches(in float64) float64 { return in * mmPerInch }

// ToInches returns inches of mm.
func ToInches(mm float64) float64 { return mm / mmPerInch }

// FromFeet returns mm.
func FromFeet(ft float64) float64 { return ft * inchesPerFoot * mmPerInch }

// FromGallons returns litres of US liquid gallons.
func FromGallons(gal float64) float64 { return gal * litresPerGallon }

// ToGallons returns US liquid gallons of litres.
func ToGallons(l float64) float64 { return l / litresPerGallon }

// FromFahrenheit returns °C.
func FromFahrenheit(f float64) float64 { return (f - degreesFAtZeroC) / fahrenheitPerK }

// ToFahrenheit returns °F.
func ToFahrenheit(c float64) float64 { return c*fahrenheitPerK + degreesFAtZeroC }

// FromPounds returns kg.
func FromPounds(lb float64) float64 { return lb * kgPerPound }

// ToPounds returns pounds of kg.
func ToPounds(kg float64) float64 { return kg / kgPerPound }
