package water

import (
	"context"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/mixing"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

type saltMixRequest struct {
	VolumeL    float64  `json:"volume_l"`
	VolumeIs   string   `json:"volume_is"`
	TargetPSU  float64  `json:"target_psu"`
	StartPSU   float64  `json:"start_psu"`
	WaterC     float64  `json:"water_c"`
	YieldGL    *float64 `json:"yield_g_l,omitempty"`
	YieldPSU   float64  `json:"yield_psu"`
	BoundWater float64  `json:"bound_water_percent"`
}

type saltMixResponse struct {
	SaltKg         float64 `json:"salt_kg"`
	AnhydrousKg    float64 `json:"anhydrous_kg"`
	WaterL         float64 `json:"water_l"`
	FinishedL      float64 `json:"finished_l"`
	FinishedKg     float64 `json:"finished_kg"`
	SaltGL         float64 `json:"salt_g_l"`
	DensityKgM3    float64 `json:"density_kg_m3"`
	SpecificG      float64 `json:"specific_gravity_25_25"`
	ConductivityMS float64 `json:"conductivity_25_ms_cm"`
}

func (r saltMixRequest) input() mixing.MixInput {
	in := mixing.MixInput{
		VolumeL: r.VolumeL, Basis: mixing.Basis(r.VolumeIs), Target: quantity.PracticalSalinity(r.TargetPSU),
		Start: quantity.PracticalSalinity(r.StartPSU),
		Water: quantity.Celsius(r.WaterC), BoundPct: r.BoundWater,
	}
	if r.YieldGL != nil {
		in.Yield = &mixing.Yield{GramsPerLitre: *r.YieldGL, Salinity: quantity.PracticalSalinity(r.YieldPSU)}
	}
	return in
}

func newSaltMixResponse(m mixing.MixResult) saltMixResponse {
	return saltMixResponse{
		SaltKg: m.SaltKg, AnhydrousKg: m.AnhydrousKg, WaterL: m.WaterL, FinishedL: m.FinishedL,
		FinishedKg: m.FinishedKg, SaltGL: m.SaltPerLitreG,
		DensityKgM3: m.Density, SpecificG: m.SpecificGravity25, ConductivityMS: m.Conductivity25,
	}
}

// MixSalt is the salt and the water for new salt water.
func MixSalt(_ context.Context, r saltMixRequest) (envelope.Answer[saltMixResponse], error) {
	m, err := mixing.SaltMix(r.input())
	if err != nil {
		return envelope.Answer[saltMixResponse]{}, err
	}
	a := envelope.Answer[saltMixResponse]{
		Result: newSaltMixResponse(m), Sources: []string{"CommonPractice"},
		Cautions: []envelope.Caution{envelope.MainsNearWater, envelope.FreshMix, envelope.HeavyWater},
		Headline: text.Of("mix_recipe", text.Params{"water": m.WaterL, "salt": m.SaltKg, "finished": m.FinishedL,
			"target": r.TargetPSU}),
		Details: text.Of("mix_check_by", text.Params{"gravity": m.SpecificGravity25, "conductivity": m.Conductivity25,
			"at": 25.0}),
		KeyFigures: mixFigures(m),
		Actions: []text.Text{text.Of("mix_begin_with_less", nil), text.Of("mix_measure", nil),
			text.Of("mix_bring_to_temperature", nil)},
	}
	if r.YieldGL == nil && r.BoundWater == 0 {
		a.Warnings = append(a.Warnings, envelope.Warn(text.Of("ideal_salt", nil), "#/yield_g_l"))
	}
	return a, nil
}

func mixFigures(m mixing.MixResult) []envelope.KeyFigure {
	return []envelope.KeyFigure{
		{Label: text.Of("mix_salt_figure", nil), Value: m.SaltKg, Quantity: "mass"},
		{Label: text.Of("mix_water_figure", nil), Value: m.WaterL, Quantity: "volume"},
		{Label: text.Of("mix_finished_figure", nil), Value: m.FinishedL, Quantity: "volume"},
		{Label: text.Of("mix_gravity_figure", nil), Value: m.SpecificGravity25, Quantity: "specific_gravity"},
	}
}
