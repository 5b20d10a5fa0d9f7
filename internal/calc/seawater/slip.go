package seawater

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// What tells a slip from an unusual reading; all of it common practice, no source.
const (
	usualSP               = 35.0
	leastGravity          = 1.015 // of water that somebody keeps livestock in
	mostGravity           = 1.035
	leastConductivity     = 47.0 // mS/cm
	mostConductivity      = 70.0
	farPSU                = 0.5
	mostUncertaintyPSU    = 10.0 // a reading less sure than this says nothing
	gravityInThousandths  = 1000.0
	leastSalinityOnAScale = 5.0 // far above every specific gravity
)

func (s Scale) isGravity() bool { return s == ScaleSpecificGravity || s == ScaleSpecificGravityAsRead }

func (s Scale) isSalinity() bool {
	switch s {
	case ScalePractical, ScaleAbsolute, ScaleGramsPerLitre, ScaleRefractometerSeawater, ScaleRefractometerBrine:
		return true
	}
	return false
}

// check refuses a reading outside its scale, low … high, and says what was probably meant.
func (f scale) check(value, low, high float64) error {
	outside := calc.CheckRange("value", value, low, high, f.unit)
	if outside == nil {
		return nil
	}
	p := text.Params{"value": value, "low": low, "high": high}
	var meant text.Text
	switch {
	case f.name.isGravity() && value >= leastSalinityOnAScale && value <= maxSP:
		meant = text.Of("meant_salinity", p)
	case f.name.isGravity() && value >= leastGravity*gravityInThousandths && value <= mostGravity*gravityInThousandths:
		p["gravity"] = value / gravityInThousandths
		meant = text.Of("meant_gravity_in_thousandths", p)
	case f.name == ScaleDensity && value >= leastGravity && value <= mostGravity:
		meant = text.Of("meant_specific_gravity", p)
	case f.name.isSalinity() && value > high && value >= leastConductivity && value <= mostConductivity:
		meant = text.Of("meant_conductivity", p)
	}
	if meant.IsZero() {
		return outside
	}
	return &calc.ConflictError{Params: []string{"scale", "value"}, Reason: meant}
}

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

// on returns the salinity of the same number on another scale, and whether it is one there.
func (in ConversionInput) on(other Scale) (float64, bool) {
	in.Scale = other
	f, _ := scaleOf(other)
	s, err := f.inverse(in)
	return float64(s), err == nil
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
