package bot

import (
	"slices"
	"strings"
)

// Read reads a question from free text. It never guesses: what has two readings is
// a trouble. Every number in the result is finite; only the first 2000 bytes are read.
func Read(text string) Question {
	pieces, troubles := scan(text)
	pieces = joinNames(pieces)
	q := Question{Values: map[string]Stated{}, Troubles: troubles, US: usSystem(pieces)}
	q.findTopic(pieces)
	if q.Topic == nil {
		return q
	}
	q.fill(pieces)
	q.findLid(pieces)
	q.findInstrument(pieces)
	q.findMissing()
	return q
}

// joinNames makes one name of two words that name one thing: coldest room, return chamber.
func joinNames(pieces []piece) []piece {
	var out []piece
	for i, p := range pieces {
		if i > 0 && p.word != "" && slices.Contains(impliedAfter[p.word], pieces[i-1].word) {
			continue
		}
		out = append(out, p)
	}
	return out
}

// impliedAfter are words that say nothing more behind another.
var impliedAfter = map[string][]string{
	"room":    {"coldest", "warmest", "hottest", "winter", "summer"},
	"chamber": {"return"},
	"tank":    {"display"},
	"water":   {"tank", "system", "display"},
}

// usSystem tells which system most numbers are in; where as many are in the other, the first counts.
func usSystem(pieces []piece) bool {
	balance, first := 0, anySystem
	for _, p := range pieces {
		for _, q := range p.group {
			if q.Unit == nil || q.Unit.system == anySystem {
				continue
			}
			if first == anySystem {
				first = q.Unit.system
			}
			if q.Unit.system == us {
				balance++
			} else {
				balance--
			}
		}
	}
	return balance > 0 || balance == 0 && first == us
}

// findLid reads what is said of the lid: "lid closed", "open top".
func (q *Question) findLid(pieces []piece) {
	if !q.Topic.Lid {
		return
	}
	for i, p := range pieces {
		if p.word != "lid" && p.word != "top" && p.word != "cover" {
			continue
		}
		for _, at := range []int{i - 1, i + 1} {
			if at >= 0 && at < len(pieces) && slices.Contains([]string{"open", "screen", "closed"}, pieces[at].word) {
				q.Lid = pieces[at].word
			}
		}
	}
}

// findInstrument reads with what a salinity was measured: it changes what the reading means.
func (q *Question) findInstrument(pieces []piece) {
	if q.Topic.slot(valueMember) == nil {
		return
	}
	words := wordsOf(pieces)
	for _, name := range []string{"hydrometer", "refractometer"} {
		if strings.Contains(words, " "+name+" ") {
			q.Instrument = name
		}
	}
	if q.Instrument == "refractometer" && strings.Contains(words, " brine ") {
		q.Instrument = "brine refractometer"
	}
	optical := strings.HasSuffix(q.Instrument, "refractometer")
	if v, ok := q.Values[valueMember]; ok && optical && v.Unit.Dimension != Practical {
		q.doubt(v.Said, "on a refractometer depends on how its scale was drawn: write what its ppt scale says")
		delete(q.Values, valueMember)
	}
}

func (q *Question) findMissing() {
	for _, b := range q.Topic.Boxes {
		var open []string
		stated := slices.ContainsFunc(b.Members, func(m string) bool { _, ok := q.Values[m]; return ok })
		if !b.Required && !stated {
			continue
		}
		for k, m := range b.Members {
			if _, ok := q.Values[m]; !ok {
				open = append(open, b.Edges[k])
			}
		}
		switch {
		case len(open) == len(b.Members):
			q.Missing = append(q.Missing, b.Name)
		case len(open) > 0:
			q.Missing = append(q.Missing, open...)
		}
	}
	for _, s := range q.Topic.Slots {
		if _, ok := q.Values[s.Member]; s.Required && !ok && !slices.Contains(q.Missing, s.Name) {
			q.Missing = append(q.Missing, s.Name)
		}
	}
	if scale := q.scale(); scale == scales[Conductivity] || scale == uncorrected {
		if _, ok := q.Values["sample_c"]; !ok {
			q.Missing = append(q.Missing, "temperature of the sample")
		}
	}
}
