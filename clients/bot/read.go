package bot

import (
	"slices"
	"strings"

	"saltwright/clients/reading"
)

// Read reads a question from free text. It never guesses: a part with two possible meanings is reported as a trouble.
// Every number in the result is finite, and only the first 2000 bytes are read.
func Read(text string) Question {
	pieces, troubles := piecesOf(text)
	pieces = dropImpliedWords(pieces)
	q := Question{Values: map[string]Stated{}, Troubles: troubles, system: systemOf(pieces)}
	q.US = q.system == reading.US
	q.findTopic(pieces)
	if q.Topic == nil {
		return q
	}
	q.fill(pieces)
	q.checkVolume()
	q.findLid(pieces)
	q.findInstrument(pieces)
	q.findNotActedOn(pieces)
	q.findMissing()
	return q
}

// dropImpliedWords drops the second of two words that name one thing: coldest room, return chamber.
func dropImpliedWords(pieces []piece) []piece {
	var out []piece
	for i, p := range pieces {
		if i > 0 && p.Word != "" && slices.Contains(impliedAfter[p.Word], pieces[i-1].Word) {
			continue
		}
		out = append(out, p)
	}
	return out
}

// impliedAfter lists words that add nothing after certain others.
var impliedAfter = map[string][]string{
	"room":    {"coldest", "warmest", "hottest", "winter", "summer"},
	"chamber": {"return"},
	"tank":    {"display"},
	"water":   {"tank", "system", "display"},
}

// systemOf returns the system of most numbers; in a tie, the first number decides.
func systemOf(pieces []piece) reading.System {
	balance, first := 0, reading.AnySystem
	for _, p := range pieces {
		for _, q := range p.Group {
			if q.Unit == nil || q.Unit.System == reading.AnySystem {
				continue
			}
			if first == reading.AnySystem {
				first = q.Unit.System
			}
			if q.Unit.System == reading.US {
				balance++
			} else {
				balance--
			}
		}
	}
	switch {
	case balance > 0:
		return reading.US
	case balance < 0:
		return reading.Metric
	}
	return first
}

// lids are the words beside a lid that say what it is.
var lids = map[string]string{
	"open": "open", "no": "open", "without": "open", "screen": "screen", "mesh": "screen", "net": "screen",
	"closed": "closed", "glass": "closed", "solid": "closed", "acrylic": "closed",
}

// findLid reads what is said about the lid: "lid closed", "open top", "glass lid". A lid
// without such a word is not used.
func (q *Question) findLid(pieces []piece) {
	if !q.Topic.Lid {
		return
	}
	lid := ""
	for i, p := range pieces {
		if p.Word != "lid" && p.Word != "top" && p.Word != "cover" {
			continue
		}
		if p.Word != "top" {
			lid = p.Word + " (say lid open, screen or closed)"
		}
		for _, at := range []int{i - 1, i + 1} {
			if at >= 0 && at < len(pieces) && lids[pieces[at].Word] != "" {
				q.Lid = lids[pieces[at].Word]
			}
		}
	}
	if q.Lid == "" && lid != "" {
		q.Unused = append(q.Unused, lid)
	}
}

// notActedOn are words that matter to an answer and that no topic takes.
var notActedOn = []string{"fan", "fans", "atc", "calibrated"}

// findNotActedOn names what was said, matters, and is not used.
func (q *Question) findNotActedOn(pieces []piece) {
	for _, p := range pieces {
		if slices.Contains(notActedOn, p.Word) && !slices.Contains(q.Unused, p.Word) {
			q.Unused = append(q.Unused, p.Word)
		}
	}
}

// findInstrument reads which instrument measured the salinity: it changes what the reading means.
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
	if v, ok := q.Values[valueMember]; ok && optical && v.Unit.Dimension != reading.Practical {
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
	if scale := q.scale(); scale == scales[reading.Conductivity] || scale == uncorrected {
		if _, ok := q.Values["sample_c"]; !ok {
			q.Missing = append(q.Missing, "temperature of the sample")
		}
	}
}
