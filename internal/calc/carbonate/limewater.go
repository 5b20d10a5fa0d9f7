package carbonate

import (
	"saltwright/internal/calc"
	"saltwright/internal/calc/numeric"
	"saltwright/internal/calc/quantity"
)

// LimeInput is a tank that is topped off with lime water.
type LimeInput struct {
	Tank          Input   // as Solve takes it
	VolumeL       float64 // 1 … 1e6 L
	EvaporationLD float64 // all replaced by lime water, 0.001 … 1e5 L/d
	ReservoirL    float64 // 0.01 L … half of VolumeL
	LimeC         float64 // temperature of the lime water, 5 … 40 °C
	Strength      float64 // of a saturated solution, 0.1 … 1
	NightH        float64 // without gas exchange, 0 … 24 h
}

// LimeResult is what lime water does.
type LimeResult struct {
	MeqPerL, CalciumMgL float64 // of the lime water
	RiseDKHD, RiseMgLD  float64 // of the tank's alkalinity and calcium in a day, by all evaporation
	Now, AfterNight     State
	AllAtOnce           State   // the whole reservoir into the full tank
	AllAtOncePSU        float64 // its salinity
	LargestHarmlessL    float64 // the most that may arrive at once with aragonite at 7 or less; 0: none
}

const (
	saturatedMol = 0.0203 // mol/L at 25 °C. Source: [Bates1956]
	calciumMgMol = 1000 * Calcium
)

// solubility is the share of what dissolves at 25 °C: the handbooks' 1.76, 1.65, 1.53 and 1.41 g/kg at 10 to 40 °C lie
// on this line.
func solubility(celsius float64) float64 { return (1.76 - 0.01167*(celsius-10)) / (1.76 - 0.01167*15) }

// LimeWater returns what a top-off of lime water brings, what it covers, and what all of it at once would do.
//
//	lime water holds 2 · 0.0203 mol/L of alkalinity and 0.0203 mol/L of calcium when saturated at 25 °C
//	rise a day = evaporation · content / volume
//	all at once: alkalinity, carbon, calcium and salinity of both waters mixed by volume, no gas exchanged
//
// Hydroxide brings no carbon, so that pH rises until carbon dioxide comes from the air; a night is taken without any.
// Accuracy: 6 % of the content, the spread of handbooks; lime water that has stood open is some 10 % weaker.
// Errors: *calc.RangeError; *calc.ConflictError as of Solve. Source: [Bates1956], [PerryLime], [CIAAW2021], [Derived].
func LimeWater(in LimeInput) (LimeResult, error) {
	var r LimeResult
	for _, c := range []struct {
		param           string
		value, min, max float64
		unit            string
	}{
		{"volume_l", in.VolumeL, 1, 1e6, "L"}, {"evaporation_l_d", in.EvaporationLD, 0.001, 1e5, "L/d"},
		{"reservoir_l", in.ReservoirL, 0.01, in.VolumeL / 2, "L"}, {"lime_water_c", in.LimeC, 5, 40, "degC"},
		{"strength_share", in.Strength, 0.1, 1, "1"}, {"night_h", in.NightH, 0, 24, "h"},
		{"salinity_psu", float64(in.Tank.Salinity), 15, maxPSU, "1"},
	} {
		if err := calc.CheckRange(c.param, c.value, c.min, c.max, c.unit); err != nil {
			return r, err
		}
	}
	mol := saturatedMol * solubility(in.LimeC) * in.Strength
	r.MeqPerL, r.CalciumMgL = 2000*mol, calciumMgMol*mol
	daily := in.EvaporationLD / in.VolumeL
	r.RiseDKHD, r.RiseMgLD = daily*r.MeqPerL*perMeqPerLitre[DKH], daily*r.CalciumMgL
	var err error
	if r.Now, err = Solve(in.Tank); err != nil {
		return r, err
	}
	if r.AfterNight, err = in.mixed(r.Now, mol, daily*in.NightH/quantity.HoursPerDay, 0); err != nil {
		return r, err
	}
	all := in.ReservoirL / in.VolumeL
	r.AllAtOncePSU = float64(in.Tank.Salinity) / (1 + all)
	if r.AllAtOnce, err = in.mixed(r.Now, mol, all, all); err != nil {
		return r, err
	}
	return r, in.largest(&r, mol)
}

// mixed is the tank after lime water of a share of its volume, of which a share stays beyond evaporation.
func (in LimeInput) mixed(now State, mol, share, grows float64) (State, error) {
	t := in.Tank
	t.Salinity = quantity.PracticalSalinity(float64(in.Tank.Salinity) / (1 + grows))
	perLitre, err := perMicromolePerKg(MeqPerLitre, in.Tank.Salinity, in.Tank.Water)
	if err != nil {
		return State{}, err
	}
	after, err := perMicromolePerKg(MeqPerLitre, t.Salinity, t.Water)
	if err != nil {
		return State{}, err
	}
	alkalinity := (now.Alkalinity*perLitre + share*2000*mol) / (1 + grows) / after
	carbon := now.Carbon * perLitre / (1 + grows) / after
	calcium := (now.CalciumMolKg*perLitre*1e3 + share*mol) / (1 + grows) / (after * 1e3)
	t.AlkalinityKg, t.CarbonKg, t.PHTotal, t.PCO2Microatm, t.CalciumMolKg = &alkalinity, &carbon, nil, nil, calcium
	return Solve(t)
}

// largest finds how much lime water at once keeps aragonite from falling out.
func (in LimeInput) largest(r *LimeResult, mol float64) error {
	over := func(share float64) float64 {
		s, err := in.mixed(r.Now, mol, share, share)
		if err != nil {
			return 1 // beyond what is accepted it falls out for certain
		}
		return s.OmegaAragonite - FallsOut
	}
	const most = 0.5
	switch {
	case over(0) >= 0:
		r.LargestHarmlessL = 0
	case over(most) <= 0:
		r.LargestHarmlessL = most * in.VolumeL
	default:
		share, err := numeric.Root(over, 0, most, 1e-9)
		if err != nil {
			return err
		}
		r.LargestHarmlessL = share * in.VolumeL
	}
	return nil
}
