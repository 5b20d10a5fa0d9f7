// Package quantity names the quantities that are easily mixed up and holds
// every conversion factor of the project, each exact by definition.
//
// Calculations never see a unit choice: conversions are applied in the
// transport only, on decoding and encoding.
package quantity

// Factors between units of one quantity, exact by definition or convention.
const (
	SecondsPerMinute       = 60.0
	SecondsPerHour         = 3600.0
	SecondsPerDay          = 86400.0
	MinutesPerHour         = 60.0
	MinutesPerDay          = 1440.0
	HoursPerDay            = 24.0
	DaysPerMonth           = 30.4   // a twelfth of a year, rounded as keepers' records are
	DaysPerYear            = 365.25 // the Julian year
	MonthsPerYear          = 12
	MillimetresPerMetre    = 1000.0
	SquareMMPerSquareMetre = 1e6
	CentimetresPerMetre    = 100.0
	LitresPerCubicMetre    = 1000.0
	CubicMMPerLitre        = 1e6 // also square millimetres for a litre one millimetre deep
	GramsPerKilogram       = 1000.0
	WattsPerKilowatt       = 1000.0
	JoulesPerKilojoule     = 1000.0
	JoulesPerMegajoule     = 1e6
	MicromolesPerMole      = 1e6
	PerCent                = 100.0 // of a ratio of 1
)

// Celsius is a temperature on ITS-90, in °C. A difference is a plain float64 in kelvin.
type Celsius float64

// Pascal is an absolute pressure, in Pa.
type Pascal float64

// PracticalSalinity is a PSS-78 practical salinity, dimensionless.
type PracticalSalinity float64

// AbsoluteSalinity is a TEOS-10 reference-composition salinity, in g/kg.
type AbsoluteSalinity float64

const (
	// ZeroCelsius is 0 °C in kelvin, exact. Source: [BIPM2019].
	ZeroCelsius = 273.15
	// StandardAtmosphere in Pa, exact. Source: [BIPM2019].
	StandardAtmosphere Pascal = 101325
	// T68PerT90 converts an ITS-90 temperature in °C to IPTS-68: t68 = 1.00024 t90. Source: [Saunders1990].
	T68PerT90 = 1.00024

	// FahrenheitPerKelvin and FahrenheitAtZeroCelsius make a temperature in °F of one in °C, exact. Source:
	// [NISTSP811].
	FahrenheitPerKelvin     = 1.8
	FahrenheitAtZeroCelsius = 32
	// LitresPerUSGallon is the US liquid gallon of 231 cubic inches in L, exact. Source: [NISTSP811].
	LitresPerUSGallon = 3.785411784
	// MillimetresPerInch is the international inch in mm, exact. Source: [NISTSP811].
	MillimetresPerInch = 25.4
	// MetresPerFoot is the international foot in m, exact. Source: [NISTSP811].
	MetresPerFoot = 0.3048
	// KilogramsPerPound is the avoirdupois pound in kg, exact. Source: [NISTSP811].
	KilogramsPerPound = 0.45359237

	joulePerBTU = 1055.05585262 // J, International Table. Source: [NISTSP811].
)

// Kelvin returns the thermodynamic temperature.
//
//	T = t + 273.15
//
//	t  temperature  [°C]
//	T  temperature  [K]
//
// Accuracy: exact. Errors: none. Source: [BIPM2019].
func (t Celsius) Kelvin() float64 { return float64(t) + ZeroCelsius }

// IPTS68 returns the temperature on the scale that PSS-78 and EOS-80 were fitted on.
//
//	t68 = 1.00024 · t90
//
// Accuracy: 0.0005 K between -2 and 40 °C. Errors: none. Source: [Saunders1990].
func (t Celsius) IPTS68() float64 { return T68PerT90 * float64(t) }

// CelsiusFromFahrenheit returns the temperature in °C of one in °F.
//
//	t = (tF - 32) / 1.8
//
// Accuracy: exact. Errors: none. Source: [NISTSP811].
func CelsiusFromFahrenheit(degreesF float64) Celsius {
	return Celsius((degreesF - FahrenheitAtZeroCelsius) / FahrenheitPerKelvin)
}

// BTUPerHour returns watts as British thermal units (International Table) an hour.
//
//	Btu/h = 3600 W / 1055.05585262
//
// Accuracy: exact. Errors: none. Source: [NISTSP811].
func BTUPerHour(watts float64) float64 { return SecondsPerHour * watts / joulePerBTU }
