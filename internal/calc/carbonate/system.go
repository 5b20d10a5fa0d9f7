package carbonate

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/numeric"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// Input is a water of which two of the last four are known.
type Input struct {
	Salinity     quantity.PracticalSalinity // 5 … 45
	Water        quantity.Celsius           // 2 … 40 °C
	BoronShare   float64                    // boron over that of sea water of this salinity, 0 … 3
	CalciumMolKg float64                    // mol/kg, 0 … 0.05; 0: that of sea water of this salinity
	AlkalinityKg *float64                   // total alkalinity, 0 … 20000 µmol/kg
	CarbonKg     *float64                   // dissolved inorganic carbon, 1 … 20000 µmol/kg
	PHTotal      *float64                   // pH on the total scale, 4 … 12.5
	PCO2Microatm *float64                   // partial pressure of carbon dioxide, 1 … 500000 µatm
}

// State is one water, in µmol/kg where nothing else is said.
type State struct {
	Alkalinity, Carbon                    float64
	PHTotal, PHFree, PHNBS                float64
	PCO2, FCO2                            float64 // µatm
	CarbonDioxide, Bicarbonate, Carbonate float64
	Borate, Hydroxide                     float64
	CalciumMolKg                          float64 // mol/kg
	OmegaAragonite, OmegaCalcite          float64
}

// Saturation is what a saturation of aragonite means. Source: [Moras2022]; below 1 by definition.
type Saturation string

// The kinds of saturation.
const (
	Dissolving   Saturation = "dissolving"
	Steady       Saturation = "steady"
	NearTheLimit Saturation = "near_the_limit"
	FallingOut   Saturation = "falling_out"
)

// Saturations of aragonite: up to the first nothing was seen to fall out, above the second it may.
const (
	KeepsDissolved = 5.0
	FallsOut       = 7.0
)

// Saturation tells what the water's saturation of aragonite means.
//
//	below 1 dissolving, to 5 steady, to 7 near the limit, above 7 falling out
//
// Errors: none. Source: [Moras2022].
func (s State) Saturation() Saturation {
	switch {
	case s.OmegaAragonite < 1:
		return Dissolving
	case s.OmegaAragonite <= KeepsDissolved:
		return Steady
	case s.OmegaAragonite <= FallsOut:
		return NearTheLimit
	}
	return FallingOut
}

const (
	minPH, maxPH = 1.0, 13.5 // where a pH is sought, total scale
	pureGas      = 1e6       // µatm: no water at one atmosphere holds more carbon dioxide
)

// hydrogen is what a pH stands for, mol/kg, in a third of the time that math.Pow takes.
func hydrogen(pH float64) float64 { return math.Exp(-math.Ln10 * pH) }

// side is what a pH, as hydrogen ions on the total scale, brings to alkalinity besides carbon, mol/kg.
func (k Constants) side(h float64) float64 {
	free := h / k.TotalOverFree
	return k.Boron*k.KB/(k.KB+h) + k.KW/h - free - k.Sulfate/(1+k.KS/free) - k.Fluoride/(1+k.KF/h)
}

// perCarbonDioxide is dissolved carbon, and the alkalinity of carbon, over dissolved carbon dioxide.
func (k Constants) perCarbonDioxide(h float64) (carbon, alkalinity float64) {
	bicarbonate := k.K1 / h
	carbonate := bicarbonate * k.K2 / h
	return 1 + bicarbonate + carbonate, bicarbonate + 2*carbonate
}

func (in Input) check() error {
	known := 0
	for _, c := range []struct {
		param    string
		value    *float64
		min, max float64
		unit     string
	}{
		{"alkalinity", in.AlkalinityKg, 0, MaxAlkalinity, "umol/kg"},
		{"dissolved_carbon_umol_kg", in.CarbonKg, 1, 20000, "umol/kg"},
		{"ph", in.PHTotal, 4, 12.5, "1"},
		{"pco2_uatm", in.PCO2Microatm, 1, 500000, "uatm"},
	} {
		if c.value == nil {
			continue
		}
		known++
		if err := calc.CheckRange(c.param, *c.value, c.min, c.max, c.unit); err != nil {
			return err
		}
	}
	if err := calc.CheckRange("boron_share", in.BoronShare, 0, 3, "1"); err != nil {
		return err
	}
	if err := calc.CheckRange("calcium_mg_l", in.CalciumMolKg, 0, 0.05, "mol/kg"); err != nil {
		return err
	}
	if known != 2 {
		return &calc.ConflictError{Params: []string{"alkalinity", "dissolved_carbon_umol_kg", "ph", "pco2_uatm"},
			Reason: text.Of("carbonate_needs_two", nil)}
	}
	return nil
}

