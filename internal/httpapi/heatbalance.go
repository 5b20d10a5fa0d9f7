package httpapi

import (
	"context"
	"fmt"
	"maps"

	"saltwright/internal/calc"
	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/quantity"
)

// tankRequest is a tank as every heat calculation takes it.
type tankRequest struct {
	tankMeasures
	measuredEvaporationFactor
	DryLossFactor float64 `json:"dry_loss_factor"`
}

// tankMeasures is a tank, what runs on it and the air it stands in.
type tankMeasures struct {
	LengthMM       float64  `json:"length_mm"`
	WidthMM        float64  `json:"width_mm"`
	WaterDepthMM   float64  `json:"water_depth_mm"`
	FreeboardMM    float64  `json:"freeboard_mm"`
	WallMM         float64  `json:"wall_mm"`
	Material       string   `json:"material"`
	Lid            string   `json:"lid"`
	RockShare      float64  `json:"rock_share"`
	SumpLengthMM   *float64 `json:"sump_length_mm,omitempty"`
	SumpWidthMM    *float64 `json:"sump_width_mm,omitempty"`
	SumpDepthMM    *float64 `json:"sump_depth_mm,omitempty"`
	SalinityPSU    float64  `json:"salinity_psu"`
	RHPercent      float64  `json:"rh_percent"`
	AirSpeedMS     float64  `json:"air_speed_m_s"`
	AltitudeM      float64  `json:"altitude_m"`
	PumpsW         float64  `json:"pumps_w"`
	PumpsHeatShare float64  `json:"pumps_heat_share"`
	LightsW        float64  `json:"lights_w"`
	LightsHeat     float64  `json:"lights_heat_share"`
	LightsHours    float64  `json:"lights_hours_per_day"`
}

type heatBalanceRequest struct {
	tankRequest
	WaterC float64 `json:"water_c"`
	RoomC  float64 `json:"room_c"`
	Gains  string  `json:"gains"`
}

type surfaceLoss struct {
	Vessel  string  `json:"vessel"`
	Surface string  `json:"surface"`
	AreaM2  float64 `json:"area_m2"`
	FaceC   float64 `json:"face_c"`
	LossW   float64 `json:"loss_w"`
}

type heatBalanceResponse struct {
	Surfaces       []surfaceLoss `json:"surfaces"`
	DryW           float64       `json:"dry_w"`
	LatentLowW     float64       `json:"latent_low_w"`
	LatentW        float64       `json:"latent_w"`
	LatentHighW    float64       `json:"latent_high_w"`
	GainsW         float64       `json:"gains_w"`
	NetLowW        float64       `json:"net_low_w"`
	NetW           float64       `json:"net_w"`
	NetHighW       float64       `json:"net_high_w"`
	EnergyKWhD     float64       `json:"energy_kwh_d"`
	EvaporationLD  float64       `json:"evaporation_l_d"`
	VolumeL        float64       `json:"volume_l"`
	DryUAWK        float64       `json:"dry_ua_w_k"`
	UAWK           float64       `json:"ua_w_k"`
	HeatCapacityKJ float64       `json:"heat_capacity_kj_k"`
	TimeConstantH  float64       `json:"time_constant_h"`
}

// system returns the tank as the heat balance knows it, corrected by what was measured on it.
func (r tankRequest) system() (heat.System, error) {
	s, err := r.tankMeasures.system()
	if err != nil {
		return s, err
	}
	c := &heat.Correction{DryFactor: r.DryLossFactor}
	c.EvaporationFactor, c.EvaporationRatio, err = r.given()
	s.Correction = c
	return s, err
}

func (r tankMeasures) system() (heat.System, error) {
	s := heat.System{
		Display: heat.Vessel{
			LengthM: r.LengthMM / mmPerM, WidthM: r.WidthMM / mmPerM, WaterDepthM: r.WaterDepthMM / mmPerM,
			HeightM: (r.WaterDepthMM + r.FreeboardMM) / mmPerM, WallM: r.WallMM / mmPerM,
			Material: heat.Material(r.Material), Lid: evaporation.Lid(r.Lid),
		},
		VolumeL:  r.LengthMM * r.WidthMM * r.WaterDepthMM / 1e6 * (1 - r.RockShare),
		Salinity: quantity.PracticalSalinity(r.SalinityPSU),
		Gains: []heat.Gain{
			{Name: "pumps", PowerW: r.PumpsW, WaterShare: r.PumpsHeatShare, HoursPerDay: 24},
			{Name: "lights", PowerW: r.LightsW, WaterShare: r.LightsHeat, HoursPerDay: r.LightsHours},
		},
	}
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
			LengthM: *r.SumpLengthMM / mmPerM, WidthM: *r.SumpWidthMM / mmPerM, WaterDepthM: *r.SumpDepthMM / mmPerM,
			HeightM: (*r.SumpDepthMM + sumpFreeboardMM) / mmPerM, WallM: r.WallMM / mmPerM,
			Material: heat.Material(r.Material), Lid: evaporation.Lid(r.Lid),
		}
		s.VolumeL += *r.SumpLengthMM * *r.SumpWidthMM * *r.SumpDepthMM / 1e6
		return s, nil
	}
	return s, &calc.ConflictError{
		Params: []string{"sump_length_mm", "sump_width_mm", "sump_depth_mm"},
		Reason: "give all three lengths of the sump, or none where there is no sump",
	}
}

