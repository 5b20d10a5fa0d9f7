package mixing

import (
	"math"

	"saltwright/internal/calc"
)

// ChangeInput is a routine of water changes.
type ChangeInput struct {
	VolumeL       float64 // all water, 0.1 … 1e6 L
	ChangeL       float64 // of one change, or of continuous exchange in the same time, 0.001 L … VolumeL
	Changes       int     // 1 … 1000
	DaysBetween   float64 // from one change to the next, 0.01 … 365 d
	MismatchPct   float64 // how much more the pump for new water moves than the drain pump, -50 … 50 %
	EvaporationLD float64 // replaced by the top-off, 0 … 1e5 L/d
	Tank, New     float64 // practical salinity of the tank and of new water, 0 … 45
	AllowedPSU    float64 // how far salinity may drift, 0.01 … 10
	Solute        *Solute // nil: none was asked for
}

// Solute is anything dissolved, in any unit.
type Solute struct {
	Tank, New float64 // at least 0
	PerDay    float64 // what the tank adds (positive) or uses (negative) by itself, in that unit a day
}

// ChangeResult is what a routine of water changes does.
type ChangeResult struct {
	Share              float64 // of the volume, each time
	TotalL             float64
	LeftBySeries       float64 // share of the old water that is left after all single changes
	LeftByContinuous   float64 // and after continuous exchange of as much water
	PSUBySeries        float64 // salinity of the tank after all changes, with pumps that agree
	PSUByContinuous    float64
	SoluteBySeries     float64 // right after the last change
	SoluteByContinuous float64
	SteadyBefore       float64 // of the solute, before each change, if this goes on for ever
	SteadyAfter        float64
	DriftPSU           float64 // of salinity by the mismatch alone, if nobody looks
	CalibrateEveryD    float64 // days until the drift is what is allowed; 0: it never is
	ExtraTopOffLD      float64 // what the top-off adds beyond evaporation; negative: what it adds less
	LevelRisesLD       float64 // what neither evaporation nor the top-off can hide
}

func (in ChangeInput) check() error {
	for _, c := range []struct {
		param           string
		value, min, max float64
		unit            string
	}{
		{"volume_l", in.VolumeL, minVolumeL, maxVolumeL, "L"},
		{"change_l", in.ChangeL, 0.001, in.VolumeL, "L"},
		{"changes", float64(in.Changes), 1, 1000, "1"},
		{"days_between", in.DaysBetween, 0.01, 365, "d"},
		{"pump_mismatch_percent", in.MismatchPct, -50, 50, "%"},
		{"evaporation_l_d", in.EvaporationLD, 0, 1e5, "L/d"},
		{"salinity_psu", in.Tank, 0, maxPSU, "1"},
		{"new_water_psu", in.New, 0, maxPSU, "1"},
		{"allowed_drift_psu", in.AllowedPSU, 0.01, 10, "1"},
	} {
		if err := calc.CheckRange(c.param, c.value, c.min, c.max, c.unit); err != nil {
			return err
		}
	}
	if in.Solute == nil {
		return nil
	}
	for _, c := range []struct {
		param      string
		value, min float64
	}{
		{"solute", in.Solute.Tank, 0}, {"new_water_solute", in.Solute.New, 0},
		{"solute_per_day", in.Solute.PerDay, -1e6},
	} {
		if err := calc.CheckRange(c.param, c.value, c.min, 1e6, "that of the input"); err != nil {
			return err
		}
	}
	return nil
}

// approached is where a value stands of which a share is left on its way from one to another.
func approached(to, from, left float64) float64 { return to + (from-to)*left }

// Change returns what a routine of water changes does to salinity and to anything dissolved.
//
//	n changes of a share f:  left = (1 - f)^n;  continuous: left = exp(-n f)
//	c = new + (tank - new) left, and a tank that adds p a day settles at new + p d/f before a change, less p d after
//	two pumps, the level held by the top-off:  V dc/dt = (1 + m) q new - q c, which settles at (1 + m) new
//	where more than evaporation comes in and the rest runs over:  V dc/dt = (1 + m) q new - ((1 + m) q - E) c
//
//	f  change over volume;  d  days between changes;  q = f V/d
//	m  mismatch: new water over drained water, less 1
//
// E is evaporation. The drift is that of a tank which begins at the salinity of the new water.
// Accuracy: exact for what mixes by volume; practical salinity does so within 0.05 over a difference of 10. A solute
// that the tank uses up is not followed below 0.
// Errors: *calc.RangeError. Source: [Derived] (conservation of volume and solute); three volumes pumped through replace
// 95 %, as the convention on ballast water has it [IMO2004].
func Change(in ChangeInput) (ChangeResult, error) {
	if err := in.check(); err != nil {
		return ChangeResult{}, err
	}
	n, f := float64(in.Changes), in.ChangeL/in.VolumeL
	r := ChangeResult{Share: f, TotalL: n * in.ChangeL,
		LeftBySeries: math.Pow(1-f, n), LeftByContinuous: math.Exp(-n * f)}
	r.PSUBySeries = approached(in.New, in.Tank, r.LeftBySeries)
	r.PSUByContinuous = approached(in.New, in.Tank, r.LeftByContinuous)

	mismatch, drainedLD := in.MismatchPct/100, in.ChangeL/in.DaysBetween
	newLD := (1 + mismatch) * drainedLD
	leavesLD := max(drainedLD, newLD-in.EvaporationLD) // with its salt
	r.DriftPSU = in.New * (newLD/leavesLD - 1)
	if reached := in.AllowedPSU / math.Abs(r.DriftPSU); reached < 1 {
		r.CalibrateEveryD = -math.Log1p(-reached) * in.VolumeL / leavesLD
	}
	r.ExtraTopOffLD = max(-mismatch*drainedLD, -in.EvaporationLD)
	r.LevelRisesLD = max(0, mismatch*drainedLD-in.EvaporationLD)
	if s := in.Solute; s != nil {
		perChange := s.PerDay * in.DaysBetween
		r.SteadyAfter = max(0, s.New+perChange*(1-f)/f)
		r.SteadyBefore = max(0, s.New+perChange/f)
		r.SoluteBySeries = max(0, approached(s.New+perChange*(1-f)/f, s.Tank, r.LeftBySeries))
		r.SoluteByContinuous = max(0, approached(s.New+perChange/f, s.Tank, r.LeftByContinuous))
	}
	return r, nil
}
