package water

import (
	"context"
	"fmt"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/mixing"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/catalogue"
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
		Summary: func(u catalogue.Units) string {
			return fmt.Sprintf("Pour %s of water, then stir in %s of salt: that makes %s of salinity %.1f, %.1f g of "+
				"salt in a litre. Begin with a little less, stir until clear, measure, and add the rest.",
				catalogue.Number(m.WaterL, "L", u), catalogue.Number(m.SaltKg, "kg", u),
				catalogue.Number(m.FinishedL, "L", u),
				r.TargetPSU, m.SaltPerLitreG)
		},
	}
	if r.YieldGL == nil && r.BoundWater == 0 {
		a.Warnings = append(a.Warnings, envelope.Warning{Code: "ideal_salt", Pointer: "#/yield_g_l",
			Message: "This is sea salt without any water in it. Mixes for sale hold some and take 5 to 15 per cent " +
				"more by common practice: give the yield on the label."})
	}
	return a, nil
}
