package risk

import (
	"cmp"
	"context"
	"math"
	"slices"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/numeric"
	"saltwright/internal/calc/plan"
)

// Intervals that tests are made at, days, and the share of the losses that a test more often has to save; common
// practice, no source.
const (
	monthlyDays = 30.0
	weeklyDays  = 7.0
	worthwhile  = 0.01
)

// Oftener is a protection that is tried more often.
type Oftener struct {
	Element    string
	EveryDays  float64
	WasDays    float64 // as planned; 0: never
	NowPer100  float64 // losses in 100 tank-years, single faults, pairs and common causes
	ThenPer100 float64
}

// Saves returns the losses in 100 tank-years that it avoids.
//
// Accuracy: that of the losses. Errors: none. Source: [Derived].
func (o Oftener) Saves() float64 { return o.NowPer100 - o.ThenPer100 }

// TestsOftener returns what trying protections more often saves, most first: every month what is tried seldom or never,
// every week what is tried every month already. Only what saves a hundredth of the losses is told.
//
// A test changes how long a hidden fault waits, and no run: so that the losses are those of plan-risk with it.
// Accuracy: as Assess. Errors: as Assess. Source: [NUREG0492], [CommonPractice] for the intervals.
func TestsOftener(ctx context.Context, in Input) ([]Oftener, error) {
	c, err := audit.Pairs(ctx, in.Plan)
	if err != nil {
		return nil, err
	}
	rates, err := rates(c.Report.Faults, in.Rates)
	if err != nil {
		return nil, err
	}
	m, _ := newModel(in, c, rates)
	m = m.of(lossSets(c))
	p := c.Report.Plan
	now, err := m.per100(m.rate, m.interval)
	if err != nil {
		return nil, err
	}
	var out []Oftener
	for _, id := range m.waiting() {
		o := Oftener{Element: id, EveryDays: monthlyDays, NowPer100: now}
		if every := testedEvery(p, id, in.UntestedYears); every < in.UntestedYears {
			o.WasDays = every * daysPerYear
		}
		if o.WasDays > 0 && numeric.Rounded(o.WasDays) <= monthlyDays {
			o.EveryDays = weeklyDays
		}
		if o.WasDays > 0 && numeric.Rounded(o.WasDays) <= weeklyDays {
			continue
		}
		if o.ThenPer100, err = m.testedAt(p, in.UntestedYears, id, o.EveryDays/daysPerYear); err != nil {
			return nil, err
		}
		if o.Saves() > worthwhile*now {
			out = append(out, o)
		}
	}
	slices.SortStableFunc(out, func(a, b Oftener) int {
		return cmp.Compare(numeric.Rounded(a.ThenPer100), numeric.Rounded(b.ThenPer100))
	})
	return out, nil
}

// testedAt returns the losses when one element is tried every so many years.
func (m model) testedAt(p plan.Plan, untested float64, element string, every float64) (float64, error) {
	return m.per100(m.rate, m.intervals(func(id string) float64 {
		if id == element {
			return math.Min(every, untested)
		}
		return testedEvery(p, id, untested)
	}))
}
