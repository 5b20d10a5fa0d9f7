package sim

// carried tells whether so many of so many are enough.
func (m Share) carried(yes, of int) bool {
	switch m {
	case One:
		return yes > 0
	case MoreThanHalf:
		return 2*yes > of
	}
	return yes == of
}

// voters returns the conditions of a vote whose sensors give a signal.
func (f *faultState) voters(s *System, c *Condition) []int {
	var out []int
	for _, i := range c.Of {
		if x := s.Conditions[i].Sensor; x < 0 || !f.sensor[x].lost {
			out = append(out, i)
		}
	}
	return out
}

// counted returns when as many of some timelines as are asked for are yes. Turns at one instant are one turn.
func counted(list []timeline, enough func(yes int) bool) timeline {
	yes, next := 0, make([]int, len(list))
	for _, t := range list {
		if t.first {
			yes++
		}
	}
	out := always(enough(yes))
	for {
		at, found := 0.0, false
		for k, t := range list {
			if next[k] < len(t.turns) && (!found || t.turns[next[k]] < at) {
				at, found = t.turns[next[k]], true
			}
		}
		if !found {
			return out
		}
		for k, t := range list {
			for next[k] < len(t.turns) && t.turns[next[k]] <= at+timeTolerance {
				before := t.first != (next[k]%2 == 1)
				if next[k]++; before {
					yes--
				} else {
					yes++
				}
			}
		}
		out.set(enough(yes), at)
	}
}
