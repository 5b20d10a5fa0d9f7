package heat

import (
	"math"

	"saltwright/internal/calc/quantity"
)

const (
	gravity         = 9.81           // m/s2
	stefanBoltzmann = 5.670374419e-8 // W/(m2 K4). Source: [CODATA2018].
	// W/(m2 K), stirred water on a wall: table 1.1 gives 50 … 1000 free, 100 … 20000 forced. Source: [Incropera2007].
	waterFilm = 500
)

// NusseltVertical returns the mean Nusselt number of natural convection on a vertical plate.
//
//	Nu = (0.825 + 0.387 · Ra^(1/6) / (1 + (0.492/Pr)^(9/16))^(8/27))²
//
//	Ra  Rayleigh number over the plate's height, at least 0  [1]
//	Pr  Prandtl number, above 0                              [1]
//
// Accuracy: published for all Ra up to 1e12; on walls of common height (Ra 1e7
// … 3e8) 10 … 20 % above the same authors' laminar form, which cannot be joined
// to it without a step. Errors: none; a negative Ra counts as 0.
// Source: [ChurchillChu1975] eq. 9, [Incropera2007] eq. 9.26.
func NusseltVertical(rayleigh, prandtl float64) float64 {
	// x^n as exp(n ln x): math.Pow takes twice as long.
	ofPrandtl := math.Exp(-8.0 / 27 * math.Log1p(math.Exp(9.0/16*math.Log(0.492/prandtl))))
	root := 0.825 + 0.387*math.Sqrt(math.Cbrt(math.Max(rayleigh, 0)))*ofPrandtl
	return root * root
}

// NusseltLively returns the mean Nusselt number of a horizontal plate whose air
// moves freely: hot side up, or cold side down.
//
//	Nu = max(0.54 · Ra^(1/4), 0.15 · Ra^(1/3))
//
//	Ra  Rayleigh number over area/perimeter, published 1e4 … 1e11  [1]
//
// Accuracy: about 20 %. Errors: none; a negative Ra counts as 0.
// Source: [McAdams1954], [Incropera2007] eq. 9.30, 9.31. Departure: the larger of the two
// branches in place of a switch at Ra = 1e7, so that it has no step.
func NusseltLively(rayleigh float64) float64 {
	ra := math.Max(rayleigh, 0)
	return math.Max(0.54*math.Sqrt(math.Sqrt(ra)), 0.15*math.Cbrt(ra))
}

// NusseltCalm returns the mean Nusselt number of a horizontal plate whose air
// lies in layers: hot side down, or cold side up.
//
//	Nu = 0.27 · Ra^(1/4)
//
//	Ra  Rayleigh number over area/perimeter, published 1e5 … 1e10  [1]
//
// Accuracy: about 20 %. Errors: none; a negative Ra counts as 0.
// Source: [McAdams1954], [Incropera2007] eq. 9.32.
func NusseltCalm(rayleigh float64) float64 { return 0.27 * math.Sqrt(math.Sqrt(math.Max(rayleigh, 0))) }

// air holds the properties of dry air at a film temperature.
type air struct{ conductivity, viscosity, diffusivity float64 } // W/(m K), m2/s, m2/s

// airAt interpolates table A.4 of [Incropera2007] (250, 300 and 350 K, one
// atmosphere) by a parabola; viscosity and diffusivity go with 1/p.
func airAt(filmK, pressurePa float64) air {
	x := (filmK - 300) / 50
	parabola := func(low, mid, high float64) float64 { return mid + x*((high-low)/2+x*((high+low)/2-mid)) }
	thin := float64(quantity.StandardAtmosphere) / pressurePa
	return air{
		conductivity: parabola(22.3e-3, 26.3e-3, 30.0e-3),
		viscosity:    thin * parabola(11.44e-6, 15.89e-6, 20.92e-6),
		diffusivity:  thin * parabola(15.9e-6, 22.5e-6, 29.9e-6),
	}
}

type facing int

const (
	sideways facing = iota
	upwards
	downwards
)

// face is the side of a surface that the room sees.
type face struct {
	facing     facing
	lengthM    float64 // characteristic length: height, or area/perimeter when horizontal
	emissivity float64
}

// flux returns the heat that leaves the face in W/m2. It is continuous and
// strictly increasing in the face's temperature and 0 at the room's.
//
//	q = h · (Ts - Ta) + ε σ (Ts⁴ - Ta⁴), h = k/L · (Nu_natural³ + Nu_forced³)^(1/3)
//
// The room's walls are taken at air temperature. Forced: Nu = 0.664 Re^(1/2) Pr^(1/3).
// Source: [Incropera2007] sections 1.2, 7.2, 9.9.
func (f face) flux(surfaceC float64, room Surroundings) float64 {
	surfaceK, airK := quantity.Celsius(surfaceC).Kelvin(), room.Air.Temp.Kelvin()
	excess := surfaceK - airK
	filmK := (surfaceK + airK) / 2
	a := airAt(filmK, float64(room.Air.Pressure))
	rayleigh := gravity / filmK * math.Abs(excess) * f.lengthM * f.lengthM * f.lengthM / (a.viscosity * a.diffusivity)
	prandtl := a.viscosity / a.diffusivity
	var natural float64
	switch {
	case f.facing == sideways:
		natural = NusseltVertical(rayleigh, prandtl)
	case (f.facing == upwards) == (excess > 0):
		natural = NusseltLively(rayleigh)
	default:
		natural = NusseltCalm(rayleigh)
	}
	forced := 0.664 * math.Sqrt(room.AirSpeedMS*f.lengthM/a.viscosity) * math.Cbrt(prandtl)
	film := a.conductivity / f.lengthM * math.Cbrt(natural*natural*natural+forced*forced*forced)
	// Ts⁴ - Ta⁴ in factors: no digits lost near equality
	return film*excess + f.emissivity*stefanBoltzmann*(surfaceK*surfaceK+airK*airK)*(surfaceK+airK)*excess
}
