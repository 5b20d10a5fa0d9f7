package risk

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/reliability"
)

// Element is what one element takes part in.
type Element struct {
	ID              string
	PerYear         float64 // of the sets that hold one of its faults
	Share           float64 // Fussell-Vesely, all its faults together
	FirstIfTenTimes bool    // with its rates times ten it would take part in most losses
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

func (m model) losses(each []float64) []Loss {
	by := map[string]float64{}
	for k, s := range m.sets {
		by[s.Loss] += lossesPer100 * each[k]
	}
	var out []Loss
	for loss, f := range by {
		out = append(out, Loss{loss, f})
	}
	slices.SortFunc(out, func(a, b Loss) int {
		return cmp.Or(cmp.Compare(b.Per100, a.Per100), cmp.Compare(a.Loss, b.Loss))
	})
	return out
}

// top returns what the sets come to together, and by element what its faults have of it.
func (m model) top(each []float64) (reliability.Top, error) {
	return reliability.TopEvent(m.parts, each, len(m.elements))
}

// ranked returns the elements by their share, the greatest first.
func (m model) ranked(t reliability.Top) []int {
	var order []int
	for i := range m.elements {
		order = append(order, i)
	}
	share := t.FussellVesely
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(share[b], share[a]), cmp.Compare(m.elements[a], m.elements[b]))
	})
	return order
}

// byElement returns what each element takes part in, and whether the first stays first whatever single element's rates
// are ten times larger or smaller.
func (m model) byElement(t reliability.Top) ([]Element, bool, error) {
	const factor = 10
	order := m.ranked(t)
	robust := true
	var out []Element
	for _, k := range order {
		id := m.elements[k]
		e := Element{ID: id, PerYear: t.FussellVesely[k] * t.Total, Share: t.FussellVesely[k]}
		for _, f := range []float64{factor, 1.0 / factor} {
			moved := slices.Clone(m.rate)
			for i := range moved {
				// What takes several at once follows the geometric mean of their rates.
				if of := m.faults[i].Fault.Elements(); slices.Contains(of, id) {
					moved[i] *= math.Pow(f, 1/float64(len(of)))
				}
			}
			each, err := m.frequencies(moved, m.interval)
			if err != nil {
				return nil, false, err
			}
			changed, err := m.top(each)
			if err != nil {
				return nil, false, err
			}
			first := m.ranked(changed)[0]
			e.FirstIfTenTimes = e.FirstIfTenTimes || f > 1 && first == k && k != order[0]
			robust = robust && first == order[0]
		}
		out = append(out, e)
	}
	return out, robust, nil
}

// waiting lists the elements with a fault in a set that waits hidden until it is tried.
func (m model) waiting() []string {
	elements := map[string]bool{}
	for _, s := range m.sets {
		for _, i := range s.faults {
			for _, id := range m.faults[i].Fault.Elements() {
				elements[id] = elements[id] || m.hidden[i] && m.lasts[i] == 0
			}
		}
	}
	var out []string
	for id, waits := range elements {
		if waits {
			out = append(out, id)
		}
	}
	slices.Sort(out)
	return out
}

// tests returns what trying each element with a hidden fault in a set is worth.
func (m model) tests(p plan.Plan, untested, now float64) ([]Test, error) {
	const monthly = 30 / daysPerYear
	var out []Test
	for _, id := range m.waiting() {
		t := Test{Element: id, NowPer100: now}
		if every := testedEvery(p, id, untested); every < untested {
			t.EveryDays = every * daysPerYear
		}
		for _, x := range []struct {
			into  *float64
			every float64
		}{{&t.MonthlyPer100, monthly}, {&t.NeverPer100, untested}} {
			losses, err := m.per100(m.rate, m.intervals(func(element string) float64 {
				if element == id {
					return x.every
				}
				return testedEvery(p, element, untested)
			}))
			if err != nil {
				return nil, err
			}
			*x.into = losses
		}
		t.WorthPer100 = t.NowPer100 - t.MonthlyPer100
		out = append(out, t)
	}
	slices.SortFunc(out, func(a, b Test) int {
		return cmp.Or(cmp.Compare(b.NeverPer100-b.MonthlyPer100, a.NeverPer100-a.MonthlyPer100),
			cmp.Compare(a.Element, b.Element))
	})
	return out, nil
}

// responses returns the losses for other times from alarm to hands on the tank.
func (m model) responses(c audit.Combined, planned float64) ([]Response, error) {
	every := lossSets(c)
	hours := []float64{1, 2, 4, 8, 12, 24, 48}
	if !slices.Contains(hours, planned) {
		hours = append(hours, planned)
		sort.Float64s(hours)
	}
	var out []Response
	for _, h := range hours {
		m.chances.People = slices.Clone(m.chances.People)
		for i := range m.chances.People {
			m.chances.People[i].ActsWithinH = &h
		}
		losses, err := m.of(every).per100(m.rate, m.interval)
		if err != nil {
			return nil, err
		}
		out = append(out, Response{h, losses})
	}
	return out, nil
}

// lossSets are the sets that lose the tank unless an alarm is answered in time.
func lossSets(c audit.Combined) []audit.CutSet { return withRescued(c.CutSets, c, audit.LossStep) }

func withRescued(late []audit.CutSet, c audit.Combined, step audit.Step) []audit.CutSet {
	out := slices.Clone(late)
	for _, r := range c.Rescues {
		if r.Step == step {
			out = append(out, r.CutSet)
		}
	}
	return out
}
