package light

import (
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// Shifted returns the programme later by some minutes, earlier when negative.
//
//	minutes  -1440 … 1440
//
// Accuracy: exact to rounding. Errors: *calc.RangeError; *calc.ConflictError when rounding
// would put corners out of order. Source: [Derived].
func (s Schedule) Shifted(minutes float64) (Schedule, error) {
	if err := calc.CheckRange(
		"shift_min", minutes, -quantity.MinutesPerDay, quantity.MinutesPerDay, "min",
	); err != nil {
		return Schedule{}, err
	}
	hours := minutes / quantity.MinutesPerHour
	corners := s.Points()
	for i := range corners {
		h := math.Mod(corners[i].Hour+hours, quantity.HoursPerDay)
		if h < 0 {
			h += quantity.HoursPerDay
		}
		const roundTo = quantity.SecondsPerHour * 1000 // corners stay on whole milliseconds
		h = math.Round(h*roundTo) / roundTo
		if h >= quantity.HoursPerDay {
			h = 0
		}
		corners[i].Hour = h
	}
	first := 0
	for i := 1; i < len(corners); i++ {
		if corners[i].Hour < corners[i-1].Hour {
			first = i
		}
	}
	return NewSchedule(append(corners[first:], corners[:first]...))
}

// Points returns the corners of the day in its order, none that lies on a straight line: what NewSchedule takes.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (s Schedule) Points() []Point {
	var out []Point
	n := len(s.segments)
	for i, p := range s.segments {
		before := s.segments[(i+n-1)%n]
		if before.ToLevel != p.FromLevel { // a step keeps both its corners
			out = append(out, Point{p.StartHour, before.ToLevel}, Point{p.StartHour, p.FromLevel})
			continue
		}
		slope := func(x Segment) float64 { return (x.ToLevel - x.FromLevel) / x.hours() }
		if math.Abs(slope(before)-slope(p)) > 1e-9*math.Max(1, math.Abs(slope(p))) {
			out = append(out, Point{p.StartHour, p.FromLevel})
		}
	}
	if len(out) == 0 && n > 0 {
		out = append(out, Point{0, s.segments[0].FromLevel})
	}
	return out
}

// AcclimationInput is the way from a light that is safe to the goal.
type AcclimationInput struct {
	StartDLI            float64 // what the corals are used to, 0.01 … 100 mol/(m2 d)
	GoalDLI             float64 // above it, up to 100 mol/(m2 d)
	FullDLI             float64 // of the programme at 100 %, at least GoalDLI
	Weeks               int     // 0: as few as the rise allows, else 1 … 52
	StepsPerWeek        int     // 1 … 7
	MostRisePercentWeek float64 // 1 … 100 %
}

// UsualRisePercentWeek is how fast light may rise over corals; common practice, no source.
const UsualRisePercentWeek = 15.0

// AcclimationStep is one setting.
type AcclimationStep struct {
	Day          int     // from the start
	ScalePercent float64 // of the programme's full strength
	DLI          float64
	RisePercent  float64 // over the step before
}

// AcclimationResult is the settings.
type AcclimationResult struct {
	Weeks       int
	Steps       []AcclimationStep // the start first, the goal last
	RisePerWeek float64           // per cent a week, the same every week
	WithinRise  bool
}

// Acclimate returns the settings that lead from one light integral to another by equal ratios.
//
//	DLI_k = start · (goal/start)^(k/n), n = weeks · steps a week
//	weeks >= ln(goal/start) / ln(1 + rise)
//
// Equal ratios, as what a coral has to bear is relative to what it is used to.
// Accuracy: exact. How fast is safe is common practice, no source.
// Errors: *calc.RangeError; *calc.ConflictError when the goal is not above the start,
// above what the programme can give, or more than 52 weeks away.
// Source: [Derived], [CommonPractice].
func Acclimate(in AcclimationInput) (AcclimationResult, error) {
	var r AcclimationResult
	for _, c := range []struct {
		param           string
		value, min, max float64
		unit            string
	}{
		{"start_dli_mol_m2_d", in.StartDLI, 0.01, 100, "mol/(m2 d)"},
		{"goal_dli_mol_m2_d", in.GoalDLI, 0.01, 100, "mol/(m2 d)"},
		{"weeks", float64(in.Weeks), 0, 52, "1"},
		{"steps_per_week", float64(in.StepsPerWeek), 1, 7, "1"},
		{"most_rise_percent_week", in.MostRisePercentWeek, 1, 100, "%"},
	} {
		if err := calc.CheckRange(c.param, c.value, c.min, c.max, c.unit); err != nil {
			return r, err
		}
	}
	if !(in.FullDLI >= 0.01 && in.FullDLI <= 1000) {
		return r, &calc.ConflictError{
			Params: []string{"channels"},
			Reason: text.Of("light_full_strength_implausible", text.Params{"full": in.FullDLI}),
		}
	}
	if in.GoalDLI <= in.StartDLI {
		return r, &calc.ConflictError{
			Params: []string{"start_dli_mol_m2_d", "goal_dli_mol_m2_d"},
			Reason: text.Of("light_goal_not_above_start", nil),
		}
	}
	if in.GoalDLI > in.FullDLI*(1+1e-9) {
		return r, &calc.ConflictError{
			Params: []string{"goal_dli_mol_m2_d", "channels"},
			Reason: text.Of("light_goal_above_full_strength", text.Params{"full": in.FullDLI}),
		}
	}
	total := math.Log(in.GoalDLI / in.StartDLI)
	perWeek := math.Log1p(in.MostRisePercentWeek / 100)
	r.Weeks = in.Weeks
	if r.Weeks == 0 {
		r.Weeks = max(1, int(math.Ceil(total/perWeek-1e-9)))
		if r.Weeks > 52 {
			return r, &calc.ConflictError{
				Params: []string{"most_rise_percent_week", "start_dli_mol_m2_d", "goal_dli_mol_m2_d"},
				Reason: text.Of("light_takes_over_a_year", nil),
			}
		}
	}
	n := r.Weeks * in.StepsPerWeek
	r.RisePerWeek = 100 * math.Expm1(total/float64(r.Weeks))
	r.WithinRise = total/float64(r.Weeks) <= perWeek*(1+1e-9)
	last := in.StartDLI
	for k := range n + 1 {
		dli := in.StartDLI * math.Exp(total*float64(k)/float64(n))
		if k == n {
			dli = in.GoalDLI
		}
		r.Steps = append(r.Steps, AcclimationStep{
			Day: int(math.Round(
				7 * float64(k) / float64(in.StepsPerWeek),
			)), ScalePercent: 100 * dli / in.FullDLI, DLI: dli, RisePercent: 100 * (dli/last - 1),
		})
		last = dli
	}
	return r, nil
}

// PeakPPFD returns the greatest photon flux density that channels reach together, and whether all are known, µmol/(m²
// s).
//
//	max over the day of Σ peak · level / 100
//
// Accuracy: exact, at the corners of the sum. Errors: none. Source: [Derived].
func PeakPPFD(channels []Channel) (peak float64, known bool) {
	for _, c := range channels {
		if c.PeakPPFD == nil {
			return 0, false
		}
	}
	return together(channels, func(c Channel) float64 { return *c.PeakPPFD / 100 }).Peak(), true
}
