package water

import (
	"context"
	"math"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc"
	"saltwright/internal/calc/instrument"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/seawater"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

type instrumentReadingRequest struct {
	Scale               string   `json:"scale"`
	Reading             float64  `json:"reading"`
	SampleC             float64  `json:"sample_c"`
	SampleUncertaintyK  float64  `json:"sample_uncertainty_k"`
	Pair                string   `json:"sg_pair"`
	MeterPercentPerK    float64  `json:"meter_percent_per_k"`
	ReadingUncertainty  *float64 `json:"reading_uncertainty,omitempty"`
	DriftPSUMonth       *float64 `json:"drift_psu_month,omitempty"`
	Fluid               string   `json:"fluid"`
	FluidValue          *float64 `json:"fluid_value,omitempty"`
	FluidUncertaintyPSU float64  `json:"fluid_uncertainty_psu"`
	FluidC              float64  `json:"fluid_c"`
	Shown               *float64 `json:"shown,omitempty"`
	DaysAgo             float64  `json:"days_ago"`
}

type instrumentPart struct {
	Cause  string    `json:"cause"`
	PSU    float64   `json:"psu"`
	Share  float64   `json:"share"`
	Advice text.Text `json:"advice"`
}

type instrumentReadingResponse struct {
	LikelyPSU      float64          `json:"likely_psu"`
	UncertaintyPSU float64          `json:"uncertainty_psu"`
	Low95PSU       float64          `json:"low_95_psu"`
	High95PSU      float64          `json:"high_95_psu"`
	FaceValuePSU   float64          `json:"face_value_psu"`
	ErrorPSU       *float64         `json:"error_psu,omitempty"`
	ShouldShow     *float64         `json:"fluid_should_show,omitempty"`
	FluidError     *float64         `json:"fluid_error,omitempty"`
	Parts          []instrumentPart `json:"parts"`
	BrineGKg       float64          `json:"brine_for_35_g_kg"`
	BrineSaltG     float64          `json:"brine_for_35_g_per_kg_water"`
}

func (r instrumentReadingRequest) input() (instrument.Input, error) {
	in := instrument.Input{
		Scale: seawater.Scale(r.Scale), Reading: r.Reading, Sample: quantity.Celsius(r.SampleC),
		SampleUncertaintyK: r.SampleUncertaintyK,
		Pair:               pairNames[r.Pair], MeterPercentPerK: r.MeterPercentPerK,
		ReadingUncertainty: r.ReadingUncertainty,
		DriftPSUPerMonth:   r.DriftPSUMonth,
	}
	if r.Fluid == "none" {
		if r.Shown != nil || r.FluidValue != nil {
			return in, &calc.ConflictError{Params: []string{"fluid", "fluid_value", "shown"},
				Reason: text.Of("instrument_fluid_missing", nil)}
		}
		return in, nil
	}
	if r.Shown == nil || r.FluidValue == nil && r.Fluid != string(instrument.PureWater) {
		return in, &calc.ConflictError{Params: []string{"fluid_value", "shown"},
			Reason: text.Of("instrument_fluid_value_missing", nil)}
	}
	in.Calibration = &instrument.Calibration{
		Fluid: instrument.Fluid(r.Fluid), UncertaintyPSU: r.FluidUncertaintyPSU, Shown: *r.Shown,
		FluidC: quantity.Celsius(r.FluidC), DaysAgo: r.DaysAgo,
	}
	if r.FluidValue != nil {
		in.Calibration.Value = *r.FluidValue
	}
	return in, nil
}

func newInstrumentReadingResponse(i instrument.Result, checked bool) instrumentReadingResponse {
	out := instrumentReadingResponse{
		LikelyPSU: i.LikelyPSU, UncertaintyPSU: i.UncertaintyPSU, Low95PSU: i.Low95, High95PSU: i.High95,
		FaceValuePSU: i.FaceValuePSU, Parts: []instrumentPart{}, BrineGKg: i.BrineFor35GKg,
		BrineSaltG: i.BrinePerKgG,
	}
	if checked {
		out.ErrorPSU, out.ShouldShow, out.FluidError = &i.FluidErrorPSU, &i.FluidShouldBe, &i.FluidError
	}
	for _, p := range i.Parts {
		out.Parts = append(out.Parts, instrumentPart(p))
	}
	return out
}

// ReadInstrument is what a salinity instrument's reading is worth.
func ReadInstrument(_ context.Context, r instrumentReadingRequest) (envelope.Answer[instrumentReadingResponse],
	error) {
	in, err := r.input()
	if err != nil {
		return envelope.Answer[instrumentReadingResponse]{}, err
	}
	i, err := instrument.Interpret(in)
	if err != nil {
		return envelope.Answer[instrumentReadingResponse]{}, err
	}
	a := envelope.Answer[instrumentReadingResponse]{
		Result: newInstrumentReadingResponse(i, in.Calibration != nil), Sources: []string{"CommonPractice"},
		Headline: readingHeadline(i), Details: readingDetails(i), KeyFigures: readingFigures(i, in.Calibration != nil),
		Actions: readingActions(i),
		Charts: func(u catalogue.Reader) ([]chart.Chart, error) {
			return []chart.Chart{readingChart(u, readingHeadline(i), i)}, nil
		},
	}
	if !i.Slip.IsZero() {
		a.Warnings = append(a.Warnings, envelope.Warn(i.Slip, "#/scale"))
	}
	if in.Calibration == nil {
		a.Warnings = append(a.Warnings, envelope.Warn(text.Of("never_checked", nil), "#/fluid"))
	}
	if math.Abs(i.FluidErrorPSU) > instrument.LargeErrorPSU {
		a.Warnings = append(a.Warnings, envelope.Warn(text.Of("instrument_off",
			text.Params{"error": math.Abs(i.FluidErrorPSU)}), "#/shown"))
	}
	return a, nil
}

// likely is the salinity with the half of its 95 % interval.
func likely(i instrument.Result) text.Measured {
	const coverage = 2
	return text.Measured{Value: i.LikelyPSU, Uncertainty: coverage * i.UncertaintyPSU}
}

func readingHeadline(i instrument.Result) text.Text {
	return text.Of("instrument_salinity", text.Params{"salinity": likely(i)})
}

func readingDetails(i instrument.Result) text.Text {
	return text.Of("instrument_doubt", text.Params{"face": i.FaceValuePSU, "cause": i.Parts[0].Cause})
}

func readingFigures(i instrument.Result, checked bool) []envelope.KeyFigure {
	out := []envelope.KeyFigure{
		{Label: text.Of("instrument_likely_figure", nil), Value: i.LikelyPSU, Quantity: "salinity"},
		{Label: text.Of("instrument_low_figure", nil), Value: i.Low95, Quantity: "salinity"},
		{Label: text.Of("instrument_high_figure", nil), Value: i.High95, Quantity: "salinity"},
		{Label: text.Of("instrument_face_figure", nil), Value: i.FaceValuePSU, Quantity: "salinity"},
	}
	if checked {
		out = append(out, envelope.KeyFigure{Label: text.Of("instrument_error_figure", nil), Value: i.FluidErrorPSU,
			Quantity: "salinity"})
	}
	return out
}

// readingActions are what makes the largest causes of doubt smaller.
func readingActions(i instrument.Result) []text.Text {
	const muchOfTheDoubt = 0.1
	var out []text.Text
	if math.Abs(i.FluidErrorPSU) > instrument.LargeErrorPSU {
		out = append(out, text.Of("instrument_set_right", nil))
	}
	for _, p := range i.Parts {
		if p.Share > muchOfTheDoubt {
			out = append(out, p.Advice)
		}
	}
	return out
}
