// Package water answers questions of salinity, evaporation, top-off and flow.
package water

import (
	"context"
	"fmt"
	"slices"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/seawater"
	"saltwright/internal/catalogue"
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
	Scale          string  `json:"scale"`
	Value          float64 `json:"value"`
	Unit           string  `json:"unit"`
	Uncertainty    float64 `json:"uncertainty"`
	UncertaintyPSU float64 `json:"uncertainty_psu"`
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
			UncertaintyPSU: r.UncertaintyPSU,
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
	out := newSalinityResponse(c)
	pair := pairNames[r.Pair]
	if pair == seawater.PairUnnamed {
		pair = seawater.Pair25
	}
	a := envelope.Answer[salinityResponse]{
		Result: out,
		Summary: func(u catalogue.Units) string {
			on := func(scale seawater.Scale) float64 {
				i := slices.IndexFunc(c.Readings, func(r seawater.Reading) bool { return r.Scale == scale })
				return c.Readings[i].Value
			}
			return fmt.Sprintf("This water has a practical salinity of %.2f (± %.2f): %.2f g/kg, specific gravity "+
				"%.4f at %s, %.1f mS/cm at 25 °C; at %s its density is %.2f kg/m³.",
				out.PracticalPSU, out.UncertaintyPSU, on(seawater.ScaleAbsolute), on(seawater.ScaleSpecificGravity),
				pair,
				on(seawater.ScaleConductivity25), catalogue.Number(r.SampleC, "degC", u), on(seawater.ScaleDensity))
		},
	}
	for _, n := range c.Notes {
		a.Warnings = append(a.Warnings, envelope.Warning{Code: string(n.Code), Message: n.Sentence})
	}
	return a, nil
}
