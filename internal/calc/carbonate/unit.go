package carbonate

import (
	"fmt"
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/seawater"
	"saltwright/internal/calc/text"
)

// Unit is how an alkalinity is stated.
type Unit string

// The units of alkalinity.
const (
	DKH          Unit = "dkh"        // German degrees: 10 mg of calcium oxide in a litre
	MeqPerLitre  Unit = "meq_l"      // millimoles of charge in a litre
	MgPerLitre   Unit = "mg_l_caco3" // as calcium carbonate
	MicromolesKg Unit = "umol_kg"    // in a kilogram of sea water, as oceanographers state it
)

// Molar masses, g/mol. Source: [CIAAW2021].
const (
	Calcium          = 40.078
	Magnesium        = 24.305
	CalciumOxide     = Calcium + 15.999
	CalciumCarbonate = Calcium + 12.011 + 3*15.999
)

// perMeqPerLitre is how many of a unit make 1 meq/L; a mole of calcium oxide or carbonate binds two of acid.
var perMeqPerLitre = map[Unit]float64{DKH: CalciumOxide / 20, MeqPerLitre: 1, MgPerLitre: CalciumCarbonate / 2}

// FromUnit returns an alkalinity in µmol/kg.
//
//	1 meq/L = 2.80385 dKH = 50.043 mg/L CaCO3;  µmol/kg = 1e6 · meq/L / rho
//
//	rho  density of the water  [g/L]
//
// Accuracy: 1e-4, that of the atomic weights. Errors: *calc.RangeError for the water; *calc.ConflictError for a unit
// that it does not know. Source: [CIAAW2021], [MilleroPoisson1981].
func FromUnit(value float64, u Unit, s quantity.PracticalSalinity, t quantity.Celsius) (float64, error) {
	per, err := perMicromolePerKg(u, s, t)
	if err != nil {
		return 0, err
	}
	return value / per, calc.CheckRange("alkalinity", value, 0, MaxAlkalinity*per, string(u))
}

// ToUnit returns an alkalinity of µmol/kg in a unit.
//
//	1 meq/L = 2.80385 dKH = 50.043 mg/L CaCO3;  µmol/kg = 1e6 · meq/L / rho
//
// Accuracy: 1e-4, that of the atomic weights. Errors: as FromUnit. Source: [CIAAW2021], [MilleroPoisson1981].
func ToUnit(micromolesPerKg float64, u Unit, s quantity.PracticalSalinity, t quantity.Celsius) (float64, error) {
	per, err := perMicromolePerKg(u, s, t)
	return micromolesPerKg * per, err
}

func perMicromolePerKg(u Unit, s quantity.PracticalSalinity, t quantity.Celsius) (float64, error) {
	if u == MicromolesKg {
		return 1, nil
	}
	per, ok := perMeqPerLitre[u]
	if !ok {
		return 1, &calc.ConflictError{Params: []string{"alkalinity_unit"},
			Reason: text.Of("not_a_unit_of_alkalinity", text.Params{"unit": fmt.Sprintf("%q", u)})}
	}
	rho, err := seawater.Density(s, t)
	return per * rho / quantity.MicromolesPerMole, err
}

// MaxAlkalinity is the largest total alkalinity that is accepted, µmol/kg; no source.
const MaxAlkalinity = 20000

// CalciumMolKg returns calcium in mol/kg of mg/L.
//
//	mol/kg = mg/L / (40.078 rho), rho in kg/m³
//
// Accuracy: 1e-4. Errors: *calc.RangeError for the water. Source: [CIAAW2021], [MilleroPoisson1981].
func CalciumMolKg(mgL float64, s quantity.PracticalSalinity, t quantity.Celsius) (float64, error) {
	rho, err := seawater.Density(s, t)
	if err != nil {
		return 0, err
	}
	return mgL / Calcium / rho, nil
}

// CalciumMgL returns calcium in mg/L of mol/kg.
//
//	mg/L = mol/kg · 40.078 rho, rho in kg/m³
//
// Accuracy: 1e-4. Errors: *calc.RangeError for the water. Source: [CIAAW2021], [MilleroPoisson1981].
func CalciumMgL(molKg float64, s quantity.PracticalSalinity, t quantity.Celsius) (float64, error) {
	rho, err := seawater.Density(s, t)
	return molKg * Calcium * rho, err
}

// AirPPM returns the share of carbon dioxide in dry air, ppm, that a partial pressure in µatm is in balance with.
//
//	x = pCO2 / (1 - pH2O), the air above the water being saturated with vapour
//
// Accuracy: 0.1 %, at one atmosphere. Errors: *calc.RangeError for the water.
// Source: [Dickson2007], [GreenCarritt1967].
func AirPPM(pCO2 float64, s quantity.PracticalSalinity, t quantity.Celsius) (float64, error) {
	vapour, err := seawater.VapourPressure(s, t)
	if err != nil {
		return 0, err
	}
	return pCO2 / (1 - float64(vapour/quantity.StandardAtmosphere)), nil
}

// Scale is a scale of pH.
type Scale string

// The scales of pH. NBS is what a probe shows that was calibrated with ordinary buffers.
const (
	Total Scale = "total"
	Free  Scale = "free"
	NBS   Scale = "nbs"
)

// hydrogenOver is the hydrogen ions of a scale over those on the total scale.
func (k Constants) hydrogenOver(scale Scale) (float64, error) {
	switch scale {
	case Total:
		return 1, nil
	case Free:
		return 1 / k.TotalOverFree, nil
	case NBS:
		return k.SeawaterOverTotal * k.NBSActivity, nil
	}
	return 1, &calc.ConflictError{Params: []string{"ph_scale"},
		Reason: text.Of("not_a_scale_of_ph", text.Params{"scale": fmt.Sprintf("%q", scale)})}
}

// OnScale returns a pH on the total scale on another.
//
//	pH(free) = pH + lg(1 + SO4/KS);  pH(NBS) = pH - lg((1 + F/KF) fH)
//
// Accuracy: free 0.001; NBS 0.05, since electrodes differ. Errors: *calc.ConflictError for a scale that it does not
// know. Source: [Dickson2007], [Takahashi1982].
func (k Constants) OnScale(total float64, scale Scale) (float64, error) {
	over, err := k.hydrogenOver(scale)
	return total - math.Log10(over), err
}

// OnTotal returns a pH of another scale on the total scale.
//
//	pH = pH(free) - lg(1 + SO4/KS);  pH = pH(NBS) + lg((1 + F/KF) fH)
//
// Accuracy: as OnScale. Errors: as OnScale. Source: [Dickson2007], [Takahashi1982].
func (k Constants) OnTotal(value float64, scale Scale) (float64, error) {
	over, err := k.hydrogenOver(scale)
	return value + math.Log10(over), err
}
