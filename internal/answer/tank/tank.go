// Package tank is a tank, its room and what was measured on it, as requests about heat and water describe them.
package tank

import (
	"errors"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc"
	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/moistair"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// Request is a tank as every heat calculation takes it.
type Request struct {
	Measures
	EvaporationFactor
	DryLossFactor float64 `json:"dry_loss_factor"`
}

// Measures is a tank, what runs on it and the air it stands in.
type Measures struct {
	LengthMM       float64         `json:"length_mm"`
	WidthMM        float64         `json:"width_mm"`
	WaterDepthMM   float64         `json:"water_depth_mm"`
	FreeboardMM    float64         `json:"freeboard_mm"`
	WallMM         float64         `json:"wall_mm"`
	Material       heat.Material   `json:"material"`
	Lid            evaporation.Lid `json:"lid"`
	RockShare      float64         `json:"rock_share"`
	SumpLengthMM   *float64        `json:"sump_length_mm,omitempty"`
	SumpWidthMM    *float64        `json:"sump_width_mm,omitempty"`
	SumpDepthMM    *float64        `json:"sump_depth_mm,omitempty"`
	SalinityPSU    float64         `json:"salinity_psu"`
	RHPercent      float64         `json:"rh_percent"`
	AirSpeedMS     float64         `json:"air_speed_m_s"`
	AltitudeM      float64         `json:"altitude_m"`
	PumpsW         float64         `json:"pumps_w"`
	PumpsHeatShare float64         `json:"pumps_heat_share"`
	LightsW        float64         `json:"lights_w"`
	LightsHeat     float64         `json:"lights_heat_share"`
	LightsHours    float64         `json:"lights_hours_per_day"`
}

// System returns the tank as the heat balance knows it, corrected by what was measured on it.
func (r Request) System() (heat.System, error) {
	s, err := r.Measures.System()
	if err != nil {
		return s, err
	}
	c := &heat.Correction{DryFactor: r.DryLossFactor}
	c.EvaporationFactor, c.EvaporationUncertaintyPercent, err = r.Given()
	s.Correction = c
	return s, err
}

func (r Measures) System() (heat.System, error) {
	s := heat.System{
		Display: heat.Vessel{
			LengthMM: r.LengthMM, WidthMM: r.WidthMM, WaterDepthMM: r.WaterDepthMM, FreeboardMM: r.FreeboardMM,
			WallMM: r.WallMM, Material: r.Material, Lid: r.Lid,
		},
		Salinity: quantity.PracticalSalinity(r.SalinityPSU),
		Gains: []heat.Gain{
			{Name: "pumps", PowerW: r.PumpsW, WaterShare: r.PumpsHeatShare, HoursPerDay: 24},
			{Name: "lights", PowerW: r.LightsW, WaterShare: r.LightsHeat, HoursPerDay: r.LightsHours},
		},
	}
	s.VolumeL = s.Display.VolumeL() * (1 - r.RockShare)
	given := 0
	for _, p := range []*float64{r.SumpLengthMM, r.SumpWidthMM, r.SumpDepthMM} {
		if p != nil {
			given++
		}
	}
	switch given {
	case 0:
		return s, nil
	case 3:
		s.Sump = &heat.Vessel{
			LengthMM: *r.SumpLengthMM, WidthMM: *r.SumpWidthMM, WaterDepthMM: *r.SumpDepthMM,
			FreeboardMM: heat.SumpFreeboardMM,
			WallMM:      r.WallMM, Material: r.Material, Lid: r.Lid,
		}
		s.VolumeL += s.Sump.VolumeL()
		return s, nil
	}
	return s, &calc.ConflictError{
		Params: []string{"sump_length_mm", "sump_width_mm", "sump_depth_mm"},
		Reason: text.Of("sump_lengths_not_all_given", nil),
	}
}

// Rooms returns the three states of the room, assumed from the usual one where they are not said.
func (r Request) Rooms(usualC float64, coldestC, warmestC *float64) (coldest, usual, warmest heat.Surroundings,
	assumed []envelope.Assumption, err error) {
	cold, warm, assumed := RoomStates(usualC, coldestC, warmestC)
	for _, x := range []struct {
		into *heat.Surroundings
		at   float64
	}{{&coldest, cold}, {&usual, usualC}, {&warmest, warm}} {
		if *x.into, err = r.Surroundings(x.at); err != nil {
			return coldest, usual, warmest, nil, err
		}
	}
	return coldest, usual, warmest, assumed, nil
}

func (r Measures) Surroundings(roomC float64) (heat.Surroundings, error) {
	air, err := Air(roomC, r.RHPercent, r.AltitudeM)
	return heat.Surroundings{Air: air, AirSpeedMS: r.AirSpeedMS}, err
}

// Sources are those of what a tank's description assumes; the relations name their own.
var Sources = []string{"CommonPractice"}

// Note is what to know of the heat model as a whole.
var Note = text.Of("heat_model_not_measured", nil)

// Damp is what the vapour of a room does to a tank.
type Damp struct {
	DewPointC *float64 // nil below 0 °C
	Sweats    bool     // a wall, the rim or the bottom is colder than the dew point
}

// DampOf returns what the room's vapour does where the tank's outer faces are as in a balance.
func DampOf(air moistair.State, b heat.Flows) (Damp, error) {
	dew, err := DewPoint(air)
	out := Damp{DewPointC: dew}
	if dew == nil {
		return out, err
	}
	for _, v := range b.Vessels {
		for _, s := range v.Dry.Surfaces {
			out.Sweats = out.Sweats || s.Surface != heat.FreeSurface && s.AreaM2 > 0 && s.FaceC < *dew
		}
	}
	return out, nil
}

// DewPoint returns the temperature below which a surface in a room gets wet, nil where that is below 0 °C.
func DewPoint(air moistair.State) (*float64, error) {
	dew, err := air.DewPoint()
	if errors.Is(err, calc.ErrNoSolution) {
		return nil, nil
	}
	c := float64(dew)
	return &c, err
}

// BalanceWarnings are those of a heat balance in a damp room.
func BalanceWarnings(b heat.Flows, d Damp) []envelope.Warning {
	out := EvaporationWarnings(b.Evaporation)
	if d.Sweats {
		out = append(out, envelope.Warn(text.Of("tank_sweats", text.Params{"dew_point": *d.DewPointC}), ""))
	}
	return out
}

// Films are the numbers of a display's films, for their published ranges.
func Films(s heat.System, waterC float64, room heat.Surroundings) (map[string]float64, error) {
	return heat.FilmNumbers(s.Display, quantity.Celsius(waterC), room)
}

// FarthestFilms are those numbers for several rooms and temperatures of the water.
func FarthestFilms(s heat.System, exposures []heat.Exposure) (map[string]float64, error) {
	return heat.FarthestFilmNumbers(s.Display, exposures)
}

// EvaporationFactor is what the calibration found on this very tank.
type EvaporationFactor struct {
	EvapFactor  *float64 `json:"evaporation_factor,omitempty"`
	EvapPercent *float64 `json:"evaporation_uncertainty_percent,omitempty"`
}

// Given returns the factor and its uncertainty in per cent; 0 when nothing was measured.
func (m EvaporationFactor) Given() (factor, percent float64, err error) {
	switch {
	case m.EvapFactor == nil && m.EvapPercent != nil:
		return 0, 0, &calc.ConflictError{
			Params: []string{"evaporation_uncertainty_percent", "evaporation_factor"},
			Reason: text.Of("uncertainty_without_factor", nil),
		}
	case m.EvapFactor == nil:
		return 0, 0, nil
	case m.EvapPercent != nil:
		percent = *m.EvapPercent
	}
	return *m.EvapFactor, percent, nil
}

func EvaporationWarnings(e evaporation.Range) []envelope.Warning {
	var out []envelope.Warning
	if e.Condensing {
		out = append(out, envelope.Warn(text.Of("condensing", nil), ""))
	}
	if e.Low > 0 && e.High/e.Low > evaporation.WideSpread {
		out = append(out, envelope.Warn(text.Of("wide_spread", text.Params{"times": e.High / e.Low}), ""))
	}
	return out
}

// Air returns the air of a room.
func Air(tempC, rhPercent, altitudeM float64) (moistair.State, error) {
	pressure, err := moistair.StandardPressure(altitudeM)
	if err != nil {
		return moistair.State{}, err
	}
	return moistair.State{Temp: quantity.Celsius(tempC), RelativeHumidity: rhPercent / 100, Pressure: pressure}, nil
}

// RoomStates returns the coldest and warmest room, assumed from the usual one where they are not said.
func RoomStates(usualC float64, coldestC, warmestC *float64) (coldest, warmest float64,
	assumed []envelope.Assumption) {
	coldest, warmest = plan.OtherRoomsC(usualC)
	choose := func(said *float64, value *float64, name string, note text.Text) {
		if said != nil {
			*value = *said
			return
		}
		assumed = append(assumed, envelope.Assumption{Pointer: "#/" + name, Value: *value, Unit: "degC",
			Why: "common_practice", Source: "CommonPractice", Note: note})
	}
	choose(coldestC, &coldest, "coldest_c", plan.ColdestAssumed)
	choose(warmestC, &warmest, "warmest_c", plan.WarmestAssumed)
	return coldest, warmest, assumed
}
