package dosing

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/carbonate"
	"saltwright/internal/calc/numeric"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// Raised is what a dose raises.
type Raised string

// What can be raised.
const (
	Alkalinity Raised = "alkalinity"
	Calcium    Raised = "calcium"
	Magnesium  Raised = "magnesium"
)

// Label is what the label of a solution claims: so many millilitres raise so many litres by so much.
type Label struct {
	ML, L float64 // above 0
	Rise  float64 // meq/L for alkalinity, otherwise mg/L; above 0
}

// Input is a tank and what shall be raised in it. Levels are meq/L for alkalinity and mg/L for calcium and magnesium.
type Input struct {
	Raise       Raised
	Tank        carbonate.Input // as Solve takes it, with alkalinity and one other
	VolumeL     float64         // 1 … 1e6 L
	Now, Target float64         // Target above Now
	Substance   Substance
	Purity      float64  // 0.1 … 1
	StockGL     *float64 // grams of the salt in a litre of solution, 0.1 … 1500; nil: dry
	Label       *Label   // in place of grams; Substance then says only what the solution does to pH
	MostADay    float64  // rise in a day, above 0
	DosesADay   int      // 1 … 288
	DemandMeqL  float64  // alkalinity used and replaced in a day, 0 … 10 meq/L
}

// Step is one day.
type Step struct {
	Day   int
	Level float64         // after the day, as in Input
	Peak  carbonate.State // right after the day's last dose
}

// Result is what to dose and what it does.
type Result struct {
	Rise            float64
	MassG, VolumeML float64 // in all; 0 where a label or a dry salt leaves it open
	Days            int
	DayG, DayML     float64
	DoseG, DoseML   float64
	Steps           []Step
	Before, Worst   carbonate.State // Worst has the highest saturation after a dose
	AllAtOnce       carbonate.State // the whole of it in one dose
	AllAtOnceKnown  bool            // whether it is a water that the constants reach
	// the largest rise at once with aragonite at 7 or less, at most Rise; 0: none
	LargestAtOnce             float64
	CalciumMgL, AlkalinityMeq float64 // that the same salt brings besides
	ChlorideMgL, SulfateMgL   float64
	SalinityGKg               float64 // that the dose adds
	BalancedSaltGKgMonth      float64 // sodium chloride left by a month of demand replaced by two solutions
}

// MostDays is the longest programme that is written out.
const MostDays = 120

const daysPerMonth = quantity.DaysPerYear / 12

// Dose returns how much of a salt or solution raises a tank, in how many days, and what the water does after each
// dose.
//
//	mass = volume · rise · M / (equivalents or moles a mole brings) / purity
//	days = rise / most a day, rounded up; each day and each dose alike
//	after a dose: alkalinity, carbon and calcium that it brings are added and no gas is exchanged
//	between doses the water comes back to the carbon dioxide that it had at first
//	balanced dosing leaves 1 mmol of sodium chloride per milliequivalent of demand
//
//	volume       valid 1 … 1e6      [L]
//	rise         target above now   [meq/L or mg/L]
//	purity       valid 0.1 … 1
//	stock        valid 0.1 … 1500, and no more than dissolves at 20 °C  [g/L]
//
// Heat, precipitation in the mixing zone, borate and what the salt itself does to the constants are left out.
// Accuracy: grams 1e-4, that of the atomic weights; purity and crystal water of what is sold count for more. pH and
// saturation as of carbonate.Solve.
// Errors: *calc.RangeError; *calc.ConflictError for a salt that does not bring what shall be raised, a target that is
// not above the present value, a solution stronger than dissolves, or a programme longer than MostDays.
// Source: [CIAAW2021], [PerryLime], [Moras2022], [CommonPractice], [Derived].
func Dose(in Input) (Result, error) {
	c, err := in.check()
	if err != nil {
		return Result{}, err
	}
	r := Result{Rise: in.Target - in.Now}
	r.Days = max(1, int(math.Ceil(r.Rise/in.MostADay-1e-9)))
	if r.Days > MostDays {
		return r, &calc.ConflictError{Params: []string{"target"}, Reason: text.Of("dose_takes_too_long",
			text.Params{"time": float64(r.Days), "most": float64(MostDays)})}
	}
	moles := in.molesPerLitre(c, r.Rise)
	in.amounts(&r, c, moles)
	r.CalciumMgL, r.AlkalinityMeq = 1000*moles*c.calcium*calcium, 1000*moles*c.alkalinity
	r.ChlorideMgL, r.SulfateMgL = 1000*moles*c.chloride*chlorine, 1000*moles*c.sulfate*sulfateIon
	switch in.Raise {
	case Alkalinity:
		r.AlkalinityMeq = 0
	case Calcium:
		r.CalciumMgL = 0
	}
	kgPerL, err := in.kilogramsPerLitre()
	if err != nil {
		return r, err
	}
	r.SalinityGKg = moles * c.anhydrous / kgPerL
	r.BalancedSaltGKgMonth = in.DemandMeqL * daysPerMonth * salt / 1000 / kgPerL
	return r, in.follow(&r, c, kgPerL)
}

