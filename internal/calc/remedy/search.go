package remedy

import (
	"cmp"
	"context"
	"slices"

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

const (
	mostTogether = 5
	clearShare   = 0.9 // of what is left: a change more has to take away a tenth; common practice, no source
)

// Try tells what some changes, numbered from 0, come to. It asks when the faults that ended badly before have been
// followed whether the rest is worth following, too; where it is not, it returns the score of that part.
type Try func(ctx context.Context, set []int, goOn func(part Score) bool) (Score, error)

// Search finds the smallest sets of changes that leave nothing harmed or lost. Sets are tried in the order of
// their size, those first whose single effects, put together, promise most; each is audited. Where none is found, the
// best takes in what makes it better, and drops what it does not need.
//
//	budget  events of the simulation after which no further audit begins
//
// Accuracy: a smaller set whose parts help only together, without a promise of their own, may be missed beyond pairs.
// Errors: what try returns; the context's. Source: [Derived].
func Search(ctx context.Context, n int, base Score, budget int, try Try) (Found, error) {
	x := search{base: base, left: budget, try: try}
	if err := x.singly(ctx, n); err != nil {
		return x.found, err
	}
	f := &x.found
	for size := 2; size <= min(mostTogether, n) && !f.LeftOut && f.firm() == 0; size++ {
		for _, set := range promising(x.singles, base, size) {
			y, ok, err := x.together(ctx, set, x.promises)
			if err != nil {
				return *f, err
			}
			if ok {
				x.take(y)
			}
			if f.firm() == mostSets {
				break
			}
		}
	}
	if err := x.refine(ctx); err != nil {
		return *f, err
	}
	if len(f.Sets) > 0 {
		slices.SortStableFunc(f.Sets, inOrder)
		f.Sets = needed(f.Sets)
		f.Sets = f.Sets[:min(len(f.Sets), max(mostSets, f.firm()))]
		f.Best = nil
	}
	return *f, nil
}

// needed leaves out sets that hold another one which comes before them: what they hold besides is not needed.
func needed(sets []Set) []Set {
	var out []Set
	for _, s := range sets {
		holds := func(o Set) bool {
			return !slices.ContainsFunc(o.Changes, func(i int) bool { return !slices.Contains(s.Changes, i) })
		}
		if !slices.ContainsFunc(out, holds) {
			out = append(out, s)
		}
	}
	return out
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

// inOrder compares two sets that leave nothing harmed or lost: those whose rescues leave time come first, then the
// smaller ones.
func inOrder(a, b Set) int {
	return cmp.Or(cmp.Compare(min(a.Thin, 1), min(b.Thin, 1)), cmp.Compare(len(a.Changes), len(b.Changes)),
		byWhatIsLeft(a, b))
}

// byWhatIsLeft compares what two sets leave, losses before harms, but for rounding: of what is equally good the
// candidate that comes first stays first. A rescue counts by the chance that somebody comes in time.
func byWhatIsLeft(a, b Set) int {
	return cmp.Or(cmp.Compare(numeric.Rounded(a.Per100), numeric.Rounded(b.Per100)),
		cmp.Compare(numeric.Rounded(a.Harms100), numeric.Rounded(b.Harms100)))
}

// less tells whether a set leaves less than another.
func less(a, b Set) bool { return byWhatIsLeft(a, b) < 0 }

// Helps tells whether a set leaves fewer faults harmed or lost than nothing changed does, or less of them, or
// mends what fails by itself, and makes nothing worse.
//
// Errors: none. Source: [Derived].
func (s Set) Helps(base Score) bool {
	return !s.Worse && (s.Mended || s.Lost+s.Harmed < base.Lost+base.Harmed || less(s, setOf(nil, base)))
}

type search struct {
	base    Score
	left    int
	try     Try
	singles []Score
	found   Found
}

// singly tries each change by itself.
func (x *search) singly(ctx context.Context, n int) error {
	f := &x.found
	for i := range n {
		s, ok, err := x.audit(ctx, []int{i}, func(part Score) bool { return !part.Idle && !part.Worse })
		if err != nil {
			return err
		}
		if !ok {
			break
		}
		x.singles = append(x.singles, s)
		if !s.Part && !s.Idle {
			f.Next = append(f.Next, setOf([]int{i}, s))
		}
	}
	slices.SortStableFunc(f.Next, byWhatIsLeft)
	for _, s := range f.Next {
		x.take(s)
	}
	return nil
}

// take keeps a set that cures, or that leaves less than the best so far.
func (x *search) take(s Set) {
	f := &x.found
	switch {
	case s.Worse:
	case s.Sound:
		f.Sets = append(f.Sets, s)
	case f.Best == nil || less(s, *f.Best):
		f.Best = &s
	}
}

// promises tells whether a set may still cure, or be better than the best so far: what is left of it never becomes
// less by following more of its faults.
func (x *search) promises(part Score) bool {
	best := x.found.Best
	return !part.Worse && (len(part.Unsound) == 0 || best == nil || less(setOf(nil, part), *best))
}

// together tries some changes at once; not ok where the budget is spent, or where only a part has been followed.
func (x *search) together(ctx context.Context, set []int, goOn func(part Score) bool) (y Set, ok bool, err error) {
	s, ok, err := x.audit(ctx, set, goOn)
	return setOf(set, s), ok && !s.Part, err
}

// refine lets the best set take in, one by one, what makes it clearly better, and then drop what it does not need.
func (x *search) refine(ctx context.Context) error {
	f := &x.found
	for i := 0; i < len(x.singles) && f.unfinished() && len(f.Best.Changes) < mostTogether; i++ {
		if slices.Contains(f.Best.Changes, i) || x.singles[i].Impossible {
			continue
		}
		more := append(slices.Clone(f.Best.Changes), i)
		slices.Sort(more)
		y, ok, err := x.together(ctx, more, x.promises)
		if err != nil {
			return err
		}
		if ok && (y.Sound || clearly(y, *f.Best)) {
			x.take(y)
		}
	}
	for k := 0; f.unfinished() && len(f.Best.Changes) > 1 && k < len(f.Best.Changes); {
		best := *f.Best
		fewer := slices.Delete(slices.Clone(best.Changes), k, k+1)
		y, ok, err := x.together(ctx, fewer, func(part Score) bool { return !clearly(best, setOf(nil, part)) })
		if err != nil {
			return err
		}
		if !ok || y.Worse || clearly(best, y) {
			k++
		} else {
			f.Best = &y
		}
	}
	return nil
}

// unfinished tells whether nothing cures, but something helps.
func (f *Found) unfinished() bool { return f.Best != nil && len(f.Sets) == 0 }

// clearly tells whether a set leaves so much less than another that a change more is worth it: no more failures, and
// fewer of them or less of what is expected.
func clearly(a, b Set) bool {
	bad := func(s Set) int { return s.Lost + s.Harmed + s.Thin }
	if a.Lost > b.Lost || bad(a) > bad(b) {
		return false
	}
	return a.Lost < b.Lost || bad(a) < bad(b) || a.Per100 < clearShare*b.Per100 ||
		!less(b, a) && a.Harms100 < clearShare*b.Harms100
}

// audit tells what some changes come to; not ok where the budget is spent.
func (x *search) audit(ctx context.Context, set []int, goOn func(part Score) bool) (s Score, ok bool, err error) {
	if x.left <= 0 {
		x.found.LeftOut = true
		return s, false, nil
	}
	if s, err = x.try(ctx, set, goOn); err != nil {
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
		Mended: s.Mended,
	}
}

const (
	mostSets  = 3
	mostTries = 12 // of one size
	// mostPromises bounds how many sets of one size are weighed.
	mostPromises = 4000
)

// cures tells whether a change removes any fault by itself.
func cures(s, base Score) bool {
	for id := range base.Left {
		if !s.Left[id] {
			return true
		}
	}
	return false
}

// promising returns sets of a size, fewest faults that none of their changes removes first; of those that promise the
// same, first the ones whose every change removes something by itself. Sets of more than two have to promise all.
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
			if size == 2 || len(left) == 0 {
				list = append(list, promise{slices.Clone(set), len(left), idle(set)})
			}
			return
		}
		for i := from; i < len(singles) && len(list) < mostPromises; i++ {
			if singles[i].Impossible || size > 2 && !cures(singles[i], base) {
				continue
			}
			rest := map[string]bool{}
			for id := range left {
				if singles[i].Left[id] {
					rest[id] = true
				}
			}
			if size > 2 && len(rest) == len(left) {
				continue // helps nothing that is left
			}
			grow(i+1, append(set, i), rest)
		}
	}
	grow(0, nil, base.Left)
	slices.SortStableFunc(list, func(a, b promise) int {
		return cmp.Or(cmp.Compare(a.left, b.left), cmp.Compare(a.idle, b.idle))
	})
	var out [][]int
	for _, p := range list[:min(len(list), mostTries)] {
		out = append(out, p.set)
	}
	return out
}
