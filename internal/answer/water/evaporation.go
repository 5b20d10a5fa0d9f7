package water

import (
	"context"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/tank"
	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

type evaporationRequest struct {
	LengthMM    float64 `json:"length_mm"`
	WidthMM     float64 `json:"width_mm"`
	WaterC      float64 `json:"water_c"`
	SalinityPSU float64 `json:"salinity_psu"`
	RoomC       float64 `json:"room_c"`
	RHPercent   float64 `json:"rh_percent"`
	AirSpeedMS  float64 `json:"air_speed_m_s"`
	AltitudeM   float64 `json:"altitude_m"`
	Lid         string  `json:"lid"`
	tank.EvaporationFactor
}

type evaporationResponse struct {
	LowLD       float64  `json:"low_l_d"`
	ExpectedLD  float64  `json:"expected_l_d"`
	HighLD      float64  `json:"high_l_d"`
	ExpectedKgH float64  `json:"expected_kg_h"`
	LatentW     float64  `json:"latent_w"`
	Condensing  bool     `json:"condensing"`
	CondensedLD float64  `json:"condensed_l_d"`
	DewPointC   *float64 `json:"dew_point_c,omitempty"`
	EnthalpyKJ  float64  `json:"room_enthalpy_kj_kg"`
}

func (r evaporationRequest) input() (evaporation.Surface, error) {
	air, err := tank.Air(r.RoomC, r.RHPercent, r.AltitudeM)
	if err != nil {
		return evaporation.Surface{}, err
	}
	lid, err := evaporation.LidFactor(evaporation.Lid(r.Lid))
	if err != nil {
		return evaporation.Surface{}, err
	}
	return evaporation.Surface{
		AreaM2:   r.LengthMM * r.WidthMM / quantity.SquareMMPerSquareMetre,
		Salinity: quantity.PracticalSalinity(r.SalinityPSU),
		Water:    quantity.Celsius(r.WaterC), Air: air, AirSpeedMS: r.AirSpeedMS, LidFactor: lid,
	}, nil
}

func newEvaporationResponse(e evaporation.Range, dew *float64, enthalpyKJ float64) evaporationResponse {
	return evaporationResponse{
		LowLD: evaporation.LitresPerDay(e.Low), ExpectedLD: evaporation.LitresPerDay(e.Expected),
		HighLD:      evaporation.LitresPerDay(e.High),
		ExpectedKgH: e.Expected, LatentW: e.Watts(e.Expected - e.Condensed.Expected), Condensing: e.Condensing,
		CondensedLD: evaporation.LitresPerDay(e.Condensed.Expected), DewPointC: dew, EnthalpyKJ: enthalpyKJ,
	}
}

// estimate is what the surface loses, by the correlations or as a measurement corrects them.
func (r evaporationRequest) estimate() (evaporation.Range, error) {
	in, err := r.input()
	if err != nil {
		return evaporation.Range{}, err
	}
	e, err := evaporation.Estimate(in)
	if err != nil {
		return evaporation.Range{}, err
	}
	factor, percent, err := r.Given()
	if err != nil || factor == 0 {
		return e, err
	}
	return e.Times(factor, percent)
}

// Evaporate is what a free surface loses.
func Evaporate(_ context.Context, r evaporationRequest) (envelope.Answer[evaporationResponse], error) {
	e, err := r.estimate()
	if err != nil {
		return envelope.Answer[evaporationResponse]{}, err
	}
	factor, _, err := r.Given()
	if err != nil {
		return envelope.Answer[evaporationResponse]{}, err
	}
	in, err := r.input()
	if err != nil {
		return envelope.Answer[evaporationResponse]{}, err
	}
	dew, err := tank.DewPoint(in.Air)
	if err != nil {
		return envelope.Answer[evaporationResponse]{}, err
	}
	enthalpy, err := in.Air.Enthalpy()
	if err != nil {
		return envelope.Answer[evaporationResponse]{}, err
	}
	out := newEvaporationResponse(e, dew, enthalpy)
	return envelope.Answer[evaporationResponse]{
		Result: out, Warnings: tank.EvaporationWarnings(e),
		Charts: func(u catalogue.Reader) ([]chart.Chart, error) {
			return evaporationChart(u, r.RHPercent, e, func(rhPercent float64) (evaporation.Range, error) {
				other := r
				other.RHPercent = rhPercent
				return other.estimate()
			})
		},
		Headline: evaporationHeadline(out), Details: evaporationDetails(out, factor > 0),
		KeyFigures: evaporationFigures(out), Actions: evaporationActions(out, factor > 0),
	}, nil
}

func evaporationHeadline(e evaporationResponse) text.Text {
	if e.Condensing {
		return text.Of("evaporation_none", text.Params{"water": e.CondensedLD})
	}
	return text.Of("evaporation_a_day",
		text.Params{"expected": e.ExpectedLD, "low": e.LowLD, "high": e.HighLD})
}

func evaporationDetails(e evaporationResponse, measured bool) text.Text {
	if e.Condensing {
		return text.Of("evaporation_brings_heat", text.Params{"heat": -e.LatentW})
	}
	doubt := text.Of("evaporation_spread_of_studies", nil)
	if measured {
		doubt = text.Of("evaporation_spread_of_yours", nil)
	}
	return text.Sentences(doubt, text.Of("evaporation_takes_heat", text.Params{"heat": e.LatentW}))
}

func evaporationFigures(e evaporationResponse) []envelope.KeyFigure {
	if e.Condensing {
		return nil
	}
	return []envelope.KeyFigure{
		{Label: text.Of("evaporation_expected_figure", nil), Value: e.ExpectedLD, Quantity: "volume_a_day"},
		{Label: text.Of("evaporation_least_figure", nil), Value: e.LowLD, Quantity: "volume_a_day"},
		{Label: text.Of("evaporation_most_figure", nil), Value: e.HighLD, Quantity: "volume_a_day"},
		{Label: text.Of("evaporation_heat_figure", nil), Value: e.LatentW, Quantity: "power"},
	}
}

func evaporationActions(e evaporationResponse, measured bool) []text.Text {
	if e.Condensing {
		return []text.Text{text.Of("evaporation_dry_the_air", nil)}
	}
	out := []text.Text{text.Of("evaporation_top_up", nil)}
	if !measured {
		out = append(out, text.Of("evaporation_measure", nil))
	}
	return out
}
