package carbonate

import (
	"math"

	"saltwright/internal/calc/numeric"
)

// Molar mass of carbon dioxide, g/mol, and the German degrees of 1 meq/L. Source: [CIAAW2021].
const (
	DioxideGMol = 12.011 + 2*15.999
	DKHPerMeqL  = CalciumOxide / 20
)

// Water is what is dissolved of a water whose constants are known, in mol/kg.
type Water struct{ Alkalinity, Carbon, Calcium float64 }

// Seen is what follows from it.
type Seen struct {
	PH        float64 // total scale
	Aragonite float64 // saturation
	Dioxide   float64 // dissolved carbon dioxide, mol/kg
}

// See returns pH and saturation of a water. It never refuses: without any water of that alkalinity and carbon the pH
// is the end of the range in which one is sought.
//
//	A = HCO3 + 2 CO3 + B(OH)4 + OH - H(free) - HSO4 - HF
//
//	alkalinity, carbon, calcium  [mol/kg]
//
// Accuracy: as Solve where Solve answers. Errors: none. Source: [Dickson2007], [Mucci1983].
func (k Constants) See(w Water) Seen {
	carbon := math.Max(w.Carbon, leastCarbon)
	left := func(pH float64) float64 {
		h := hydrogen(pH)
		perDioxide, alkalinity := k.perCarbonDioxide(h)
		return alkalinity/perDioxide*carbon + k.side(h) - w.Alkalinity
	}
	pH, err := numeric.Root(left, minPH, maxPH, 1e-10)
	if err != nil { // the alkalinity is beyond both ends
		pH = minPH
		if left(maxPH) < 0 {
			pH = maxPH
		}
	}
	h := hydrogen(pH)
	perDioxide, _ := k.perCarbonDioxide(h)
	dioxide := carbon / perDioxide
	return Seen{pH, w.Calcium * dioxide * k.K1 / h * k.K2 / h / k.KspA, dioxide}
}

// The ends of the pH for which Solve is stated, total scale. Source: [Dickson2007].
const LowestPH, HighestPH = 4.0, 12.5

// Held returns what a water holds of its carbon: no more carbon dioxide than is in balance with that gas alone at one
// atmosphere, beyond which it bubbles out. A pH beyond 4 … 12.5 is answered by the end of that range.
//
//	w  alkalinity, carbon, calcium  [mol/kg]
//
// Accuracy: as See; beyond either end the pH is that end and no more is known. Errors: none. Source: [Dickson2007].
func (k Constants) Held(w Water) Seen {
	seen := k.See(w)
	if most := k.dissolved(pureGas); seen.Dioxide > most {
		if carbon, err := k.CarbonWith(w.Alkalinity, most); err == nil && carbon < w.Carbon {
			w.Carbon = carbon
			seen = k.See(w)
		}
	}
	seen.PH = math.Min(math.Max(seen.PH, LowestPH), HighestPH)
	return seen
}

// leastCarbon is as good as none, mol/kg.
const leastCarbon = 1e-6

// CarbonAt returns the dissolved carbon of a water of known alkalinity at a pH.
//
//	alkalinity  [mol/kg]
//	pH          total scale, 4 … 12.5
//
// Accuracy: as Solve. Errors: none; below 0 no water has both. Source: [Dickson2007].
func (k Constants) CarbonAt(alkalinity, pH float64) float64 {
	h := hydrogen(pH)
	perDioxide, ofCarbon := k.perCarbonDioxide(h)
	return (alkalinity - k.side(h)) / ofCarbon * perDioxide
}

// CarbonWith returns the dissolved carbon of a water of known alkalinity with so much dissolved carbon dioxide.
//
//	alkalinity, dioxide  [mol/kg]
//
// Accuracy: as Solve. Errors: those of numeric.Root. Source: [Dickson2007].
func (k Constants) CarbonWith(alkalinity, dioxide float64) (float64, error) {
	pH, err := numeric.Root(func(pH float64) float64 {
		h := hydrogen(pH)
		_, ofCarbon := k.perCarbonDioxide(h)
		return ofCarbon*dioxide + k.side(h) - alkalinity
	}, minPH, maxPH, 1e-10)
	if err != nil {
		return 0, err
	}
	perDioxide, _ := k.perCarbonDioxide(hydrogen(pH))
	return perDioxide * dioxide, nil
}

// LimeContent returns what a litre of lime water holds.
//
//	0.0203 mol/L of calcium hydroxide when saturated at 25 °C, less in warmer water
//
//	celsius  5 … 40 °C
//	share    of a saturated solution, 0 … 1
//
// Accuracy: 6 %, the spread of handbooks. Errors: none. Source: [Bates1956], [PerryLime].
func LimeContent(celsius, share float64) (meqL, calciumMgL float64) {
	mol := saturatedMol * solubility(celsius) * share
	return 2000 * mol, calciumMgMol * mol
}
