package mixing

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/seawater"
	"saltwright/internal/calc/text"
)

// SafePacePSUPerDay is how fast salinity may move with livestock in; common practice, no source.
const SafePacePSUPerDay = 1.0

// AdjustInput is a system to move from one salinity to another.
type AdjustInput struct {
	VolumeL          float64                    // all water, 1 … 1e6 L
	From, To         quantity.PracticalSalinity // 0 … 45, To not equal to From
	New              quantity.PracticalSalinity // of the water that comes in, beyond To
	Water            quantity.Celsius           // 0 … 40 °C
	PacePSUPerDay    float64                    // fastest allowed, 0.01 … 50
	DaysBetween      float64                    // between two water changes, 0.01 … 60 d
	Changes          int                        // 0: as few as pace and largest change allow; else 1 … 200
	LargestChangePct float64                    // of the volume in one change, 1 … 100 %
	// replaced by the new water instead of fresh; 0: that way is not asked for
	EvaporatedLPerD float64
}

// Step is one water change.
type Step struct {
	Day      float64
	ChangeL  float64
	Salinity float64 // after it
	MovePSU  float64 // by this change
}

// AdjustResult is the ways from one salinity to the other.
type AdjustResult struct {
	Steps        []Step
	ShareEach    float64 // of the volume
	TotalL       float64 // of new water in all changes
	Days         float64 // from the first to the last change
	FastestPSUD  float64 // largest move over the days between two changes
	WithinPace   bool
	ContinuousL  float64 // new water by continuous exchange, volume kept
	ContinuousD  float64 // shortest duration at the pace
	ContinuousLD float64 // largest flow that keeps the pace at its start
	GrowingL     float64 // new water added without taking any out
	TopOffD      float64 // days by topping off with the new water; 0 when not asked for or not upward
	TopOffPace   float64 // PSU/d at the start that way
	SaltMovedKg  float64 // salt that enters (positive) or leaves the system
}

func (in AdjustInput) check() error {
	for _, c := range []struct {
		param           string
		value, min, max float64
		unit            string
	}{
		{"volume_l", in.VolumeL, 1, maxVolumeL, "L"},
		{"from_psu", float64(in.From), 0, maxPSU, "1"},
		{"to_psu", float64(in.To), 0, maxPSU, "1"},
		{"new_water_psu", float64(in.New), 0, maxPSU, "1"},
		{"water_c", float64(in.Water), minWaterC, maxWaterC, "degC"},
		{"pace_psu_d", in.PacePSUPerDay, 0.01, 50, "1/d"},
		{"days_between", in.DaysBetween, 0.01, 60, "d"},
		{"changes", float64(in.Changes), 0, maxSteps, "1"},
		{"largest_change_percent", in.LargestChangePct, 1, 100, "%"},
		{"evaporation_l_d", in.EvaporatedLPerD, 0, 1e5, "L/d"},
	} {
		if err := calc.CheckRange(c.param, c.value, c.min, c.max, c.unit); err != nil {
			return err
		}
	}
	if in.From == in.To {
		return &calc.ConflictError{
			Params: []string{"from_psu", "to_psu"},
			Reason: text.Of("adjust_at_target", nil),
		}
	}
	if (in.New-in.To)*(in.To-in.From) <= 0 {
		code := "adjust_new_water_below"
		if in.To > in.From {
			code = "adjust_new_water_above"
		}
		return &calc.ConflictError{Params: []string{"new_water_psu", "to_psu"},
			Reason: text.Of(code, text.Params{"target": float64(in.To)})}
	}
	return nil
}

// UsualBrinePSU is how far above the target new water is usually mixed to raise a tank. Source: [CommonPractice].
const UsualBrinePSU = 4

// UsualNewWater returns the salinity of the water that is usually exchanged for some of a tank's.
//
//	fresh water to lower the salinity, 4 above the target but at most 45 to raise it
//
// Accuracy: none is known. Errors: none. Source: [CommonPractice].
func UsualNewWater(from, to quantity.PracticalSalinity) quantity.PracticalSalinity {
	if to <= from {
		return 0
	}
	return min(to+UsualBrinePSU, maxPSU)
}

const maxSteps = 200

