package bot

import "strings"

// line writes a question as a whole, from what was stated and, for what has to be
// said as well, from examples. Read reads it as a complete question.
func (t *Topic) line(q *Question, inUS bool) string {
	var parts []string
	for _, b := range t.Boxes {
		text := ""
		if q != nil {
			text = boxText(b, q.Values)
		}
		if text == "" && b.Required {
			text = b.example(q.inUS(b.Members[0], inUS))
		}
		switch {
		case text == "":
		case b.Labels == nil:
			parts = append([]string{"for " + text}, parts...)
		default:
			parts = append(parts, b.Labels[0]+" "+text)
		}
	}
	done := map[string]bool{}
	for _, s := range t.Slots {
		stated, ok := Stated{}, false
		if q != nil {
			stated, ok = q.Values[s.Member]
		}
		switch {
		case done[s.Member]:
		case ok:
			parts, done[s.Member] = append(parts, s.Labels[0]+" "+stated.String()), true
		case s.Required || s.Member == "sample_c" && q != nil && (len(q.Missing) > 0 || q.Instrument == "hydrometer"):
			parts, done[s.Member] = append(parts, s.Labels[0]+" "+q.exampleOf(s, inUS)), true
		}
	}
	if q != nil && q.Instrument != "" {
		parts = append(parts, q.Instrument)
	}
	if q != nil && q.Lid != "" {
		parts = append(parts, "lid "+q.Lid)
	}
	return t.Command + " " + strings.Join(parts, ", ")
}

// inUS tells in which system an example of a member has to be: that in which the
// person wrote it, or else that of the whole question.
func (q *Question) inUS(member string, otherwise bool) bool {
	if q != nil && q.systems[member] != anySystem {
		return q.systems[member] == us
	}
	return otherwise
}

func (b Box) example(inUS bool) string {
	if inUS {
		return b.US
	}
	return b.Metric
}

func (q *Question) exampleOf(s Slot, otherwise bool) string {
	if s.Member == valueMember && q != nil && strings.HasSuffix(q.Instrument, "refractometer") {
		return "35 ppt"
	}
	if q.inUS(s.Member, otherwise) {
		return s.US
	}
	return s.Metric
}

// boxText writes a box whose every edge was stated, or nothing.
func boxText(b Box, values map[string]Stated) string {
	var edges []string
	one := true
	var unit *Unit
	for _, m := range b.Members {
		v, ok := values[m]
		if !ok {
			return ""
		}
		one = one && (unit == nil || unit == v.Unit)
		unit = v.Unit
		edges = append(edges, v.String())
	}
	if one {
		for i, m := range b.Members {
			edges[i] = Quantity{Value: values[m].Value}.String()
		}
		return strings.Join(edges, "x") + " " + unit.Symbol
	}
	return strings.Join(edges, " x ")
}

// Example is a whole question in one unit system.
func (t *Topic) Example(inUS bool) string { return t.line(nil, inUS) }
