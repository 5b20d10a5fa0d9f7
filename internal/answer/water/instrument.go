package water

import (
	"context"
	"fmt"
	"math"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc"
	"saltwright/internal/calc/instrument"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/seawater"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
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
	Cause  string  `json:"cause"`
	PSU    float64 `json:"psu"`
	Share  float64 `json:"share"`
	Advice string  `json:"advice"`
}

type instrumentReadingResponse struct {
	LikelyPSU      float64          `json:"likely_psu"`
	UncertaintyPSU float64          `json:"uncertainty_psu"`
	Low95PSU       float64          `json:"low_95_psu"`
	High95PSU      float64          `json:"high_95_psu"`
	FaceValuePSU   float64          `json:"face_value_psu"`
	ErrorPSU       float64          `json:"error_psu"`
	ShouldShow     float64          `json:"fluid_should_show"`
	FluidError     float64          `json:"fluid_error"`
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
				Reason: text.Plain("say which fluid it was; without one, its value and what the instrument showed " +
					"mean nothing")}
		}
		return in, nil
	}
	if r.Shown == nil || r.FluidValue == nil && r.Fluid != string(instrument.PureWater) {
		return in, &calc.ConflictError{Params: []string{"fluid_value", "shown"},
			Reason: text.Plain("give the fluid's value and what the instrument showed in it after it was set")}
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

func newInstrumentReadingResponse(i instrument.Result) instrumentReadingResponse {
	out := instrumentReadingResponse{
		LikelyPSU: i.LikelyPSU, UncertaintyPSU: i.UncertaintyPSU, Low95PSU: i.Low95, High95PSU: i.High95,
		FaceValuePSU: i.FaceValuePSU, ErrorPSU: i.FluidErrorPSU,
		ShouldShow: i.FluidShouldBe, FluidError: i.FluidError, Parts: []instrumentPart{}, BrineGKg: i.BrineFor35GKg,
		BrineSaltG: i.BrinePerKgG,
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
		Result: newInstrumentReadingResponse(i), Sources: []string{"CommonPractice"},
		Summary: func(catalogue.Units) string {
			return fmt.Sprintf("The salinity is most likely %.1f, and between %.1f and %.1f with 95 %% confidence; "+
				"at "+
				"its word the instrument says %.1f. Most of the doubt comes from %s: %s",
				i.LikelyPSU, i.Low95, i.High95, i.FaceValuePSU, causeWords[i.Parts[0].Cause], i.Parts[0].Advice)
		},
	}
	if in.Calibration == nil {
		a.Warnings = append(a.Warnings, envelope.Warning{Code: "never_checked", Pointer: "#/fluid",
			Message: "Nothing says when the instrument was last checked, so the doubt is large. Check it in a fluid " +
				"of known salinity."})
	}
	if math.Abs(i.FluidErrorPSU) > instrument.LargeErrorPSU {
		a.Warnings = append(a.Warnings, envelope.Warning{Code: "instrument_off", Pointer: "#/shown",
			Message: fmt.Sprintf("In its fluid the instrument was off by %.1f in salinity: set it right, and correct "+
				"what you did by it.", i.FluidErrorPSU)})
	}
	return a, nil
}

var causeWords = map[string]string{
	"relation": "the relation behind its scale", "reading": "reading the scale",
	"temperature": "the sample's temperature", "never_checked": "its never having been checked",
	"fluid": "the check fluid", "drift": "its drift since the last check",
	"distance": "its having been checked far from here",
}
