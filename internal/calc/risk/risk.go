package risk

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sort"

	"saltwright/internal/calc"
	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/numeric"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/reliability"
)

const (
	hoursPerYear = 8766.0
	daysPerYear  = 365.25
	per100       = 100.0
)

// Input is a plan and what is known of its parts and people.
type Input struct {
	Plan          plan.Plan
	Rates         []Stated
	AbsencePerYr  float64 // longest absences a year, 0 … 100
	UntestedYears float64 // how long a hidden failure waits where nothing is tested, 0.01 … 20 years
	ErrorFactor   float64 // 95 % of the true rates lie within the stated ones times and over this, 1 … 100
	TankYears     float64 // of the Monte Carlo, 0 … 1e6; 0: none
	Seed          uint64
}

// Set is a cut set with what it costs.
type Set struct {
	audit.CutSet
	PerYear float64 // how often it loses the tank
	Share   float64 // of all losses
}

// Element is what one element takes part in.
type Element struct {
	ID       string
	PerYear  float64 // of the sets that hold one of its faults
	Share    float64 // Fussell-Vesely, all its faults together
	Overtake bool    // with its rates times ten it would take part in most losses
}

// Test is what trying a protection is worth.
type Test struct {
	Element       string
	EveryDays     float64 // as planned; 0: never
	NowPer100     float64
	MonthlyPer100 float64 // losses in 100 tank-years if it were tried every 30 days
	NeverPer100   float64 // if it were never tried
	WorthPer100   float64 // now less monthly: what a monthly test still buys
}

// Response is what a time from alarm to hands on the tank costs.
type Response struct {
	Hours  float64
	Per100 float64
}

// Loss is one kind of loss.
type Loss struct {
	Loss   string
	Per100 float64
}

// MonteCarlo is the count of losses in drawn tank-years.
type MonteCarlo struct {
	TankYears     float64
	Losses        int
	Per100        float64
	Low95, High95 float64 // of Per100, by the count alone
	Agrees        bool    // the arithmetic lies within it
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
	Low95      float64 // 5th and 95th percentile of it, the rates being unsure
	High95     float64
	Robust     bool // the first element stays first whatever single rate is ten times larger or smaller
	MonteCarlo *MonteCarlo
}

func at(list string, i int, member string) string { return fmt.Sprintf("%s[%d].%s", list, i, member) }

