// Package reliability holds the arithmetic of parts that fail: how likely one is
// found failed, what sets of them cost together, and what share each has.
package reliability

import (
	"math"
	"slices"

	"saltwright/internal/calc"
	"saltwright/internal/calc/text"
)

const maxRate, maxTime = 1e4, 1e4 // 1/year, years

// Tested returns the mean unavailability of a part whose failure nobody sees until it is tried, or until it has cost
// the whole.
//
//	dq/dt = λ (1 - q) - μ q, q = 0 after each test
//	mean  = λ/(λ+μ) [1 - (1 - exp(-x))/x], x = (λ+μ) T; with μ = 0 and small λT it is λT/2
//
//	ratePerYear     λ, at least 0  [1/year]
//	intervalYear    T between two tests, at least 0  [year]
//	revealsPerYear  μ, how often its being failed shows by a loss that renews everything, at least 0  [1/year]
//
// The test takes no time and finds every failure, and what it finds is mended at once.
// Accuracy: exact for constant rates. Errors: *calc.RangeError.
// Source: [NUREG0492] chapter XI, [IEC615086] annex B; μ [Derived].
func Tested(ratePerYear, intervalYear, revealsPerYear float64) (float64, error) {
	if err := check(ratePerYear, intervalYear); err != nil {
		return 0, err
	}
	if err := calc.CheckRange("reveals_per_year", revealsPerYear, 0, maxRate, "1/year"); err != nil {
		return 0, err
	}
	sum := ratePerYear + revealsPerYear
	x := sum * intervalYear
	if sum == 0 {
		return 0, nil
	}
	if x < 1e-4 {
		return ratePerYear / sum * (x/2 - x*x/6), nil
	}
	return ratePerYear / sum * (1 + math.Expm1(-x)/x), nil
}

func check(rate, time float64) error {
	if err := calc.CheckRange("per_year", rate, 0, maxRate, "1/year"); err != nil {
		return err
	}
	return calc.CheckRange("interval_year", time, 0, maxTime, "year")
}

// Top is what minimal cut sets come to.
type Top struct {
	Total         float64   // Σ of the sets: an upper bound, good while rare
	FussellVesely []float64 // by part: the share of Total in sets that hold it
}

// TopEvent returns how probable, or how frequent, a top event is, from its minimal cut sets.
//
//	total = Σ sets,  FV_i = Σ sets with i / Σ sets
//
//	sets   minimal cut sets, as indices of parts, no part twice in one
//	each   probability or frequency of each set, at least 0
//	parts  their number
//
// Accuracy: the rare-event approximation is too high by about half its square. Errors: *calc.ConflictError for sets
// without a figure, a figure below 0 or an unknown part.
// Source: [NUREG0492] chapters VII and XI, [IEC61025].
func TopEvent(sets [][]int, each []float64, parts int) (Top, error) {
	refuse := func(code string) (Top, error) {
		return Top{}, &calc.ConflictError{Params: []string{"sets"}, Reason: text.Of(code, nil)}
	}
	if len(sets) != len(each) {
		return refuse("sets_and_figures_differ")
	}
	t := Top{FussellVesely: make([]float64, parts)}
	for k, set := range sets {
		if !(each[k] >= 0) {
			return refuse("set_figure_below_zero")
		}
		t.Total += each[k]
		for _, i := range set {
			if i < 0 || i >= parts {
				return refuse("set_of_unknown_part")
			}
			t.FussellVesely[i] += each[k]
		}
	}
	for i := range t.FussellVesely {
		if t.Total > 0 {
			t.FussellVesely[i] /= t.Total
		}
	}
	return t, nil
}

// Minimal returns the sets that hold no other, each sorted, shorter ones first, none twice.
//
//	sets  of parts in any order
//
// Errors: none. Source: [NUREG0492] chapter VII (absorption), [IEC61025].
func Minimal(sets [][]int) [][]int {
	bySize := make([][]int, 0, len(sets))
	for _, set := range sets {
		u := slices.Clone(set)
		slices.Sort(u)
		bySize = append(bySize, slices.Compact(u))
	}
	slices.SortStableFunc(bySize, func(a, b []int) int { return len(a) - len(b) })
	var out [][]int
	kept := map[int][][]int{} // by their first part, which whatever holds them holds, too
	for _, u := range bySize {
		if len(u) == 0 {
			return [][]int{u} // it lies within every other
		}
		if slices.ContainsFunc(u, func(part int) bool { return anyWithin(kept[part], u) }) {
			continue
		}
		out = append(out, u)
		kept[u[0]] = append(kept[u[0]], u)
	}
	return out
}

// anyWithin tells whether one of the sets lies within u; all are sorted.
func anyWithin(sets [][]int, u []int) bool {
	return slices.ContainsFunc(sets, func(s []int) bool {
		for _, part := range s {
			if _, found := slices.BinarySearch(u, part); !found {
				return false
			}
		}
		return true
	})
}
