package seawater

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// What tells a slip from an unusual reading; all of it common practice, no source.
const (
	usualSP            = 35.0
	farPSU             = 0.5
	mostUncertaintyPSU = 10.0 // a reading less sure than this says nothing
)

// slip returns the warning of a reading that is possible and yet probably belongs to another scale.
func slip(in ConversionInput, s quantity.PracticalSalinity) text.Text {
	nearlyFresh := !in.Scale.isGravity() && in.Scale != ScaleRefractiveIndex
	if nearlyFresh && in.Value >= leastGravity && in.Value <= mostGravity {
		if other, ok := in.on(ScaleSpecificGravity); ok {
			return text.Of("looks_like_specific_gravity", text.Params{"value": in.Value, "salinity": other})
		}
	}
	if in.Scale != ScaleConductivity {
		return text.Text{}
	}
	other, ok := in.on(ScaleMeter25)
	if ok && math.Abs(other-float64(s)) > farPSU && math.Abs(other-usualSP) < math.Abs(float64(s)-usualSP) {
		return text.Of("looks_compensated", text.Params{"here": float64(s), "salinity": other, "at": 25.0})
	}
	return text.Text{}
}

// checkUncertainty refuses a reading that is too unsure to say anything.
func (f scale) checkUncertainty(in ConversionInput) error {
	low, high, err := f.ends(in)
	if err != nil {
		return err
	}
	perPSU := (high - low) / (maxSP - minSP)
	worth := in.ReadingUncertainty / perPSU
	if worth <= mostUncertaintyPSU {
		return nil
	}
	return &calc.ConflictError{Params: []string{"reading_uncertainty"}, Reason: text.Of("reading_too_unsure",
		text.Params{"uncertainty": in.ReadingUncertainty, "worth": worth, "one": perPSU})}
}
