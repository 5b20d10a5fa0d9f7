package bot

import (
	"slices"
	"strconv"
	"strings"

	"saltwright/clients/go/units"
)

// assumed lists what was assumed in the person's units: first what the bot derived, then what the topic names first,
// then the others in the order of the service. What the person's language has no words for is only counted.
func (q *Question) assumed(list []Assumption) (out []string, unnamed int) {
	if q.volume != nil {
		for _, b := range q.Topic.Boxes {
			if b.FromVolume {
				out = append(out, q.lexicon.quantity(q.lexicon.say("assumed_shape", textOfBox(q.Derived, b))))
			}
		}
	}
	for _, m := range q.Topic.Members {
		if v, ok := q.Derived[m.Member]; ok {
			text := q.lexicon.quantity(v.String())
			if v.isClock() {
				text = v.Text
			}
			out = append(out, q.lexicon.name(m.Member)+" "+text)
		}
	}
	rank := func(a Assumption) int {
		if i := slices.Index(q.Topic.Assumed, a.Member); i >= 0 {
			return i
		}
		return len(q.Topic.Assumed)
	}
	sorted := slices.Clone(list)
	slices.SortStableFunc(sorted, func(a, b Assumption) int { return rank(a) - rank(b) })
	for _, a := range sorted {
		value, known := q.assumedValue(a)
		if !known || !q.lexicon.named(a.Member) {
			unnamed++
			continue
		}
		name := q.lexicon.name(a.Member)
		if a.Number == nil {
			name = q.lexicon.label(a.Member)
		}
		out = append(out, name+" "+value)
	}
	return out, unnamed
}

func (q *Question) assumedValue(a Assumption) (value string, known bool) {
	if a.Number == nil {
		return q.lexicon.word(a.Text)
	}
	return q.lexicon.quantity(inPersonsUnit(*a.Number, a.Unit, q.US)), true
}

// inPersonsUnit writes a number of one of the contract's units to three figures and a half.
func inPersonsUnit(v float64, unit string, inUS bool) string {
	v, written := units.Of(unit).For(inUS, v)
	text := strconv.FormatFloat(v, 'g', 4, 64)
	if short, err := strconv.ParseFloat(text, 64); err == nil {
		text = strconv.FormatFloat(short, 'f', -1, 64)
	}
	if written == "" || written == "%" {
		return text + written
	}
	if per, ok := strings.CutPrefix(written, "1/"); ok {
		return text + "/" + per
	}
	return text + " " + written
}
