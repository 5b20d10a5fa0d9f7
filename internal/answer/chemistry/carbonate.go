// Package chemistry answers what the water holds, and what is dosed, changed and mixed into it.
package chemistry

import (
	"context"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/carbonate"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

type carbonateRequest struct {
	Alkalinity     *float64 `json:"alkalinity,omitempty"`
	AlkalinityUnit string   `json:"alkalinity_unit"`
	PH             *float64 `json:"ph,omitempty"`
	PHScale        string   `json:"ph_scale"`
	PCO2Uatm       *float64 `json:"pco2_uatm,omitempty"`
	CarbonUmolKg   *float64 `json:"dissolved_carbon_umol_kg,omitempty"`
	CalciumMgL     *float64 `json:"calcium_mg_l,omitempty"`
	BoronShare     float64  `json:"boron_share"`
	SalinityPSU    float64  `json:"salinity_psu"`
	WaterC         float64  `json:"water_c"`
}

type carbonateResponse struct {
	AlkalinityDKH     float64 `json:"alkalinity_dkh"`
	AlkalinityMeqL    float64 `json:"alkalinity_meq_l"`
	AlkalinityMgL     float64 `json:"alkalinity_mg_l_caco3"`
	AlkalinityUmolKg  float64 `json:"alkalinity_umol_kg"`
	CarbonUmolKg      float64 `json:"dissolved_carbon_umol_kg"`
	PHTotal           float64 `json:"ph_total"`
	PHFree            float64 `json:"ph_free"`
	PHNBS             float64 `json:"ph_nbs"`
	PCO2Uatm          float64 `json:"pco2_uatm"`
	FCO2Uatm          float64 `json:"fco2_uatm"`
	AirPPM            float64 `json:"air_co2_ppm"`
	DioxideUmolKg     float64 `json:"carbon_dioxide_umol_kg"`
	BicarbonateUmolKg float64 `json:"bicarbonate_umol_kg"`
	CarbonateUmolKg   float64 `json:"carbonate_umol_kg"`
	BorateUmolKg      float64 `json:"borate_umol_kg"`
	HydroxideUmolKg   float64 `json:"hydroxide_umol_kg"`
	CalciumMgL        float64 `json:"calcium_mg_l"`
	OmegaAragonite    float64 `json:"omega_aragonite"`
	OmegaCalcite      float64 `json:"omega_calcite"`
	Saturation        string  `json:"saturation"`
}

func (r carbonateRequest) input() (carbonate.Input, error) {
	in := carbonate.Input{
		Salinity: quantity.PracticalSalinity(r.SalinityPSU), Water: quantity.Celsius(r.WaterC),
		BoronShare: r.BoronShare, CarbonKg: r.CarbonUmolKg, PCO2Microatm: r.PCO2Uatm,
	}
	if r.Alkalinity != nil {
		kg, err := carbonate.FromUnit(*r.Alkalinity, carbonate.Unit(r.AlkalinityUnit), in.Salinity, in.Water)
		if err != nil {
			return in, err
		}
		in.AlkalinityKg = &kg
	}
	if r.PH != nil {
		k, err := carbonate.ConstantsAt(in.Salinity, in.Water)
		if err != nil {
			return in, err
		}
		total, err := k.OnTotal(*r.PH, carbonate.Scale(r.PHScale))
		if err != nil {
			return in, err
		}
		in.PHTotal = &total
	}
	if r.CalciumMgL != nil {
		var err error
		if in.CalciumMolKg, err = carbonate.CalciumMolKg(*r.CalciumMgL, in.Salinity, in.Water); err != nil {
			return in, err
		}
	}
	return in, nil
}

// assumed is the calcium that nobody measured.
func (r carbonateRequest) assumed(s carbonateResponse) []envelope.Assumption {
	if r.CalciumMgL != nil {
		return nil
	}
	return []envelope.Assumption{{Pointer: "#/calcium_mg_l", Value: s.CalciumMgL, Unit: "mg/L", Why: "source",
		Source: "Dickson2007", Note: text.Of("assumed_calcium_of_sea_water", nil)}}
}

func newCarbonateResponse(in carbonate.Input, s carbonate.State) (carbonateResponse, error) {
	out := carbonateResponse{
		AlkalinityUmolKg: s.Alkalinity, CarbonUmolKg: s.Carbon, PHTotal: s.PHTotal, PHFree: s.PHFree, PHNBS: s.PHNBS,
		PCO2Uatm: s.PCO2, FCO2Uatm: s.FCO2, DioxideUmolKg: s.CarbonDioxide, BicarbonateUmolKg: s.Bicarbonate,
		CarbonateUmolKg: s.Carbonate, BorateUmolKg: s.Borate, HydroxideUmolKg: s.Hydroxide,
		OmegaAragonite: s.OmegaAragonite, OmegaCalcite: s.OmegaCalcite, Saturation: string(s.Saturation()),
	}
	for unit, place := range map[carbonate.Unit]*float64{carbonate.DKH: &out.AlkalinityDKH,
		carbonate.MeqPerLitre: &out.AlkalinityMeqL, carbonate.MgPerLitre: &out.AlkalinityMgL} {
		value, err := carbonate.ToUnit(s.Alkalinity, unit, in.Salinity, in.Water)
		if err != nil {
			return out, err
		}
		*place = value
	}
	var err error
	if out.CalciumMgL, err = carbonate.CalciumMgL(s.CalciumMolKg, in.Salinity, in.Water); err != nil {
		return out, err
	}
	out.AirPPM, err = carbonate.AirPPM(s.PCO2, in.Salinity, in.Water)
	return out, err
}

// Carbonate is the whole carbonate system of a water of which two quantities are known.
func Carbonate(_ context.Context, r carbonateRequest) (envelope.Answer[carbonateResponse], error) {
	in, err := r.input()
	if err != nil {
		return envelope.Answer[carbonateResponse]{}, err
	}
	s, err := carbonate.Solve(in)
	if err != nil {
		return envelope.Answer[carbonateResponse]{}, err
	}
	out, err := newCarbonateResponse(in, s)
	if err != nil {
		return envelope.Answer[carbonateResponse]{}, err
	}
	headline := carbonateHeadline(s)
	a := envelope.Answer[carbonateResponse]{
		Result: out, Headline: headline,
		Details: text.Sentences(
			text.Of("carbonate_state",
				text.Params{"ph": s.PHTotal, "probe": s.PHNBS, "alkalinity": out.AlkalinityDKH}),
			text.Of("carbonate_air", text.Params{"share": out.AirPPM}), probeDetail(in)),
		KeyFigures: []envelope.KeyFigure{
			{Label: text.Of("saturation_of_aragonite_figure", nil), Value: s.OmegaAragonite, Quantity: "saturation"},
			{Label: text.Of("ph_on_a_probe_figure", nil), Value: s.PHNBS, Quantity: "ph"},
			{Label: text.Of("ph_total_figure", nil), Value: s.PHTotal, Quantity: "ph"},
			{Label: text.Of("alkalinity_figure", nil), Value: out.AlkalinityDKH, Quantity: "alkalinity"},
			{Label: text.Of("carbon_dioxide_of_air_figure", nil), Value: out.AirPPM, Quantity: "gas_share"},
		},
		Actions: carbonateActions(s, out.AirPPM), Assumptions: r.assumed(out),
		Sources: []string{"Moras2022", "CommonPractice"},
		Note:    text.Of("carbonate_left_out", nil),
		Charts: func(u catalogue.Reader) ([]chart.Chart, error) {
			c, err := airChart(u, headline, in, s, out.AirPPM)
			return []chart.Chart{c}, err
		},
	}
	if out.AirPPM > stuffyPPM {
		a.Cautions = []envelope.Caution{envelope.CarbonDioxide}
	}
	return a, nil
}

// Common practice, no source: room air above 1000 ppm calls for a window; below 250 ppm a tank with livestock would be
// a surprise, and so a wrong reading is likelier.
const (
	stuffyPPM   = 1000
	unlikelyPPM = 250
)

func carbonateHeadline(s carbonate.State) text.Text {
	params := text.Params{"saturation": s.OmegaAragonite}
	switch s.Saturation() {
	case carbonate.Dissolving:
		return text.Of("carbonate_dissolves", params)
	case carbonate.NearTheLimit:
		return text.Of("carbonate_near_the_limit", params)
	case carbonate.FallingOut:
		return text.Of("carbonate_falls_out", params)
	}
	return text.Of("carbonate_stays", params)
}

// probeDetail tells what a pH that is 0.1 wrong would change.
func probeDetail(in carbonate.Input) text.Text {
	if in.PHTotal == nil {
		return text.Text{}
	}
	var omega [2]float64
	for i, off := range []float64{-0.1, 0.1} {
		moved := *in.PHTotal + off
		other := in
		other.PHTotal = &moved
		s, err := carbonate.Solve(other)
		if err != nil { // at the edge of what is possible there is nothing to say
			return text.Text{}
		}
		omega[i] = s.OmegaAragonite
	}
	return text.Of("carbonate_probe", text.Params{"low": min(omega[0], omega[1]), "high": max(omega[0], omega[1])})
}

func carbonateActions(s carbonate.State, airPPM float64) []text.Text {
	var out []text.Text
	switch s.Saturation() {
	case carbonate.FallingOut:
		out = append(out, text.Of("carbonate_stop_dosing", nil), text.Of("carbonate_do_not_stir_up", nil))
	case carbonate.NearTheLimit:
		out = append(out, text.Of("carbonate_raise_no_further", nil))
	}
	switch {
	case airPPM > stuffyPPM:
		out = append(out, text.Of("carbonate_air_the_room", nil))
	case airPPM < unlikelyPPM:
		out = append(out, text.Of("carbonate_check_the_probe", nil))
	}
	if s.Saturation() == carbonate.Dissolving {
		out = append(out, text.Of("carbonate_measure_again", nil))
	}
	return out
}