// sumpFreeboardMM is the sump's wall above its water; common practice, no source.
const sumpFreeboardMM = 150.0

// rooms returns the three states of the room, assumed from the usual one where they are not said.
func (r tankRequest) rooms(usualC float64, coldestC, warmestC *float64) (coldest, usual, warmest heat.Surroundings, assumed []assumption, err error) {
	cold, warm, assumed := roomStates(usualC, coldestC, warmestC)
	for _, x := range []struct {
		into *heat.Surroundings
		at   float64
	}{{&coldest, cold}, {&usual, usualC}, {&warmest, warm}} {
		if *x.into, err = r.surroundings(x.at); err != nil {
			return coldest, usual, warmest, nil, err
		}
	}
	return coldest, usual, warmest, assumed, nil
}

func (r tankMeasures) surroundings(roomC float64) (heat.Surroundings, error) {
	air, err := airOf(roomC, r.RHPercent, r.AltitudeM)
	return heat.Surroundings{Air: air, AirSpeedMS: r.AirSpeedMS}, err
}

func (r heatBalanceRequest) input() (heat.BalanceInput, error) {
	system, err := r.system()
	if err != nil {
		return heat.BalanceInput{}, err
	}
	room, err := r.surroundings(r.RoomC)
	if err != nil {
		return heat.BalanceInput{}, err
	}
	return heat.BalanceInput{System: system, Water: quantity.Celsius(r.WaterC), Room: room, Gains: heat.GainsOn(r.Gains)}, nil
}

func newHeatBalanceResponse(b heat.BalanceResult, volumeL float64) heatBalanceResponse {
	out := heatBalanceResponse{
		Surfaces: []surfaceLoss{}, DryW: b.DryW, LatentLowW: b.LatentW.Low, LatentW: b.LatentW.Expected, LatentHighW: b.LatentW.High,
		GainsW: b.GainsW, NetLowW: b.NetW.Low, NetW: b.NetW.Expected, NetHighW: b.NetW.High, EnergyKWhD: b.EnergyKWhPerDay,
		EvaporationLD: b.EvaporatedLPerDay.Expected, VolumeL: volumeL, DryUAWK: b.DrySlopeWPerK, UAWK: b.UAWPerK,
		HeatCapacityKJ: b.HeatCapacityJPerK / 1000, TimeConstantH: b.TimeConstantH,
	}
	for _, v := range b.Vessels {
		for _, s := range v.Dry.Surfaces {
			out.Surfaces = append(out.Surfaces, surfaceLoss{Vessel: v.Vessel, Surface: string(s.Surface), AreaM2: s.AreaM2, FaceC: s.FaceC, LossW: s.W})
		}
	}
	return out
}

// tankRename names what the balance derives from a tank's measures.
var tankRename = map[string]string{
	"height_m": "water_depth_mm freeboard_mm", "volume_l": "length_mm width_mm water_depth_mm", "evaporation_uncertainty_ratio": "evaporation_uncertainty_percent",
}

// with returns a rename map with more in it.
func with(base, more map[string]string) map[string]string {
	out := maps.Clone(base)
	maps.Copy(out, more)
	return out
}

var heatSources = []string{"ASHRAEApplications", "CommonPractice", "Derived", "ISO10456", "Incropera2007", "Shah2014", "SmithLofJones1998"}

// heatBalance is what a tank loses and gains at one water temperature.
func heatBalance(_ context.Context, r heatBalanceRequest) (answer[heatBalanceResponse], error) {
	in, err := r.input()
	if err != nil {
		return answer[heatBalanceResponse]{}, err
	}
	b, err := heat.Balance(in)
	if err != nil {
		return answer[heatBalanceResponse]{}, err
	}
	return answer[heatBalanceResponse]{
		Result: newHeatBalanceResponse(b, in.System.VolumeL), Sources: heatSources, Warnings: balanceWarnings(b.Flows),
		Summary: func(u units) string {
			action := "needs " + text(b.NetW.Expected, "W", u) + " of heating"
			if b.NetW.Expected < 0 {
				action = "needs " + text(-b.NetW.Expected, "W", u) + " of cooling"
			}
			return fmt.Sprintf("At %s in a room of %s the tank loses %s through walls and surface and %s by evaporation, gains %s from pumps and lights, and %s to stay there.",
				text(r.WaterC, "degC", u), text(r.RoomC, "degC", u), text(b.DryW, "W", u), text(b.LatentW.Expected, "W", u), text(b.GainsW, "W", u), action)
		},
	}, nil
}

func balanceWarnings(b heat.Flows) []warning {
	return evaporationWarnings(b.Evaporation)
}