// model is everything the arithmetic and the drawn years share.
type model struct {
	faults   []audit.FaultReport
	sets     []audit.CutSet // singles, and pairs without a single in them
	index    [][]int
	started  [][]start // by fault: the sets that its coming may complete, the earliest harm first
	rate     []float64
	hidden   []bool
	interval []float64 // years between tests of a hidden fault
	lasts    []float64 // years after which it passes by itself; 0: it stays until it is found
	absence  float64   // h
	look     float64   // h
	share    float64   // of the year spent in absences of the longest length
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
		{"absences_per_year", in.AbsencePerYr, 0, 100, "1/year"}, {"untested_years", in.UntestedYears, 0.01, 20, "year"},
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
	m := model{faults: faults, absence: *p.Attendance.LongestAbsenceH, look: math.Min(p.Attendance.LookEveryH, *p.Attendance.LongestAbsenceH)}
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
	total := sum(each)
	r.Per100 = per100 * total
	for k, s := range m.sets {
		r.Sets = append(r.Sets, Set{CutSet: s, PerYear: each[k], Share: part(each[k], total)})
	}
	sort.SliceStable(r.Sets, func(i, j int) bool { return numeric.Rounded(r.Sets[i].PerYear) > numeric.Rounded(r.Sets[j].PerYear) })
	r.Losses = m.losses(each)
	if r.Elements, r.Robust, err = m.elements(each, total); err != nil {
		return r, err
	}
	if r.Tests, err = m.tests(p, in.UntestedYears, r.Per100); err != nil {
		return r, err
	}
	if r.Responses, err = m.responses(r.Combined, *p.Attendance.ResponseH); err != nil {
		return r, err
	}
	if r.Low95, r.High95, err = m.interval95(in); err != nil {
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

func part(a, of float64) float64 {
	if of == 0 {
		return 0
	}
	return a / of
}

func sum(list []float64) float64 {
	s := 0.0
	for _, x := range list {
		s += x
	}
	return s
}

// distinct keeps each set of faults once, by its earliest harm, and no pair that holds a single.
func distinct(all []audit.CutSet, faults []audit.FaultReport) ([]audit.CutSet, [][]int) {
	place := map[string]int{}
	for i, f := range faults {
		place[f.Fault.ID] = i
	}
	var sets []audit.CutSet
	var index [][]int
	single := map[int]bool{}
	for _, s := range all { // singles come first
		var ids []int
		for _, f := range s.Faults {
			ids = append(ids, place[f])
		}
		if len(ids) == 2 && (single[ids[0]] || single[ids[1]]) {
			continue
		}
		if len(ids) == 1 {
			single[ids[0]] = true
		}
		if k := slices.IndexFunc(index, func(x []int) bool { return slices.Equal(x, ids) }); k >= 0 {
			if s.HarmH < sets[k].HarmH {
				sets[k] = s
			}
			continue
		}
		sets, index = append(sets, s), append(index, ids)
	}
	return sets, index
}

// testedEvery returns the years between two tests of an element, or how long it waits untested.
func testedEvery(p plan.Plan, element string, untested float64) float64 {
	every := untested
	for _, t := range p.ProofTests {
		if t.Element == element {
			every = math.Min(every, t.EveryDays/daysPerYear)
		}
	}
	return every
}

// alone is the chance that nobody comes for some hours after a moment of the year.
func (m model) alone(h float64) float64 {
	return m.share*math.Max(0, 1-h/m.absence) + (1-m.share)*math.Max(0, 1-h/m.look)
}

// before is the mean time, in years, that a fault which is seen at the next look has been there when a
// second one comes and nobody follows for some hours more: with u left of a period P, P - u has gone by.
//
//	∫ (P - u) du / P over u = H … P = (P - H)²/(2 P)
func (m model) before(h float64) float64 {
	part := func(period float64) float64 {
		left := math.Max(0, period-h)
		return left * left / (2 * period)
	}
	return (m.share*part(m.absence) + (1-m.share)*part(m.look)) / hoursPerYear
}

// frequencies returns how often each set loses the tank, per year.
//
// A fault that comes finds each partner j failed with the chance q_j, independently. Of the time u until
// the next look, those with H_j < u matter: the tank is lost with 1 - Π (1 - q_j) over them, q being 1 for
// the fault alone. Σ over the steps of H is exact; each set gets its part of the sum of its own chances.
func (m model) frequencies(rate, interval []float64) ([]float64, error) {
	reveals := make([]float64, len(rate)) // how often a hidden fault's being there costs the tank
	for i, list := range m.started {
		for _, x := range list {
			if x.partner >= 0 {
				reveals[x.partner] += rate[i] * m.alone(m.sets[x.set].HarmH)
			}
		}
	}
	q := make([]float64, len(rate))
	for i := range rate {
		if !m.hidden[i] {
			continue
		}
		if m.lasts[i] > 0 {
			q[i] = rate[i] * m.lasts[i] / (1 + (rate[i]+reveals[i])*m.lasts[i])
			continue
		}
		var err error
		if q[i], err = reliability.Tested(rate[i], interval[i], reveals[i]); err != nil {
			return nil, err
		}
	}
	out := make([]float64, len(m.sets))
	for i, list := range m.started {
		lost, survive, chances := 0.0, 1.0, 0.0
		waits := make([]start, 0, len(list)) // alone, or with a partner that waits hidden
		for _, x := range list {
			if x.partner < 0 || m.hidden[x.partner] {
				waits = append(waits, x)
				continue
			}
			out[x.set] += rate[i] * rate[x.partner] * m.before(m.sets[x.set].HarmH)
		}
		chance := func(x start) float64 {
			if x.partner < 0 {
				return 1
			}
			return q[x.partner]
		}
		for n, x := range waits {
			survive *= 1 - chance(x)
			until := 0.0
			if n+1 < len(waits) {
				until = m.alone(m.sets[waits[n+1].set].HarmH)
			}
			lost += (m.alone(m.sets[x.set].HarmH) - until) * (1 - survive)
			chances += chance(x) * m.alone(m.sets[x.set].HarmH)
		}
		for _, x := range waits {
			if chances > 0 {
				out[x.set] += rate[i] * lost * chance(x) * m.alone(m.sets[x.set].HarmH) / chances
			}
		}
	}
	return out, nil
}

func (m model) losses(each []float64) []Loss {
	by := map[string]float64{}
	for k, s := range m.sets {
		by[s.Loss] += per100 * each[k]
	}
	var out []Loss
	for loss, f := range by {
		out = append(out, Loss{loss, f})
	}
	sort.Slice(out, func(i, j int) bool {
		return out[i].Per100 > out[j].Per100 || out[i].Per100 == out[j].Per100 && out[i].Loss < out[j].Loss
	})
	return out
}

// elementShares returns by element the frequency of the sets that hold one of its faults.
func (m model) elementShares(each []float64) map[string]float64 {
	by := map[string]float64{}
	for k, s := range m.index {
		seen := map[string]bool{}
		for _, i := range s {
			if e := m.faults[i].Fault.Element; !seen[e] {
				seen[e] = true
				by[e] += each[k]
			}
		}
	}
	return by
}

func ranked(by map[string]float64) []string {
	var ids []string
	for id := range by {
		ids = append(ids, id)
	}
	sort.Slice(ids, func(i, j int) bool { return by[ids[i]] > by[ids[j]] || by[ids[i]] == by[ids[j]] && ids[i] < ids[j] })
	return ids
}

func (m model) elements(each []float64, total float64) ([]Element, bool, error) {
	by := m.elementShares(each)
	ids := ranked(by)
	robust := true
	var out []Element
	const factor = 10
	for _, id := range ids {
		e := Element{ID: id, PerYear: by[id], Share: part(by[id], total)}
		for _, f := range []float64{factor, 1.0 / factor} {
			moved := slices.Clone(m.rate)
			for i := range moved {
				if m.faults[i].Fault.Element == id {
					moved[i] *= f
				}
			}
			changed, err := m.frequencies(moved, m.interval)
			if err != nil {
				return nil, false, err
			}
			first := ranked(m.elementShares(changed))[0]
			e.Overtake = e.Overtake || f > 1 && first == id && id != ids[0]
			robust = robust && first == ids[0]
		}
		out = append(out, e)
	}
	return out, robust, nil
}

// tests returns what trying each element with a hidden fault in a set is worth.
func (m model) tests(p plan.Plan, untested, now float64) ([]Test, error) {
	const monthly = 30 / daysPerYear
	elements := map[string]bool{}
	for _, s := range m.index {
		for _, i := range s {
			if m.hidden[i] && m.lasts[i] == 0 {
				elements[m.faults[i].Fault.Element] = true
			}
		}
	}
	var out []Test
	for id := range elements {
		t := Test{Element: id, NowPer100: now}
		if every := testedEvery(p, id, untested); every < untested {
			t.EveryDays = every * daysPerYear
		}
		for _, x := range []struct {
			into  *float64
			every float64
		}{{&t.MonthlyPer100, monthly}, {&t.NeverPer100, untested}} {
			moved := slices.Clone(m.interval)
			for i := range moved {
				if m.faults[i].Fault.Element == id {
					moved[i] = x.every
				}
			}
			each, err := m.frequencies(m.rate, moved)
			if err != nil {
				return nil, err
			}
			*x.into = per100 * sum(each)
		}
		t.WorthPer100 = t.NowPer100 - t.MonthlyPer100
		out = append(out, t)
	}
	sort.Slice(out, func(i, j int) bool {
		a, b := out[i].NeverPer100-out[i].MonthlyPer100, out[j].NeverPer100-out[j].MonthlyPer100
		return a > b || a == b && out[i].Element < out[j].Element
	})
	return out, nil
}

// responses returns the losses for other times from alarm to hands on the tank.
func (m model) responses(c audit.Combined, planned float64) ([]Response, error) {
	every := append(slices.Clone(c.CutSets), rescued(c)...)
	sort.SliceStable(every, func(i, j int) bool { return len(every[i].Faults) < len(every[j].Faults) })
	hours := []float64{1, 2, 4, 8, 12, 24, 48}
	if !slices.Contains(hours, planned) {
		hours = append(hours, planned)
		sort.Float64s(hours)
	}
	var out []Response
	for _, h := range hours {
		var late []audit.CutSet
		for _, s := range every {
			if s.RaisedH == nil || s.HarmH < *s.RaisedH+h {
				late = append(late, s)
			}
		}
		each, err := m.of(late).frequencies(m.rate, m.interval)
		if err != nil {
			return nil, err
		}
		out = append(out, Response{h, per100 * sum(each)})
	}
	return out, nil
}

func rescued(c audit.Combined) []audit.CutSet {
	var out []audit.CutSet
	for _, r := range c.Rescues {
		out = append(out, r.CutSet)
	}
	return out
}
