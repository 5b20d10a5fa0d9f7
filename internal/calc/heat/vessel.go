// Package heat holds the steady heat balance of a tank surface by surface, the
// sizing of heaters and coolers from it, and the closed forms of a lumped tank.
package heat

import (
	"saltwright/internal/calc"
	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// Material of the walls and the bottom.
type Material string

// Materials with tabulated conductivity.
const (
	Glass   Material = "glass"
	Acrylic Material = "acrylic"
)

var materials = map[Material]struct{ conductivity, emissivity float64 }{
	Glass: {1.00, 0.837}, // W/(m K). Source: [ISO10456]; emissivity [EN673].
	// W/(m K), between PMMA 0.18 and acrylic 0.20. Source: [ISO10456]; emissivity of plastics [Incropera2007].
	Acrylic: {0.19, 0.90},
}

// dryLid is the share of the free dry loss (convection and radiation) that a lid
// leaves: a closed one adds a second film of the same size in series (a half);
// an open screen follows the evaporation's.
var dryLid = map[evaporation.Lid]float64{
	evaporation.LidOpen: 1, evaporation.LidScreen: 0.85, evaporation.LidClosed: 0.5,
}

// SumpFreeboardMM is the height of a sump's walls above its water where nobody measured it. Source: [CommonPractice].
const SumpFreeboardMM = 150.0

// Vessel is a box of water: a display or a sump.
type Vessel struct {
	LengthMM              float64 // inside, 10 … 20000 mm
	WidthMM               float64 // inside, 10 … 20000 mm
	WaterDepthMM          float64 // 20 … 5000 mm
	FreeboardMM           float64 // of the walls above the water line, 0 … 5000 mm
	WallMM                float64 // thickness of walls and bottom, 1 … 200 mm
	Material              Material
	BottomResistanceM2KPW float64 // thermal resistance of stand and mat under the bottom, 0 … 10 m2 K/W
	Lid                   evaporation.Lid
}

// SurfaceLoss is the dry heat through one kind of surface, positive when it leaves the water.
type SurfaceLoss struct {
	Surface SurfaceName
	AreaM2  float64
	FaceC   float64 // temperature of the side the room sees
	W       float64
}

// SurfaceName tells the surfaces of a vessel apart.
type SurfaceName string

// The surfaces of a vessel.
const (
	LongWalls   SurfaceName = "long_walls"   // both, below the water line
	ShortWalls  SurfaceName = "short_walls"  // both, below the water line
	Rim         SurfaceName = "rim"          // all four walls above the water line, as fins
	Bottom      SurfaceName = "bottom"       // through the stand
	FreeSurface SurfaceName = "free_surface" // water to air without evaporation
)

// DryLossResult is the heat a vessel loses other than by evaporation.
type DryLossResult struct {
	Surfaces [5]SurfaceLoss // in the order of the names above
	TotalW   float64        // negative when the room is warmer
}

func (v Vessel) check() error {
	for _, c := range []struct {
		param           string
		value, min, max float64
		unit            string
	}{
		{"length_mm", v.LengthMM, 10, 20000, "mm"},
		{"width_mm", v.WidthMM, 10, 20000, "mm"},
		{"water_depth_mm", v.WaterDepthMM, 20, 5000, "mm"},
		{"freeboard_mm", v.FreeboardMM, 0, 5000, "mm"},
		{"wall_mm", v.WallMM, 1, 200, "mm"},
		{"bottom_resistance_m2k_per_w", v.BottomResistanceM2KPW, 0, 10, "m2 K/W"},
	} {
		if err := calc.CheckRange(c.param, c.value, c.min, c.max, c.unit); err != nil {
			return err
		}
	}
	if _, ok := materials[v.Material]; !ok {
		return &calc.ConflictError{Params: []string{"material"}, Reason: text.Of("material_not_known", nil)}
	}
	_, err := evaporation.LidFactor(v.Lid)
	return err
}

func checkClimate(water quantity.Celsius, room Surroundings) error {
	if err := calc.CheckRange("water_c", float64(water), minWaterC, maxWaterC, "degC"); err != nil {
		return err
	}
	return room.check("room_c")
}

// AreaM2 returns the free water surface.
//
//	A = length · width
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (v Vessel) AreaM2() float64 {
	return v.LengthMM * v.WidthMM / (quantity.MillimetresPerMetre * quantity.MillimetresPerMetre)
}

// VolumeL returns the water a vessel holds when nothing else is in it.
//
//	V = length · width · depth / 1e6, in mm
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (v Vessel) VolumeL() float64 {
	return v.LengthMM * v.WidthMM * v.WaterDepthMM / quantity.CubicMMPerLitre
}

// DryLoss returns the steady heat that leaves a vessel through each surface, evaporation not counted.
//
//	q = (Tw - Ts) / (1/hi + d/k + R) = ho · (Ts - Ta) + ε σ (Ts⁴ - Ta⁴), solved for Ts
//
//	Tw, Ta  water and room          [°C]  valid 0 … 40 and -10 … 50
//	Ts      outer face of the wall  [°C]
//	hi      stirred water on a wall, 500 W/(m2 K)
//	d, k    wall; R stand, bottom only
//	ho      natural convection joined with the room's air speed
//
// The free surface loses by ho and radiation from Tw itself, times the lid's
// share. The rim is a fin on the wall's mean temperature. Continuous and
// strictly increasing in Tw, 0 at Tw = Ta.
// Accuracy: films 10 … 20 %; corners, frames, stands' air spaces and a room
// whose walls are colder than its air are not in it.
// Errors: *calc.RangeError, *calc.ConflictError (unknown material or lid).
// Source: [ChurchillChu1975], [McAdams1954], [Incropera2007], [Cengel2003], [ISO10456], [EN673], [CODATA2018].
func DryLoss(v Vessel, water quantity.Celsius, around Surroundings) (DryLossResult, error) {
	return dryLoss(v, water, around, around.AirSpeedMS)
}

// dryLoss lets the air over the free surface move faster than in the room, as under a fan.
func dryLoss(v Vessel, water quantity.Celsius, room Surroundings, surfaceSpeedMS float64) (DryLossResult, error) {
	var r DryLossResult
	if err := v.check(); err != nil {
		return r, err
	}
	if err := checkClimate(water, room); err != nil {
		return r, err
	}
	if err := calc.CheckRange("fan_speed_m_s", surfaceSpeedMS, 0, maxAirSpeedMS, "m/s"); err != nil {
		return r, err
	}
	tw := float64(water)
	m := materials[v.Material]
	const metre = quantity.MillimetresPerMetre
	length, width, depth, thickness := v.LengthMM/metre, v.WidthMM/metre, v.WaterDepthMM/metre, v.WallMM/metre
	n := 0
	add := func(s SurfaceName, area, faceC, watts float64) {
		r.Surfaces[n] = SurfaceLoss{Surface: s, AreaM2: area, FaceC: faceC, W: watts}
		r.TotalW += watts
		n++
	}

	side := wall{thicknessM: thickness, conductivity: m.conductivity, outside: face{sideways, depth, m.emissivity}}
	sideC, sideFlux, err := side.solve(tw, room)
	if err != nil {
		return DryLossResult{}, err
	}
	long, short := 2*length*depth, 2*width*depth
	add(LongWalls, long, sideC, long*sideFlux)
	add(ShortWalls, short, sideC, short*sideFlux)

	perimeter := 2 * (length + width)
	rimHeight := v.FreeboardMM / metre
	exposed := 2.0
	if v.Lid == evaporation.LidClosed {
		exposed = 1 // the air under the lid is nearly as warm as the rim
	}
	innerC := tw - sideFlux/waterFilm
	base := (innerC + sideC) / 2
	add(Rim, perimeter*rimHeight, base, rimWatts(side, perimeter, rimHeight, base, exposed, room))

	flat := v.AreaM2() / perimeter
	floor := wall{
		thicknessM: thickness, conductivity: m.conductivity, extra: v.BottomResistanceM2KPW,
		outside: face{downwards, flat, m.emissivity},
	}
	floorC, floorFlux, err := floor.solve(tw, room)
	if err != nil {
		return DryLossResult{}, err
	}
	add(Bottom, v.AreaM2(), floorC, v.AreaM2()*floorFlux)

	over := room
	over.AirSpeedMS = surfaceSpeedMS
	free := face{upwards, flat, waterEmissivity}.flux(tw, over) * dryLid[v.Lid]
	add(FreeSurface, v.AreaM2(), tw, v.AreaM2()*free)
	return r, nil
}
