package remedy

import (
	"context"
	"slices"
	"sort"

	"saltwright/internal/calc/numeric"
)

// Found is what a search came to.
type Found struct {
	Sets    []Set // that leave nothing harmed or lost; first those whose rescues leave time, then the smaller
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
		if s.Sound && !s.Worse {
			f.Sets = append(f.Sets, s)
		}
		if f.Best == nil && !s.Worse {
			f.Best = &s
		}
	}
	for size := 2; size <= min(mostTogether, n) && !f.LeftOut && f.firm() == 0; size++ {
		for _, set := range promising(singles, base, size) {
			s, ok, err := x.audit(ctx, set)
			if err != nil {
				return *f, err
			}
			if !ok {
				break
			}
			switch y := setOf(set, s); {
			case y.Worse:
			case y.Sound:
				f.Sets = append(f.Sets, y)
			case f.Best == nil || less(y, *f.Best):
				f.Best = &y
			}
			if f.firm() == mostSets {
				break
			}
		}
	}
	if len(f.Sets) > 0 {
		sort.SliceStable(f.Sets, func(a, b int) bool { return before(f.Sets[a], f.Sets[b]) })
		f.Sets = f.Sets[:min(len(f.Sets), max(mostSets, f.firm()))]
		f.Best = nil
	}
	return *f, nil
}

// firm counts the sets that leave nothing harmed or lost, and time enough wherever somebody comes to help.
func (f *Found) firm() int {
	n := 0
	for _, s := range f.Sets {
		if s.Thin == 0 {
			n++
		}
	}
	return n
}

// before tells whether a set that leaves nothing harmed or lost comes before another: those whose rescues leave time
// come first, then the smaller ones.
func before(a, b Set) bool {
	if thin := a.Thin > 0; thin != (b.Thin > 0) {
		return !thin
	}
	if len(a.Changes) != len(b.Changes) {
		return len(a.Changes) < len(b.Changes)
	}
	return less(a, b)
}

// less tells whether a set leaves less than another, losses before harms, by more than rounding: of what is equally
// good the candidate that comes first stays first. A rescue that leaves too little time counts as none.
func less(a, b Set) bool {
	if x, y := numeric.Rounded(a.Per100+a.thinPer100), numeric.Rounded(b.Per100+b.thinPer100); x != y {
		return x < y
	}
	return numeric.Rounded(a.Harms100+a.thinHarms100) < numeric.Rounded(b.Harms100+b.thinHarms100)
}

// Helps tells whether a set leaves fewer faults harmed or lost than nothing changed does, or less of them, or
// mends what fails by itself, and makes nothing worse.
//
// Errors: none. Source: [Derived].
func (s Set) Helps(base Score) bool {
	return !s.Worse && (s.Mended || s.Lost+s.Harmed < base.Lost+base.Harmed || less(s, setOf(nil, base)))
}

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
	return Set{
		Changes: changes, Lost: s.Lost, Harmed: s.Harmed, Per100: s.Per100, Harms100: s.Harms100,
		Sound: len(s.Unsound) == 0, Thin: s.Thin, Worse: s.Worse || s.Impossible, Outcomes: s.Outcomes,
		Mended: s.Mended, thinPer100: s.ThinPer100, thinHarms100: s.ThinHarms100,
	}
}

const (
	mostSets  = 3
	mostTries = 12 // of one size
)

// cures tells whether a change removes any fault by itself.
func cures(s, base Score) bool {
	for id := range base.Unsound {
		if !s.Unsound[id] {
			return true
		}
	}
	return false
}

// promising returns sets of a size, fewest faults that none of their changes removes first; of those that promise the
// same, first the ones whose every change removes something by itself.
func promising(singles []Score, base Score, size int) [][]int {
	type promise struct {
		set        []int
		left, idle int
	}
	idle := func(set []int) (n int) {
		for _, i := range set {
			if !cures(singles[i], base) {
				n++
			}
		}
		return n
	}
	var list []promise
	var grow func(from int, set []int, left map[string]bool)
	grow = func(from int, set []int, left map[string]bool) {
		if len(set) == size {
			list = append(list, promise{slices.Clone(set), len(left), idle(set)})
			return
		}
		for i := from; i < len(singles); i++ {
			if singles[i].Impossible || size > 2 && !cures(singles[i], base) {
				continue
			}
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
	sort.SliceStable(list, func(a, b int) bool {
		if list[a].left != list[b].left {
			return list[a].left < list[b].left
		}
		return list[a].idle < list[b].idle
	})
	var out [][]int
	for _, p := range list[:min(len(list), mostTries)] {
		out = append(out, p.set)
	}
	return out
}