func (in Input) check() (content, error) {
	c, known := contents[in.Substance]
	if !known || in.molesPerLitre(c, 1) <= 0 || math.IsInf(in.molesPerLitre(c, 1), 0) {
		return c, &calc.ConflictError{Params: []string{"raise"}, Reason: text.Of("dose_brings_none",
			text.Params{"substance": string(in.Substance), "raised": string(in.Raise)})}
	}
	for _, x := range []struct {
		param           string
		value, min, max float64
		unit            string
	}{
		{"volume_l", in.VolumeL, 1, 1e6, "L"}, {"purity_share", in.Purity, 0.1, 1, "1"},
		{"doses_a_day", float64(in.DosesADay), 1, 288, "1"}, {"most_a_day", in.MostADay, 1e-6, 1e6, "1"},
		{"demand", in.DemandMeqL, 0, 10, "meq/L"},
	} {
		if err := calc.CheckRange(x.param, x.value, x.min, x.max, x.unit); err != nil {
			return c, err
		}
	}
	if in.Target <= in.Now {
		return c, &calc.ConflictError{Params: []string{"target"},
			Reason: text.Of("dose_target_not_above", nil)}
	}
	if in.Label != nil {
		for _, x := range []struct {
			param string
			value float64
		}{{"label_ml", in.Label.ML}, {"label_l", in.Label.L}, {"label_rise", in.Label.Rise}} {
			if err := calc.CheckRange(x.param, x.value, 1e-6, 1e6, "1"); err != nil {
				return c, err
			}
		}
	}
	if in.StockGL == nil {
		return c, nil
	}
	if err := calc.CheckRange("stock_g_l", *in.StockGL, 0.1, 1500, "g/L"); err != nil {
		return c, err
	}
	// A litre of solution holds at most a kilogram of water.
	if most := c.mostAnhydrous * c.molarMass() / c.anhydrous; most > 0 && *in.StockGL > most {
		return c, &calc.ConflictError{Params: []string{"stock_g_l"}, Reason: text.Of("dose_does_not_dissolve",
			text.Params{"most": most})}
	}
	return c, nil
}

// molesPerLitre is how much of a salt a litre of tank water needs for a rise, mol/L.
func (in Input) molesPerLitre(c content, rise float64) float64 {
	switch in.Raise {
	case Calcium:
		return rise / 1000 / (c.calcium * calcium)
	case Magnesium:
		return rise / 1000 / (c.magnesium * magnesium)
	}
	return rise / 1000 / c.alkalinity
}