// Adjust returns how to move a system's salinity, by water changes, by continuous exchange and by adding.
//
//	c = salt per litre (GramsPerLitre), which mixes in proportion to volume
//	n changes of a share f:  (1 - f)^n = (c1 - cn)/(c0 - cn)
//	continuous exchange:     V_new = V ln((c0 - cn)/(c1 - cn))
//	added, none taken out:   V_new = V (c1 - c0)/(cn - c1)
//	topped off with it:      days = V (c1 - c0)/(cn E)
//
//	c0, c1, cn  system before, after; new water   [g/L]
//	E           evaporation that it replaces      [L/d]
//
// The first of equal changes moves most; the pace is held against it.
// Accuracy: volumes are taken to add, 1e-4 of the change.
// Errors: *calc.RangeError; *calc.ConflictError when the new water does not lie
// beyond the target, or more than 200 changes would be needed.
// Source: [Derived] (conservation of salt and volume), [Millero2008]; the pace is [CommonPractice].
func Adjust(in AdjustInput) (AdjustResult, error) {
	var r AdjustResult
	if err := in.check(); err != nil {
		return r, err
	}
	var c [3]float64
	for i, s := range []quantity.PracticalSalinity{in.From, in.To, in.New} {
		g, err := seawater.GramsPerLitre(s, in.Water)
		if err != nil {
			return r, err
		}
		c[i] = g
	}
	from, to, fresh := c[0], c[1], c[2]
	remaining := (to - fresh) / (from - fresh) // of the distance to the new water, between 0 and 1
	largest := math.Min(in.LargestChangePct/100, 1)
	first := func(n int) (share, move float64, err error) {
		share = -math.Expm1(math.Log(remaining) / float64(n))
		s, err := salinityOf(from+share*(fresh-from), in.Water)
		return share, math.Abs(s - float64(in.From)), err
	}
	n := in.Changes
	if n == 0 {
		for n = 1; ; n++ {
			if n > maxSteps {
				return r, &calc.ConflictError{
					Params: []string{"pace_psu_d", "largest_change_percent"},
					Reason: text.Of("adjust_too_many_changes", text.Params{"most": float64(maxSteps)}),
				}
			}
			share, move, err := first(n)
			if err != nil {
				return r, err
			}
			if share <= largest*(1+1e-12) && move <= in.PacePSUPerDay*in.DaysBetween*(1+1e-12) {
				break
			}
		}
	}
	share, _, err := first(n)
	if err != nil {
		return r, err
	}
	r.ShareEach = share
	at, before := from, float64(in.From)
	for i := range n {
		at += share * (fresh - at)
		s, err := salinityOf(at, in.Water)
		if err != nil {
			return AdjustResult{}, err
		}
		r.Steps = append(r.Steps, Step{
			Day: float64(i) * in.DaysBetween, ChangeL: share * in.VolumeL, Salinity: s, MovePSU: s - before,
		})
		r.FastestPSUD = math.Max(r.FastestPSUD, math.Abs(s-before)/in.DaysBetween)
		before = s
	}
	r.TotalL = share * in.VolumeL * float64(n)
	r.Days = float64(n-1) * in.DaysBetween
	r.WithinPace = r.FastestPSUD <= in.PacePSUPerDay*(1+1e-9)
	r.ContinuousL = -in.VolumeL * math.Log(remaining)
	slope, err := gramsPerPSU(in.From, in.Water)
	if err != nil {
		return AdjustResult{}, err
	}
	r.ContinuousLD = in.PacePSUPerDay * slope * in.VolumeL / math.Abs(fresh-from)
	r.ContinuousD = r.ContinuousL / r.ContinuousLD
	r.GrowingL = in.VolumeL * (to - from) / (fresh - to)
	if in.EvaporatedLPerD > 0 && to > from {
		r.TopOffD = in.VolumeL * (to - from) / (fresh * in.EvaporatedLPerD)
		r.TopOffPace = fresh * in.EvaporatedLPerD / in.VolumeL / slope
	}
	r.SaltMovedKg = (to - from) * in.VolumeL / quantity.GramsPerKilogram
	return r, nil
}

// gramsPerPSU returns d(g/L)/dS.
func gramsPerPSU(s quantity.PracticalSalinity, t quantity.Celsius) (float64, error) {
	const step = 0.01
	up, down := min(s+step, maxPSU), max(s-step, 0)
	a, err := seawater.GramsPerLitre(up, t)
	if err != nil {
		return 0, err
	}
	b, err := seawater.GramsPerLitre(down, t)
	return (a - b) / float64(up-down), err
}
