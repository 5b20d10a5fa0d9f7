package risk

import (
	"context"
	"math"
	"sort"

	"saltwright/internal/calc"
	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/numeric"
	"saltwright/internal/calc/plan"
)

// Input is a plan and what is known of its parts and people.
type Input struct {
	Plan          plan.Plan
	Rates         []Stated
	AbsencePerYr  float64 // longest absences a year, 0 … 100
	UntestedYears float64 // how long a hidden failure waits where nothing is tested, 0.01 … 20 years
	ErrorFactor   float64 // 90 % of the true rates lie within the stated ones times and over this, 1 … 100
	TankYears     float64 // of the Monte Carlo, 0 … 1e6; 0: none
	Seed          uint64
}

// Set is a cut set with what it costs.
type Set struct {
	audit.CutSet
	PerYear float64 // how often it loses the tank
	Share   float64 // of all losses
}

// Result is the risk of a plan.
type Result struct {
	Combined   audit.Combined
	Rates      []Rate
	Sets       []Set // most losses first
	Elements   []Element
	Tests      []Test
	Responses  []Response
	Losses     []Loss
	Per100     float64 // expected losses in 100 tank-years
	Harms100   float64 // how often in 100 tank-years it comes to harm, damage or loss
	P5, P95    float64 // 5th and 95th percentile of it, the rates being unsure
	Robust     bool    // the first element stays first whatever single rate is ten times larger or smaller
	MonteCarlo *MonteCarlo
}

// Assess returns how often a plan would lose the tank, and by what.
//
//	set {i}     λ_i P(H)                          lost: nobody comes for H hours
//	set {i, j}  (λ_i q_j + λ_j q_i) P(H)          the second finds the first still failed; where one fault
//	                                              completes several sets, 1 - Π (1 - q) in place of Σ q
//	P(H)        share max(0, 1 - H/A) + (1 - share) max(0, 1 - H/L)
//	q           hidden: reliability.Tested, a lost tank being rebuilt in order, or λ d while it lasts d
//	            by itself (the network); seen at the next look: λ (P - u) while u of the period P is left
//
//	A, L  longest absence and time between looks [h], share of the year in such absences
//
// A fault comes at any moment of its period. Accuracy: rates are orders of magnitude, so the
// interval is the answer; a fault's place in a set is as good as the audit.
// Errors: as audit.Pairs; *calc.RangeError; *calc.ConflictError for a rate of nothing in the plan.
// Source: [NUREG0492], [IEC615086], [IEC61025]; rates [CommonPractice].
func Assess(ctx context.Context, in Input) (Result, error) {
	var r Result
	for _, c := range []struct {
		param           string
		value, min, max float64
		unit            string
	}{
		{"absences_per_year", in.AbsencePerYr, 0, 100, "1/year"},
		{"untested_years", in.UntestedYears, 0.01, 20, "year"},
		{"error_factor", in.ErrorFactor, 1, 100, "1"}, {"tank_years", in.TankYears, 0, 1e6, "year"},
	} {
		if err := calc.CheckRange(c.param, c.value, c.min, c.max, c.unit); err != nil {
			return r, err
		}
	}
	var err error
	if r.Combined, err = audit.Pairs(ctx, in.Plan); err != nil {
		return r, err
	}
	p := r.Combined.Report.Plan
	faults := r.Combined.Report.Faults
	if r.Rates, err = rates(faults, in.Rates); err != nil {
		return r, err
	}
	m := model{faults: faults, absence: *p.Attendance.LongestAbsenceH, look: math.Min(p.Attendance.LookEveryH,
		*p.Attendance.LongestAbsenceH)}
	m.share = math.Min(1, in.AbsencePerYr*m.absence/hoursPerYear)
	m = m.of(r.Combined.CutSets)
	for i, f := range faults {
		m.rate = append(m.rate, r.Rates[i].PerYear)
		m.hidden = append(m.hidden, f.Hidden)
		m.interval = append(m.interval, testedEvery(p, f.Fault.Element, in.UntestedYears))
		m.lasts = append(m.lasts, passes(f.Fault))
	}
	each, err := m.frequencies(m.rate, m.interval)
	if err != nil {
		return r, err
	}
	top, err := m.top(each)
	if err != nil {
		return r, err
	}
	r.Per100 = lossesPer100 * top.Total
	if r.Harms100, err = m.of(r.Combined.HarmSets).per100(m.rate, m.interval); err != nil {
		return r, err
	}
	for k, s := range m.sets {
		set := Set{CutSet: s, PerYear: each[k]}
		if top.Total > 0 {
			set.Share = each[k] / top.Total
		}
		r.Sets = append(r.Sets, set)
	}
	sort.SliceStable(r.Sets, func(i,
		j int) bool {
		return numeric.Rounded(r.Sets[i].PerYear) > numeric.Rounded(r.Sets[j].PerYear)
	})
	r.Losses = m.losses(each)
	if r.Elements, r.Robust, err = m.byElement(top); err != nil {
		return r, err
	}
	if r.Tests, err = m.tests(p, in.UntestedYears, r.Per100); err != nil {
		return r, err
	}
	if r.Responses, err = m.responses(r.Combined, *p.Attendance.ResponseH); err != nil {
		return r, err
	}
	if r.P5, r.P95, err = m.spread(in.ErrorFactor, in.Seed); err != nil {
		return r, err
	}
	if in.TankYears > 0 {
		mc, err := m.drawYears(ctx, in.TankYears, in.Seed)
		if err != nil {
			return r, err
		}
		mc.Agrees = r.Per100 >= mc.Low95 && r.Per100 <= mc.High95
		r.MonteCarlo = &mc
	}
	return r, nil
}