func (in Input) amounts(r *Result, c content, moles float64) {
	switch {
	case in.Label != nil:
		r.VolumeML = r.Rise / in.Label.Rise * in.VolumeL / in.Label.L * in.Label.ML
	default:
		r.MassG = moles * in.VolumeL * c.molarMass() / in.Purity
		if in.StockGL != nil {
			r.VolumeML = 1000 * r.MassG / *in.StockGL
		}
	}
	days := float64(r.Days)
	doses := float64(in.DosesADay)
	r.DayG, r.DayML = r.MassG/days, r.VolumeML/days
	r.DoseG, r.DoseML = r.DayG/doses, r.DayML/doses
}

// follow writes the state after the last dose of each day.
func (in Input) follow(r *Result, c content, kgPerL float64) error {
	if err := in.atOnce(r, c, kgPerL); err != nil {
		return err
	}
	each := r.Rise / float64(r.Days)
	for day := 1; day <= r.Days; day++ {
		end := each * float64(day)
		peak, err := in.after(r.Before, c, kgPerL, end-each/float64(in.DosesADay), each/float64(in.DosesADay))
		if err != nil {
			return err
		}
		r.Steps = append(r.Steps, Step{day, in.Now + end, peak})
		if peak.OmegaAragonite > r.Worst.OmegaAragonite {
			r.Worst = peak
		}
	}
	return nil
}

// atOnce writes the state before, that after the whole rise in one dose, and the largest rise that does no harm.
func (in Input) atOnce(r *Result, c content, kgPerL float64) error {
	var err error
	if r.Before, err = carbonate.Solve(in.Tank); err != nil {
		return err
	}
	all, err := in.after(r.Before, c, kgPerL, 0, r.Rise)
	r.AllAtOnce, r.AllAtOnceKnown = all, err == nil
	over := func(rise float64) float64 {
		s, err := in.after(r.Before, c, kgPerL, 0, rise)
		if err != nil {
			return 1 // beyond what the constants reach it falls out for certain
		}
		return s.OmegaAragonite - carbonate.FallsOut
	}
	switch {
	case over(0) >= 0:
		r.LargestAtOnce = 0
	case over(r.Rise) <= 0:
		r.LargestAtOnce = r.Rise
	default:
		r.LargestAtOnce, err = numeric.Root(over, 0, r.Rise, 1e-9*r.Rise)
		return err
	}
	return nil
}

// kilogramsPerLitre is the density of the tank's water.
func (in Input) kilogramsPerLitre() (float64, error) {
	perMicromole, err := carbonate.ToUnit(1, carbonate.MeqPerLitre, in.Tank.Salinity, in.Tank.Water)
	return perMicromole * 1e3, err // a micromole in a kilogram, as milliequivalents in a litre
}

// after is the water that has been raised by settled, is in balance with the same air as before, and has just had a
// dose
// that raises it by dose.
func (in Input) after(before carbonate.State, c content, kgPerL, settled, dose float64) (carbonate.State, error) {
	micro := func(rise, perMole float64) float64 { // µmol/kg that a rise brings of what a mole of the salt holds
		return in.molesPerLitre(c, rise) * perMole / kgPerL * quantity.MicromolesPerMole
	}
	air := in.Tank
	alkalinity, pressure := before.Alkalinity+micro(settled, c.alkalinity), before.PCO2
	air.AlkalinityKg, air.PCO2Microatm, air.CarbonKg, air.PHTotal = &alkalinity, &pressure, nil, nil
	air.CalciumMolKg = before.CalciumMolKg + micro(settled, c.calcium)/quantity.MicromolesPerMole
	s, err := carbonate.Solve(air)
	if err != nil {
		return s, err
	}
	closed := in.Tank
	after, carbonAfter := s.Alkalinity+micro(dose, c.alkalinity), s.Carbon+micro(dose, c.carbon)
	closed.AlkalinityKg, closed.CarbonKg, closed.PCO2Microatm, closed.PHTotal = &after, &carbonAfter, nil, nil
	closed.CalciumMolKg = air.CalciumMolKg + micro(dose, c.calcium)/quantity.MicromolesPerMole
	return carbonate.Solve(closed)
}
