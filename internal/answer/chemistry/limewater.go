package chemistry

import (
	"context"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/carbonate"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

type limeRequest struct {
	VolumeL        float64  `json:"volume_l"`
	EvaporationLD  float64  `json:"evaporation_l_d"`
	ReservoirL     float64  `json:"reservoir_l"`
	Alkalinity     float64  `json:"alkalinity"`
	AlkalinityUnit string   `json:"alkalinity_unit"`
	PH             float64  `json:"ph"`
	PHScale        string   `json:"ph_scale"`
	Demand         *float64 `json:"demand,omitempty"`
	LimeC          float64  `json:"lime_water_c"`
	Strength       float64  `json:"strength_share"`
	NightH         float64  `json:"night_h"`
	SalinityPSU    float64  `json:"salinity_psu"`
	WaterC         float64  `json:"water_c"`
}

type limeResponse struct {
	MeqL            float64  `json:"lime_water_meq_l"`
	CalciumMgL      float64  `json:"lime_water_calcium_mg_l"`
	RiseDKHD        float64  `json:"rise_dkh_d"`
	RiseMgLD        float64  `json:"rise_calcium_mg_l_d"`
	Covered         *float64 `json:"demand_covered_share,omitempty"`
	PHNow           float64  `json:"ph_now"`
	PHAfterNight    float64  `json:"ph_after_night"`
	PHAllAtOnce     float64  `json:"ph_all_at_once"`
	OmegaNow        float64  `json:"omega_now"`
	OmegaAfterNight float64  `json:"omega_after_night"`
	OmegaAllAtOnce  float64  `json:"omega_all_at_once"`
	AllAtOncePSU    float64  `json:"salinity_all_at_once_psu"`
	Saturation      string   `json:"saturation_all_at_once"`
	LargestL        float64  `json:"largest_harmless_l"`
}

func (r limeRequest) input() (carbonate.LimeInput, error) {
	tank, err := carbonateRequest{
		Alkalinity: &r.Alkalinity, AlkalinityUnit: r.AlkalinityUnit, PH: &r.PH, PHScale: r.PHScale, BoronShare: 1,
		SalinityPSU: r.SalinityPSU, WaterC: r.WaterC,
	}.input()
	return carbonate.LimeInput{Tank: tank, VolumeL: r.VolumeL, EvaporationLD: r.EvaporationLD,
		ReservoirL: r.ReservoirL, LimeC: r.LimeC, Strength: r.Strength, NightH: r.NightH}, err
}

func newLimeResponse(l carbonate.LimeResult) limeResponse {
	return limeResponse{
		MeqL: l.MeqPerL, CalciumMgL: l.CalciumMgL, RiseDKHD: l.RiseDKHD, RiseMgLD: l.RiseMgLD,
		PHNow: l.Now.PHNBS, PHAfterNight: l.AfterNight.PHNBS, PHAllAtOnce: l.AllAtOnce.PHNBS,
		OmegaNow: l.Now.OmegaAragonite, OmegaAfterNight: l.AfterNight.OmegaAragonite,
		OmegaAllAtOnce: l.AllAtOnce.OmegaAragonite, AllAtOncePSU: l.AllAtOncePSU,
		Saturation: string(l.AllAtOnce.Saturation()), LargestL: l.LargestHarmlessL,
	}
}

// covered is what share of a demand the lime water brings; nil where none was stated.
func (r limeRequest) covered(in carbonate.LimeInput, l carbonate.LimeResult) (*float64, error) {
	if r.Demand == nil {
		return nil, nil
	}
	brought, err := carbonate.FromUnit(l.RiseDKHD, carbonate.DKH, in.Tank.Salinity, in.Tank.Water)
	if err != nil {
		return nil, err
	}
	rise, err := carbonate.ToUnit(brought, carbonate.Unit(r.AlkalinityUnit), in.Tank.Salinity, in.Tank.Water)
	if err != nil {
		return nil, err
	}
	share := rise / *r.Demand
	return &share, nil
}

// LimeWater is what lime water in the top-off does.
func LimeWater(_ context.Context, r limeRequest) (envelope.Answer[limeResponse], error) {
	in, err := r.input()
	if err != nil {
		return envelope.Answer[limeResponse]{}, err
	}
	l, err := carbonate.LimeWater(in)
	if err != nil {
		return envelope.Answer[limeResponse]{}, err
	}
	out := newLimeResponse(l)
	if out.Covered, err = r.covered(in, l); err != nil {
		return envelope.Answer[limeResponse]{}, err
	}
	details := []text.Text{text.Of("lime_brings", text.Params{"rise": l.RiseDKHD})}
	if out.Covered != nil {
		details = append(details, text.Of("lime_covers", text.Params{"covered": *out.Covered}))
	}
	details = append(details, text.Of("lime_night", text.Params{"ph": l.AfterNight.PHNBS}))
	headline := limeHeadline(in, l)
	return envelope.Answer[limeResponse]{
		Result: out, Headline: headline, Details: text.Sentences(details...),
		KeyFigures: []envelope.KeyFigure{
			{Label: text.Of("ph_all_at_once_figure", nil), Value: l.AllAtOnce.PHNBS, Quantity: "ph"},
			{Label: text.Of("largest_reservoir_figure", nil), Value: l.LargestHarmlessL, Quantity: "volume"},
			{Label: text.Of("lime_rise_figure", nil), Value: l.RiseDKHD, Quantity: "alkalinity_a_day"},
			{Label: text.Of("ph_after_night_figure", nil), Value: l.AfterNight.PHNBS, Quantity: "ph"},
		},
		Actions:  limeActions(in, l),
		Cautions: []envelope.Caution{envelope.CausticPowders}, Sources: []string{"Moras2022", "CommonPractice"},
		Note: text.Of("lime_water_without_air", nil),
		Charts: func(u catalogue.Reader) ([]chart.Chart, error) {
			c, err := limeChart(u, headline, in, l)
			return []chart.Chart{c}, err
		},
	}, nil
}

func limeHeadline(in carbonate.LimeInput, l carbonate.LimeResult) text.Text {
	switch ph := l.AllAtOnce.PHNBS; {
	case l.LargestHarmlessL == 0:
		return text.Of("lime_reservoir_never", text.Params{"volume": in.ReservoirL, "ph": ph})
	case in.ReservoirL > l.LargestHarmlessL:
		return text.Of("lime_reservoir_too_large", text.Params{"volume": in.ReservoirL, "ph": ph,
			"largest": l.LargestHarmlessL})
	default:
		return text.Of("lime_reservoir_harmless", text.Params{"volume": in.ReservoirL, "ph": ph,
			"saturation": l.AllAtOnce.OmegaAragonite})
	}
}

func limeActions(in carbonate.LimeInput, l carbonate.LimeResult) []text.Text {
	switch {
	case l.LargestHarmlessL == 0:
		return []text.Text{text.Of("lime_lower_first", nil)}
	case in.ReservoirL > l.LargestHarmlessL:
		return []text.Text{text.Of("lime_make_smaller", text.Params{"largest": l.LargestHarmlessL}),
			text.Of("lime_dose_at_night", nil), text.Of("lime_cover_the_reservoir", nil)}
	}
	return []text.Text{text.Of("lime_dose_at_night", nil), text.Of("lime_cover_the_reservoir", nil)}
}
