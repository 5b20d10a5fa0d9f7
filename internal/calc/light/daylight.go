package light

import (
	"math"

	"saltwright/internal/calc/numeric"
	"saltwright/internal/calc/quantity"
)

// Sunlight as photons. PAR is 0.409 … 0.477 of the global irradiance over the
// world; 0.45 is the usual mean. Source: [Akitsu2022].
const (
	parShare         = 0.45
	parShareLow      = 0.409
	parShareHigh     = 0.477
	micromolPerJoule = 4.57 // of sun and sky, 400 … 700 nm. Source: [ThimijanHeins1983].
)

// Day is a date and a place.
type Day struct {
	LatitudeDeg      float64 // north positive, -90 … 90
	Year, Month, Day int     // Gregorian, 1950 … 2100
	DepthM           float64 // under water, 0 … 200 m
	Underwater
}

// Daylight is a clear day's light.
type Daylight struct {
	DayLengthH      float64
	SunriseHour     float64 // local apparent solar time, 12 is noon
	SunsetHour      float64
	NoonElevation   float64 // degrees, without refraction
	DeclinationDeg  float64 // at noon
	NoonIrradiance  float64 // W/m2, global, clear sky
	EnergyMJ        float64 // MJ/(m2 d), global, clear sky
	NoonPPFD        float64 // µmol/(m2 s) over the surface
	DLI             float64 // mol/(m2 d) over the surface
	DLILow, DLIHigh float64 // by the range of the photons' share
	DepthDLI        float64 // at the depth; the surface's own when the depth is 0
	DepthNoonPPFD   float64
}

// ClearSkyIrradiance returns the global irradiance on level ground under a clear sky, W/m2.
//
//	G = 1098 cos z exp(-0.059 / cos z), 0 below the horizon
//
//	elevationDeg  of the sun, 90° - z  [deg]
//
// Accuracy: monthly means within some 5 to 10 %; the best of the models that take the zenith angle alone. Clear days at
// 32 to 51° north lie within 6 % while the noon sun stands above 50°, and 5 to 23 % above it in a lower sun or thin
// air.
// Errors: none. Source: [Haurwitz1945], [Reno2012]; held against [Augustine2000].
func ClearSkyIrradiance(elevationDeg float64) float64 {
	cosZ := math.Sin(elevationDeg * math.Pi / 180)
	if cosZ <= 0 {
		return 0
	}
	return 1098 * cosZ * math.Exp(-0.059/cosZ)
}

// PhotonsOfSunlight returns the PPFD of sun and sky, µmol/(m2 s).
//
//	PPFD = 0.45 · 4.57 · G
//
//	irradiance  global  [W/m2]
//
// Accuracy: the share of 0.45 lies within 0.409 … 0.477 over the world.
// Errors: none. Source: [Akitsu2022], [ThimijanHeins1983].
func PhotonsOfSunlight(irradiance float64) float64 { return parShare * micromolPerJoule * irradiance }

// NaturalDay returns a clear day's light at a latitude, over the sea and at a depth.
//
//	irradiance by ClearSkyIrradiance, integrated from sunrise to sunset
//	photons at depth z = Transmission(z) · surface
//
// Accuracy: a clear sky, a level horizon; clouds take a third or more of it. The sun's place
// is good to 0.01° against the worked example of [RedaAndreas2004]. The day length as DayLength. The equal-spaced rule
// over the day is exact to 1e-4.
// Errors: *calc.RangeError; *calc.ConflictError for a day that is not in the calendar.
// Source: [Meeus1998], [Haurwitz1945], [Akitsu2022], [ThimijanHeins1983], [Kirk2011], [Jerlov1976].
func NaturalDay(d Day) (Daylight, error) {
	var r Daylight
	share, err := Transmission(d.Underwater, d.DepthM)
	if err != nil {
		return r, err
	}
	length, err := DayLength(d.LatitudeDeg, d.Year, d.Month, d.Day)
	if err != nil {
		return r, err
	}
	midnight, err := dateOf(d.Year, d.Month, d.Day)
	if err != nil {
		return r, err
	}
	noon := float64(midnight.Unix()) + 12*quantity.SecondsPerHour
	declination, _ := sun(centuries(noon))
	const deg = 180 / math.Pi
	r.DayLengthH, r.SunriseHour, r.SunsetHour = length, 12-length/2, 12+length/2
	r.DeclinationDeg = declination * deg
	r.NoonElevation = 90 - math.Abs(d.LatitudeDeg-r.DeclinationDeg)
	r.NoonIrradiance = ClearSkyIrradiance(r.NoonElevation)
	const steps = quantity.MinutesPerDay
	joules := 0.0
	for i := range int(steps) {
		hour := (float64(i) + 0.5) / steps * quantity.HoursPerDay
		elevation := elevationDeg(d.LatitudeDeg, r.DeclinationDeg, hour)
		joules += ClearSkyIrradiance(elevation) * quantity.SecondsPerMinute
	}
	r.EnergyMJ = joules / quantity.JoulesPerMegajoule
	r.NoonPPFD = PhotonsOfSunlight(r.NoonIrradiance)
	r.DLI = PhotonsOfSunlight(joules) / quantity.MicromolesPerMole
	r.DLILow, r.DLIHigh = r.DLI*parShareLow/parShare, r.DLI*parShareHigh/parShare
	r.DepthDLI, r.DepthNoonPPFD = share*r.DLI, share*r.NoonPPFD
	return r, nil
}

// elevationDeg is how high the sun stands at an hour of solar time.
func elevationDeg(latitudeDeg, declinationDeg, hour float64) float64 {
	const deg = 180 / math.Pi
	phi, declination := latitudeDeg/deg, declinationDeg/deg
	angle := hour/quantity.HoursPerDay*2*math.Pi - math.Pi
	sinH := math.Sin(phi)*math.Sin(declination) + math.Cos(phi)*math.Cos(declination)*math.Cos(angle)
	return math.Asin(max(-1, min(1, sinH))) * deg
}

// PPFDAt returns the light of the day at an hour, over the surface, µmol/(m2 s).
//
//	latitudeDeg  that of the day                        [deg]
//	hour         local apparent solar time, 12 is noon  [h]
//
// Accuracy: that of NaturalDay. Errors: none. Source: [Haurwitz1945], [Meeus1998].
func (r Daylight) PPFDAt(latitudeDeg, hour float64) float64 {
	return PhotonsOfSunlight(ClearSkyIrradiance(elevationDeg(latitudeDeg, r.DeclinationDeg, hour)))
}

// DepthOf returns the depth at which a clear day has a given light integral, and whether there is one down to 200 m.
//
//	Transmission(z) = DLI / DLI_surface, solved for z
//
//	dli  at the depth, above 0  [mol/(m2 d)]
//
// Accuracy: that of Transmission. Errors: as Transmission; false above the surface and below 200 m.
// Source: [Jerlov1976], [Kirk2011].
func (r Daylight) DepthOf(u Underwater, dli float64) (metres float64, ok bool, err error) {
	if _, err := Transmission(u, maxDepthM); err != nil {
		return 0, false, err
	}
	table := diffuseAttenuation[u.Type]
	excess := func(z float64) float64 { return r.DLI*u.below(table, z) - dli }
	if !(dli > 0) || excess(0) < 0 || excess(maxDepthM) > 0 {
		return 0, false, nil
	}
	z, err := numeric.Root(excess, 0, maxDepthM, 1e-6)
	return z, err == nil, err
}