// Solve returns the whole carbonate system of a water from two of its quantities.
//
//	A = HCO3 + 2 CO3 + B(OH)4 + OH - H(free) - HSO4 - HF
//	C = CO2 + HCO3 + CO3;  CO2 = K0 f pCO2
//	omega = Ca CO3 / Ksp
//
//	A  total alkalinity             valid 0 … 20000  [µmol/kg]
//	C  dissolved inorganic carbon   valid 1 … 20000  [µmol/kg]
//	pH on the total scale           valid 4 … 12.5
//	pCO2                            valid 1 … 500000 [µatm]
//
// Accuracy: pH 0.0005 of two public codes below pH 8.6, 0.009 above 9.8. Nature allows pH 0.011, pCO2 3 % and omega 5 %
// from alkalinity and carbon. No phosphate, silicate or organic acids; above omega 7 of aragonite, with particles in
// the water, real water drops calcium carbonate and the numbers are arithmetic.
// Errors: *calc.RangeError; *calc.ConflictError where not exactly two are known, or no water has them together.
// Source: [Dickson2007] chapters 2 and 5, [Lueker2000], [Lee2010], [Mucci1983], [Moras2022].
func Solve(in Input) (State, error) {
	k, err := ConstantsAt(in.Salinity, in.Water)
	if err != nil {
		return State{}, err
	}
	if err := in.check(); err != nil {
		return State{}, err
	}
	k.Boron *= in.BoronShare
	if in.CalciumMolKg > 0 {
		k.Calcium = in.CalciumMolKg
	}
	h, carbonDioxide, err := k.hydrogen(in)
	if err != nil {
		return State{}, err
	}
	out := k.state(h, carbonDioxide)
	if out.CarbonDioxide < 0 || out.PCO2 > pureGas || out.Alkalinity < -1e4 {
		return State{}, &calc.ConflictError{Params: in.stated(), Reason: text.Of("carbonate_pair_impossible", nil)}
	}
	return out, nil
}

// stated are the names of what is known.
func (in Input) stated() []string {
	var out []string
	for _, c := range []struct {
		param string
		value *float64
	}{
		{"alkalinity", in.AlkalinityKg}, {"dissolved_carbon_umol_kg", in.CarbonKg}, {"ph", in.PHTotal},
		{"pco2_uatm", in.PCO2Microatm},
	} {
		if c.value != nil {
			out = append(out, c.param)
		}
	}
	return out
}

// hydrogen returns the hydrogen ions on the total scale and the dissolved carbon dioxide, both in mol/kg.
func (k Constants) hydrogen(in Input) (h, carbonDioxide float64, err error) {
	mol := func(micromoles *float64) float64 { return *micromoles / quantity.MicromolesPerMole }
	if in.PHTotal != nil {
		h = hydrogen(*in.PHTotal)
		carbon, alkalinity := k.perCarbonDioxide(h)
		switch {
		case in.AlkalinityKg != nil:
			return h, (mol(in.AlkalinityKg) - k.side(h)) / alkalinity, nil
		case in.CarbonKg != nil:
			return h, mol(in.CarbonKg) / carbon, nil
		}
		return h, k.dissolved(*in.PCO2Microatm), nil
	}
	if in.AlkalinityKg == nil { // carbon and carbon dioxide: a quadratic equation for h
		carbonDioxide = k.dissolved(*in.PCO2Microatm)
		over := mol(in.CarbonKg)/carbonDioxide - 1
		if over <= 0 {
			return 0, 0, &calc.ConflictError{Params: in.stated(), Reason: text.Of("carbonate_pair_impossible", nil)}
		}
		return (k.K1 + math.Sqrt(k.K1*k.K1+4*over*k.K1*k.K2)) / (2 * over), carbonDioxide, nil
	}
	dioxideAt := func(h float64) float64 {
		if in.PCO2Microatm != nil {
			return k.dissolved(*in.PCO2Microatm)
		}
		carbon, _ := k.perCarbonDioxide(h)
		return mol(in.CarbonKg) / carbon
	}
	pH, err := numeric.Root(func(pH float64) float64 {
		h := hydrogen(pH)
		_, alkalinity := k.perCarbonDioxide(h)
		return alkalinity*dioxideAt(h) + k.side(h) - mol(in.AlkalinityKg)
	}, minPH, maxPH, 1e-12)
	if err != nil {
		return 0, 0, err
	}
	h = hydrogen(pH)
	return h, dioxideAt(h), nil
}

// dissolved returns the dissolved carbon dioxide, mol/kg, in balance with a partial pressure in µatm.
func (k Constants) dissolved(pCO2 float64) float64 {
	return k.K0 * k.FugacityShare * pCO2 / quantity.MicromolesPerMole
}

// state lists all that follows from the hydrogen ions and the dissolved carbon dioxide, both in mol/kg.
func (k Constants) state(h, carbonDioxide float64) State {
	const micro = quantity.MicromolesPerMole
	carbon, alkalinity := k.perCarbonDioxide(h)
	bicarbonate := carbonDioxide * k.K1 / h
	carbonate := bicarbonate * k.K2 / h
	total := -math.Log10(h)
	return State{
		Alkalinity: micro * (alkalinity*carbonDioxide + k.side(h)), Carbon: micro * carbon * carbonDioxide,
		PHTotal: total, PHFree: total + math.Log10(k.TotalOverFree),
		PHNBS: total - math.Log10(k.SeawaterOverTotal*k.NBSActivity),
		FCO2:  micro * carbonDioxide / k.K0, PCO2: micro * carbonDioxide / (k.K0 * k.FugacityShare),
		CarbonDioxide: micro * carbonDioxide, Bicarbonate: micro * bicarbonate, Carbonate: micro * carbonate,
		Borate: micro * k.Boron * k.KB / (k.KB + h), Hydroxide: micro * k.KW / h,
		CalciumMolKg: k.Calcium, OmegaAragonite: k.Calcium * carbonate / k.KspA,
		OmegaCalcite: k.Calcium * carbonate / k.KspC,
	}
}
