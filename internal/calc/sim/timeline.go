package sim

// Never marks an instant that did not come within the run.
const Never = -1.0

// timeTolerance is below any interval that matters, s: instants closer than this are one.
const timeTolerance = 1e-6

// timeline is a yes or no over the length of a run, which begins at 0.
type timeline struct {
	first bool      // before the first turn
	turns []float64 // when it changes, s, ascending
}

func always(yes bool) timeline { return timeline{first: yes} }

func (t timeline) not() timeline {
	t.first = !t.first
	return t
}

func (t *timeline) last() bool { return t.first != (len(t.turns)%2 == 1) }

// at returns what it is at an instant.
func (t *timeline) at(instant float64) bool {
	n := 0
	for n < len(t.turns) && t.turns[n] <= instant+timeTolerance {
		n++
	}
	return t.first != (n%2 == 1)
}

// upTo returns it without what comes after an instant.
func (t timeline) upTo(end float64) timeline {
	n := len(t.turns)
	for n > 0 && t.turns[n-1] > end {
		n--
	}
	t.turns = t.turns[:n:n]
	return t
}

// set says what it is from an instant on that is not before the last turn.
func (t *timeline) set(yes bool, at float64) {
	if yes != t.last() {
		t.turns = append(t.turns, at)
	}
}

// and returns when both are yes. Where both change at one instant the other's change comes first: power is there before
// the water that it moves.
func (t timeline) and(o timeline) timeline {
	switch {
	case len(t.turns) == 0 && t.first, len(o.turns) == 0 && !o.first:
		return o
	case len(o.turns) == 0 && o.first, len(t.turns) == 0 && !t.first:
		return t
	}
	a, b := t.first, o.first
	out := always(a && b)
	for i, j := 0, 0; i < len(t.turns) || j < len(o.turns); {
		if j < len(o.turns) && (i == len(t.turns) || o.turns[j] <= t.turns[i]+timeTolerance) {
			b = !b
			out.set(a && b, o.turns[j])
			j++
			continue
		}
		a = !a
		out.set(a && b, t.turns[i])
		i++
	}
	return out
}

// until returns when it has been yes since the supply last came back: what a latch remembers until its power is cut.
func (t timeline) until(supply timeline) timeline {
	set, on := t.and(supply), supply.first
	out := always(set.first)
	yes := set.first
	for i, j := 0, 0; i < len(set.turns) || j < len(supply.turns); {
		if j >= len(supply.turns) || i < len(set.turns) && set.turns[i] <= supply.turns[j] {
			yes = !yes
			if yes {
				out.set(true, set.turns[i])
			}
			i++
			continue
		}
		if on = !on; !on {
			out.set(false, supply.turns[j])
		}
		j++
	}
	return out
}

// lasting returns the first instant from the start on at which it has been yes for so long, or Never. For 0 a yes of no
// length will do.
func (t timeline) lasting(seconds, end float64) float64 {
	yes, since := t.first, 0.0
	for i := 0; i <= len(t.turns); i++ {
		due, until := max(0, since+seconds), end+2*timeTolerance
		if i < len(t.turns) {
			until = t.turns[i]
		}
		if yes && (due < until-timeTolerance || seconds == 0 && until >= 0) {
			return min(due, end)
		}
		if i < len(t.turns) {
			yes, since = !yes, t.turns[i]
		}
	}
	return Never
}
