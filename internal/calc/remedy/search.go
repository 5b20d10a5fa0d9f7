package remedy

import (
	"context"
	"slices"
	"sort"

	"saltwright/internal/calc/numeric"
)

// Score is what a plan with some changes comes to.
type Score struct {
	Unsound      map[string]bool // harmed and lost faults, and "nominal" when it fails with nothing broken
	Lost, Harmed int             // faults
	Per100       float64         // expected losses by single faults
	Harms100     float64         // how often single faults bring harm, damage or loss
	Events       int             // that it took to find out
}

// Set is some changes and what they come to.
type Set struct {
	Changes          []int // of the candidates
	Lost, Harmed     int
	Per100, Harms100 float64
	Sound            bool
}

// Found is what a search came to.
type Found struct {
	Sets    []Set // that leave nothing harmed or lost, the smallest first; all of one size
	Next    []Set // single changes, the one that avoids most first
	Best    *Set  // when nothing was found sound: what leaves least
	Audits  int
	LeftOut bool // the budget ended the search
}

const mostTogether = 5

// Try tells what some changes, numbered from 0, come to.
type Try func(ctx context.Context, set []int) (Score, error)

// Search finds the smallest sets of changes that leave nothing harmed or lost. Sets are tried in the order of
// their size, those first whose single effects, put together, promise most; each is audited.
//
//	budget  events of the simulation after which no further audit begins
//
// Accuracy: a smaller set whose parts help only together, without a promise of their own, may be missed beyond pairs.
// Errors: what try returns; the context's. Source: [Derived].
func Search(ctx context.Context, n int, base Score, budget int, try Try) (Found, error) {
	x := search{left: budget, try: try}
	var singles []Score
	for i := range n {
		s, ok, err := x.audit(ctx, []int{i})
		if err != nil {
			return x.found, err
		}
		if !ok {
			break
		}
		singles = append(singles, s)
		x.found.Next = append(x.found.Next, setOf([]int{i}, s))
	}
	f := &x.found
	sort.SliceStable(f.Next, func(a, b int) bool { return less(f.Next[a], f.Next[b]) })
	for _, s := range f.Next {
		if s.Sound {
			f.Sets = append(f.Sets, s)
		}
	}
	if len(f.Sets) > 0 || len(f.Next) == 0 {
		return *f, nil
	}
	best := f.Next[0]
	f.Best = &best
	for size := 2; size <= min(mostTogether, n) && !f.LeftOut; size++ {
		for _, set := range promising(singles, base, size) {
			s, ok, err := x.audit(ctx, set)
			if err != nil {
				return *f, err
			}
			if !ok {
				break
			}
			if y := setOf(set, s); y.Sound {
				f.Sets = append(f.Sets, y)
			} else if less(y, best) {
				best = y
			}
			if len(f.Sets) == mostSets {
				break
			}
		}
		if len(f.Sets) > 0 {
			sort.SliceStable(f.Sets, func(a, b int) bool { return less(f.Sets[a], f.Sets[b]) })
			f.Best = nil
			break
		}
	}
	return *f, nil
}

// less tells whether a set leaves less than another, losses before harms, by more than rounding: of what is equally
// good the candidate that comes first stays first.
func less(a, b Set) bool {
	if x, y := numeric.Rounded(a.Per100), numeric.Rounded(b.Per100); x != y {
		return x < y
	}
	return numeric.Rounded(a.Harms100) < numeric.Rounded(b.Harms100)
}

// Helps tells whether a set leaves less than nothing changed does.
//
// Errors: none. Source: [Derived].
func (s Set) Helps(base Score) bool { return less(s, setOf(nil, base)) }

type search struct {
	left  int
	try   Try
	found Found
}

// audit tells what some changes come to; not ok where the budget is spent.
func (x *search) audit(ctx context.Context, set []int) (s Score, ok bool, err error) {
	if x.left <= 0 {
		x.found.LeftOut = true
		return s, false, nil
	}
	if s, err = x.try(ctx, set); err != nil {
		return s, false, err
	}
	x.found.Audits++
	x.left -= s.Events
	return s, true, nil
}

func setOf(changes []int, s Score) Set {
	return Set{changes, s.Lost, s.Harmed, s.Per100, s.Harms100, len(s.Unsound) == 0}
}

const (
	mostSets  = 3
	mostTries = 12 // of one size
)

// promising returns sets of a size, fewest faults that none of their changes removes first.
func promising(singles []Score, base Score, size int) [][]int {
	type promise struct {
		set  []int
		left int
	}
	var list []promise
	var grow func(from int, set []int, left map[string]bool)
	grow = func(from int, set []int, left map[string]bool) {
		if len(set) == size {
			list = append(list, promise{slices.Clone(set), len(left)})
			return
		}
		for i := from; i < len(singles); i++ {
			rest := map[string]bool{}
			for id := range left {
				if singles[i].Unsound[id] {
					rest[id] = true
				}
			}
			if len(rest) == len(left) && len(list) > 4000 {
				continue // helps nothing that is left
			}
			grow(i+1, append(set, i), rest)
		}
	}
	grow(0, nil, base.Unsound)
	sort.SliceStable(list, func(a, b int) bool { return list[a].left < list[b].left })
	var out [][]int
	for _, p := range list[:min(len(list), mostTries)] {
		out = append(out, p.set)
	}
	return out
}
