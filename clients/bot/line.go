package bot

import (
	"strings"

	"saltwright/clients/reading"
)

// blank is a place for a number that the person has to fill in. An example value would be taken for the person's own.
const blank = "___"

// bySystem holds what a metric reader and one in the US write.
type bySystem struct{ metric, us string }

// blankUnits are the units that stand behind a blank, by the contract's unit.
var blankUnits = map[string]bySystem{
	"mm": {"cm", "in"}, "degC": {"°C", "°F"}, "L": {"L", "gal"}, "L/h": {"L/h", "gal/h"}, "L/d": {"L/d", "gal/d"},
	"d": {"days", "days"}, "h": {"h", "h"}, "min": {"min", "min"}, "psu": {"ppt", "ppt"}, "salinity": {"SG", "SG"},
	"dKH": {"dKH", "dKH"}, "A": {"amp", "amp"}, "V": {"V", "V"}, "W": {"W", "W"},
}

func (q *Question) blankOf(unit string) string {
	u := blankUnits[unit]
	if q.US {
		return strings.TrimSpace(blank + " " + u.us)
	}
	return q.lexicon.withDays(strings.TrimSpace(blank + " " + u.metric))
}

// line writes the whole question again, with what was stated and blanks for what is missing, so that nothing needs to
// be remembered. It is read back as the same question.
func (q *Question) line() string {
	var parts []string
	for _, b := range q.Topic.Boxes {
		text := q.boxText(b)
		if text == "" && b.FromVolume && q.volume != nil {
			text = q.volume.String()
		}
		text = q.lexicon.quantity(text)
		if text == "" && b.Required {
			text = strings.Repeat(blank+"x", len(b.Members)-1) + q.blankOf("mm")
		}
		switch {
		case text == "":
		case b.Roles == nil:
			parts = append([]string{text}, parts...)
		default:
			parts = append(parts, q.lexicon.label(b.Name)+" "+text)
		}
	}
	for _, m := range q.Topic.Members {
		v, stated := q.Values[m.Member]
		switch {
		case stated:
			text := v.String()
			if v.Value == 0 && v.Unit == nil && v.Text != "" {
				text = v.Text
			}
			parts = append(parts, q.lexicon.label(m.Member)+" "+q.lexicon.quantity(text))
		case q.isMissing(m.Member):
			parts = append(parts, q.lexicon.label(m.Member)+" "+q.blankOf(m.Unit))
		}
	}
	for _, m := range q.Missing {
		if q.Topic.member(m) == nil && q.Topic.Words[m] != nil {
			parts = append(parts, q.lexicon.label(m)+" "+blank)
		}
	}
	if lid := q.Words["lid"]; lid != "" {
		how, _ := q.lexicon.word(lid)
		parts = append(parts, q.lexicon.label("lid")+" "+how)
	}
	if instrument := q.instrument(); instrument != "" {
		name, _ := q.lexicon.word(instrument)
		parts = append(parts, name)
	}
	return q.lexicon.command(q.Topic.Name) + ": " + strings.Join(parts, ", ")
}

func (q *Question) isMissing(member string) bool {
	for _, m := range q.Missing {
		if m == member {
			return true
		}
	}
	return false
}

// boxText writes a box, or nothing unless every edge of it was stated.
func (q *Question) boxText(b Box) string { return textOfBox(q.Values, b) }

func textOfBox(values map[string]Stated, b Box) string {
	var edges []string
	same := true
	var unit *reading.Unit
	for _, m := range b.Members {
		v, ok := values[m]
		if !ok {
			return ""
		}
		same = same && (unit == nil || unit == v.Unit)
		unit = v.Unit
		edges = append(edges, v.String())
	}
	if same {
		for i, m := range b.Members {
			edges[i] = reading.Quantity{Value: values[m].Value}.String()
		}
		return strings.Join(edges, "x") + " " + unit.Symbol
	}
	return strings.Join(edges, " x ")
}

// readAs lists what was understood for the person to check: each number, and what it was taken for.
func (q *Question) readAs() []string {
	var out []string
	boxed := map[string]bool{}
	if q.volume != nil {
		out = append(out, q.lexicon.name("display.volume_l")+" "+q.lexicon.quantity(q.volume.String()))
	}
	for _, b := range q.Topic.Boxes {
		if text := q.lexicon.quantity(q.boxText(b)); text != "" {
			if b.Roles != nil {
				text = q.lexicon.name(b.Name) + " " + text
			}
			out = append(out, text)
			for _, m := range b.Members {
				boxed[m] = true
			}
		}
	}
	for _, m := range q.ordered() {
		v := q.Values[m]
		text := q.lexicon.quantity(v.String())
		if v.isClock() {
			text = v.Text
		}
		if !boxed[m] {
			out = append(out, q.lexicon.name(m)+" "+text)
		}
	}
	if len(q.Sizes) > 0 {
		var sizes []string
		for _, s := range q.Sizes {
			sizes = append(sizes, countText(s)+" W")
		}
		out = append(out, q.lexicon.name("stock_sizes_w")+" "+strings.Join(sizes, ", "))
	}
	for _, role := range loadRoles {
		if watts := q.Loads[role]; watts > 0 {
			name, _ := q.lexicon.word(role)
			out = append(out, name+" "+countText(watts)+" W")
		}
	}
	if q.Topic.Name == "plan-audit" {
		for _, part := range planParts {
			if q.heard.concepts[part.concept] {
				out = append(out, q.lexicon.name(part.member))
			}
		}
	}
	if instrument := q.instrument(); instrument != "" {
		name, _ := q.lexicon.word(instrument)
		out = append(out, name)
	}
	if lid := q.Words["lid"]; lid != "" {
		how, _ := q.lexicon.word(lid)
		out = append(out, q.lexicon.label("lid")+" "+how)
	}
	return out
}
