package bot

import (
	"strings"

	"saltwright/clients/reading"
)

// line writes a whole question, with the stated values and blanks for what is still needed. Read finds the same values
// in it.
func (t *Topic) line(q *Question, inUS bool) string {
	var parts []string
	for _, b := range t.Boxes {
		text := ""
		if q != nil {
			text = boxText(b, q.Values)
		}
		if text == "" && b.Required {
			text = b.blank(q.inUS(b.Members[0], inUS))
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
			parts, done[s.Member] = append(parts, s.Labels[0]+" "+q.blankOf(s, inUS)), true
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

// inUS reports whether the blank of a member should be in US units: as the person wrote that member or, failing
// that, as the whole question is.
func (q *Question) inUS(member string, otherwise bool) bool {
	if q != nil && q.systems[member] != reading.AnySystem {
		return q.systems[member] == reading.US
	}
	return otherwise
}

const blank = "___"

// blank is a box to fill in.
func (b Box) blank(inUS bool) string {
	return strings.Repeat(blank+"x", len(b.Members)-1) + blank + " " + blankUnits[reading.Length].of(inUS)
}

// bySystem holds what a metric reader and one in the US write.
type bySystem struct{ metric, us string }

func (b bySystem) of(inUS bool) string {
	if inUS {
		return b.us
	}
	return b.metric
}

// blankUnits are the units that stand behind a blank.
var blankUnits = map[reading.Dimension]bySystem{
	reading.Length: {"cm", "in"}, reading.Temperature: {"°C", "°F"}, reading.Volume: {"L", "gal"},
	reading.Flow: {"L/h", "gal/h"}, reading.Days: {"days", "days"}, reading.Practical: {"ppt", "ppt"},
	reading.SpecificGravity: {"SG", "SG"},
}

func (q *Question) blankOf(s Slot, otherwise bool) string {
	if s.Member == valueMember && q != nil && strings.HasSuffix(q.Instrument, "refractometer") {
		return blank + " ppt"
	}
	return blank + " " + blankUnits[s.Dimension].of(q.inUS(s.Member, otherwise))
}

// boxText writes a box, or nothing unless every edge of it was stated.
func boxText(b Box, values map[string]Stated) string {
	var edges []string
	one := true
	var unit *reading.Unit
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
			edges[i] = reading.Quantity{Value: values[m].Value}.String()
		}
		return strings.Join(edges, "x") + " " + unit.Symbol
	}
	return strings.Join(edges, " x ")
}
