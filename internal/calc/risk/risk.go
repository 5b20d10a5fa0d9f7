package risk

import (
	"context"
	"math"
	"sort"
	"strings"

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

// Set is a cut set with what it costs, in all rooms together.
type Set struct {
	audit.CutSet         // of the room in which the loss comes first
	PerYear      float64 // how often it loses the tank
	Share        float64 // of all losses
}

// Result is the risk of a plan.
type Result struct {
	Combined   audit.Combined
	Assumed    []plan.Assumption // about people and rooms, besides those of the plan
	Rates      []Rate
	Sets       []Set // most losses first
	Elements   []Element
	Tests      []Test
	Responses  []Response
	Losses     []Loss
	Per100     float64  // expected losses in 100 tank-years
	Harms100   float64  // how often in 100 tank-years it comes to harm, damage or loss
	P5, P95    float64  // 5th and 95th percentile of it, the rates being unsure
	Robust     bool     // the first element stays first whatever single rate is ten times larger or smaller
	Money      *float64 // what that costs a year, in the keeper's currency; nil: the keeper named no worth
	MonteCarlo *MonteCarlo
}

// Assess returns how often a plan would lose the tank, and by what.
//
//	set {i}     λ_i a P(H)                        lost: nobody comes for H hours
//	set {i, j}  (λ_i q_j + λ_j q_i) a P(H)        the second finds the first still failed; where one fault
//	                                              completes several sets, 1 - Π (1 - q a) in place of Σ q a
//	P(H)        share max(0, 1 - H/A) + (1 - share) max(0, 1 - H/L), times the chance that an interruption of the
//	            mains lasts as long where it is one
//	a           1 - s (1 - exp(-(H - R - r)/d))   no alarm is answered in time (plan.Chances), 1 without an alarm
//	λ_i         (1 - Σ β) of a part's rate, and β times the geometric mean for a common cause of several
//	q           hidden: reliability.Tested, a lost tank being rebuilt in order, or λ d while it lasts d
//	            by itself (the network); seen at the next look: λ (P - u) while u of the period P is left
//
//	A, L  longest absence and time between looks [h], share of the year in such absences
//	R     when the first alarm is raised  [h]
//
// Each room counts by its share of the year. A fault comes at any moment of its period. Only failures that the audit
// lists are counted. Accuracy: rates are orders of magnitude, so the interval is the answer; a fault's place in a set
// is as good as the audit; three that fail at once are counted where they have one cause.
// Errors: as audit.Pairs; *calc.RangeError; *calc.ConflictError for a rate of nothing in the plan.
// Source: [NUREG0492], [IEC615086], [IEC61025], [NUREGCR4780]; rates [CommonPractice], [FESHM4240], [EIA2023],
// [Grover2013], [ISO138491].
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
	var m model
	m, r.Assumed = newModel(in, r.Combined, r.Rates)
	m = m.of(lossSets(r.Combined))
	each, err := m.frequencies(m.rate, m.interval)
	if err != nil {
		return r, err
	}
	top, err := m.top(each)
	if err != nil {
		return r, err
	}
	r.Per100 = lossesPer100 * top.Total
	if r.Harms100, err = m.of(withRescued(r.Combined.HarmSets, r.Combined,
		audit.HarmStep)).per100(m.rate, m.interval); err != nil {
		return r, err
	}
	if p.Worth != nil && p.Worth.Livestock != nil {
		money := top.Total * *p.Worth.Livestock
		r.Money = &money
	}
	r.Sets = m.overRooms(each, top.Total)
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

// newModel returns a plan's model without its sets, and what was assumed of people and rooms.
func newModel(in Input, c audit.Combined, rates []Rate) (model, []plan.Assumption) {
	p, faults := c.Report.Plan, c.Report.Faults
	m := model{faults: faults, own: byThemselves(faults), absence: *p.Attendance.LongestAbsenceH,
		look: math.Min(p.Attendance.LookEveryH, *p.Attendance.LongestAbsenceH)}
	m.share = math.Min(1, in.AbsencePerYr*m.absence/hoursPerYear)
	chances, assumed := plan.ChancesOf(p)
	m.chances = chances
	for i, f := range faults {
		m.rate = append(m.rate, rates[i].PerYear)
		m.hidden = append(m.hidden, f.Hidden)
		m.mains = append(m.mains, f.Fault.Kind == "mains")
		m.lasts = append(m.lasts, f.Fault.LastsH/hoursPerYear)
	}
	m.interval = m.intervals(func(element string) float64 { return testedEvery(p, element, in.UntestedYears) })
	return m, assumed
}

// overRooms adds up each set over the rooms, most losses first.
func (m model) overRooms(each []float64, total float64) []Set {
	type key struct {
		loss, faults string
	}
	var out []Set
	known := map[key]int{}
	for k, s := range m.sets {
		id := key{s.Loss, strings.Join(s.Faults, " ")}
		n, ok := known[id]
		if !ok {
			n, out = len(out), append(out, Set{CutSet: s.CutSet})
			known[id] = n
		}
		if numeric.Rounded(s.AtH) < numeric.Rounded(out[n].AtH) {
			out[n].CutSet = s.CutSet
		}
		out[n].PerYear += each[k]
	}
	for n := range out {
		if total > 0 {
			out[n].Share = out[n].PerYear / total
		}
	}
	sort.SliceStable(out, func(i, j int) bool {
		return numeric.Rounded(out[i].PerYear) > numeric.Rounded(out[j].PerYear)
	})
	return out
}
