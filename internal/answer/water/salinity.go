// Package water answers questions of salinity, evaporation, top-off and flow.
package water

import (
	"context"
	"slices"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/seawater"
	"saltwright/internal/calc/text"
)

type salinityRequest struct {
	Scale              string  `json:"scale"`
	Value              float64 `json:"value"`
	SampleC            float64 `json:"sample_c"`
	Pair               string  `json:"sg_pair"`
	MeterPercentPerK   float64 `json:"meter_percent_per_k"`
	ReadingUncertainty float64 `json:"reading_uncertainty"`
}

type salinityReading struct {
	Scale          string    `json:"scale"`
	Value          float64   `json:"value"`
	Unit           string    `json:"unit"`
	Uncertainty    float64   `json:"uncertainty"`
	UncertaintyPSU float64   `json:"uncertainty_psu"`
	Text           text.Text `json:"text"`
}

type salinityResponse struct {
	PracticalPSU   float64           `json:"practical_psu"`
	UncertaintyPSU float64           `json:"uncertainty_psu"`
	Scales         []salinityReading `json:"scales"`
}

// pairNames maps the contract's names, which an address can hold, to the core's.
var pairNames = map[string]seawater.Pair{
	"unnamed": seawater.PairUnnamed, "20_20_c": seawater.Pair20, "25_25_c": seawater.Pair25,
	"60_60_f": seawater.Pair60F, "20_4_c": seawater.Pair20Over4,
}

func (r salinityRequest) input() seawater.ConversionInput {
	return seawater.ConversionInput{
		Scale: seawater.Scale(r.Scale), Value: r.Value, Sample: quantity.Celsius(r.SampleC), Pair: pairNames[r.Pair],
		MeterPercentPerK: r.MeterPercentPerK, ReadingUncertainty: r.ReadingUncertainty,
	}
}

func newSalinityResponse(c seawater.Conversion) salinityResponse {
	out := salinityResponse{
		PracticalPSU: float64(c.Practical), UncertaintyPSU: c.UncertaintyPSU,
		Scales: make([]salinityReading, 0, len(c.Readings)),
	}
	for _, r := range c.Readings {
		out.Scales = append(out.Scales, salinityReading{
			Scale: string(r.Scale), Value: r.Value, Unit: r.Unit, Uncertainty: r.Uncertainty,
			UncertaintyPSU: r.UncertaintyPSU, Text: text.Of(onScale[r.Scale],
				text.Params{"reading": text.Measured{Value: r.Value, Uncertainty: r.Uncertainty}}),
		})
	}
	return out
}

// ConvertSalinity is one reading on every scale.
func ConvertSalinity(_ context.Context, r salinityRequest) (envelope.Answer[salinityResponse], error) {
	c, err := seawater.Convert(r.input())
	if err != nil {
		return envelope.Answer[salinityResponse]{}, err
	}
	a := envelope.Answer[salinityResponse]{
		Result: newSalinityResponse(c), Headline: salinityHeadline(r, c), Details: salinityDetails(r, c),
		KeyFigures: salinityFigures(c),
	}
	if !c.Slip.IsZero() {
		a.Warnings = append(a.Warnings, envelope.Warn(c.Slip, "#/scale"))
		a.Actions = append(a.Actions, text.Of("salinity_send_again", nil))
	}
	for _, n := range c.Notes {
		a.Warnings = append(a.Warnings, envelope.Warn(n, ""))
		switch n.Code {
		case "pair_not_named":
			a.Actions = append(a.Actions, text.Of("salinity_find_pair", nil))
		case "brine_scale":
			a.Actions = append(a.Actions, text.Of("salinity_find_scale", nil))
		case "linear_compensation":
			a.Actions = append(a.Actions, text.Of("salinity_measure_warm", text.Params{"best": 25.0}))
		}
	}
	return a, nil
}

// on returns what the water reads on a scale.
func on(c seawater.Conversion, scale seawater.Scale) float64 {
	i := slices.IndexFunc(c.Readings, func(r seawater.Reading) bool { return r.Scale == scale })
	return c.Readings[i].Value
}

func salinityHeadline(r salinityRequest, c seawater.Conversion) text.Text {
	pair := pairNames[r.Pair]
	if pair == seawater.PairUnnamed {
		pair = seawater.Pair25
	}
	salinity := text.Measured{Value: float64(c.Practical), Uncertainty: c.UncertaintyPSU}
	if !c.Slip.IsZero() {
		return text.Of("salinity_as_sent", text.Params{"salinity": salinity, "meant": c.Slip.Params["salinity"]})
	}
	return text.Of("salinity_is", text.Params{"salinity": salinity, "gravity": on(c, seawater.ScaleSpecificGravity),
		"pair": string(pair), "conductivity": on(c, seawater.ScaleConductivity25), "at": 25.0})
}

func salinityDetails(r salinityRequest, c seawater.Conversion) text.Text {
	return text.Of("salinity_as_salt", text.Params{"salt": on(c, seawater.ScaleAbsolute), "temperature": r.SampleC,
		"density": on(c, seawater.ScaleDensity)})
}

func salinityFigures(c seawater.Conversion) []envelope.KeyFigure {
	return []envelope.KeyFigure{
		{Label: text.Of("salinity_figure", nil), Value: float64(c.Practical), Quantity: "salinity"},
		{Label: text.Of("salinity_gravity_figure", nil), Value: on(c, seawater.ScaleSpecificGravity),
			Quantity: "specific_gravity"},
		{Label: text.Of("salinity_conductivity_figure", text.Params{"at": 25.0}),
			Value: on(c, seawater.ScaleConductivity25), Quantity: "conductivity"},
		{Label: text.Of("salinity_salt_figure", nil), Value: on(c, seawater.ScaleAbsolute), Quantity: "salinity_g_kg"},
	}
}

// onScale is the code that writes a reading of each scale, with its uncertainty.
var onScale = map[seawater.Scale]string{
	seawater.ScalePractical: "reading_of_salinity", seawater.ScaleRefractometerSeawater: "reading_of_salinity",
	seawater.ScaleAbsolute: "reading_of_salt", seawater.ScaleChlorinity: "reading_of_salt",
	seawater.ScaleRefractometerBrine: "reading_of_salt", seawater.ScaleGramsPerLitre: "reading_of_salt_in_a_litre",
	seawater.ScaleDensity: "reading_of_density", seawater.ScaleSpecificGravity: "reading_of_specific_gravity",
	seawater.ScaleSpecificGravityAsRead: "reading_of_specific_gravity",
	seawater.ScaleConductivity:          "reading_of_conductivity",
	seawater.ScaleConductivity25:        "reading_of_conductivity",
	seawater.ScaleMeter25:               "reading_of_conductivity",
	seawater.ScaleRefractiveIndex:       "reading_of_refractive_index",
}
