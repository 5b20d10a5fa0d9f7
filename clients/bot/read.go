package bot

import (
	"slices"
	"strings"
)

// Stated is what a question says of one member.
type Stated struct {
	Quantity
	Name string // of the member
	Said string // as written, with the word that names it
}

// Question is what was read. It can be asked of the service when nothing is
// missing and there is no trouble.
type Question struct {
	Topic    *Topic // nil: none was found
	Several  []*Topic
	Nearest  *Topic            // where no topic was found, the one with the most similar word
	Values   map[string]Stated // by member
	Missing  []string          // what has to be said as well
	Troubles []Trouble
	Unused   []string // read, and not part of the answer
	Lid      string   // open, screen or closed; nothing: not said
	// Instrument is hydrometer, refractometer or brine refractometer; nothing: not said.
	Instrument string
	US         bool              // the person writes US units
	systems    map[string]system // of members that have to be said anew
}

// Complete tells whether the service can be asked.
func (q Question) Complete() bool {
	return q.Topic != nil && len(q.Missing) == 0 && len(q.Troubles) == 0
}

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
		if i > 0 && p.word != "" && slices.Contains(joined[p.word], pieces[i-1].word) {
			continue
		}
		out = append(out, p)
	}
	return out
}

// joined are words that say nothing more behind another.
var joined = map[string][]string{
	"room":    {"coldest", "warmest", "hottest", "winter", "summer"},
	"chamber": {"return"},
	"tank":    {"display"},
	"water":   {"tank", "system", "display"},
}

// usSystem tells which system most numbers are in; where as many are in the other, the first counts.
func usSystem(pieces []piece) bool {
	balance, first := 0, either
	for _, p := range pieces {
		for _, q := range p.group {
			if q.Unit == nil || q.Unit.system == either {
				continue
			}
			if first == either {
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

// fill gives every number to the member that the words near it name.
func (q *Question) fill(pieces []piece) {
	q.prefixedReading(pieces)
	for i, p := range pieces {
		switch {
		case p.group == nil:
		case len(p.group) > 1:
			q.fillBox(pieces, i)
		case p.group[0].Unit == nil:
			q.bare(pieces, i)
		case p.group[0].Unit.Dimension == Length:
			q.fillEdge(pieces, i)
		default:
			q.fillSlot(pieces, i)
		}
	}
}

// prefixedReading takes "sg 1.025" as "1.025 sg".
func (q *Question) prefixedReading(pieces []piece) {
	for i, p := range pieces {
		if len(p.group) == 1 && p.group[0].Unit == nil && i > 0 {
			before := pieces[i-1].word
			if before == "gravity" {
				before = "sg"
			}
			if _, found, u := unitAt(before); found && u != nil && scales[u.Dimension] != "" {
				p.group[0].Unit = u
			}
		}
	}
}

func (q *Question) put(member, name, said string, quantity Quantity) {
	if old, twice := q.Values[member]; twice {
		if old.InContractUnit() != quantity.InContractUnit() {
			q.Troubles = append(q.Troubles, Trouble{Text: said, Why: "is the " + name + " for a second time, after " + old.Text + ": say it once"})
		}
		return
	}
	q.Values[member] = Stated{Quantity: quantity, Name: name, Said: said}
}

func said(word, text string) string { return strings.TrimSpace(word + " " + text) }

func (q *Question) fillBox(pieces []piece, i int) {
	p := pieces[i]
	for _, one := range p.group {
		if one.Unit == nil {
			q.Troubles = append(q.Troubles, Trouble{Text: p.text, Why: "has no unit: write " + p.text + " in, or " + p.text + " cm"})
			return
		}
		if one.Unit.Dimension != Length {
			q.Troubles = append(q.Troubles, Trouble{Text: p.text, Why: "should be lengths, in inches or cm, or one number"})
			return
		}
	}
	var labels [][]string
	for _, b := range q.Topic.Boxes {
		labels = append(labels, b.Labels)
	}
	which, word := label(pieces, i, labels)
	if which < 0 {
		which = slices.IndexFunc(q.Topic.Boxes, func(b Box) bool { return b.Labels == nil })
	}
	if which < 0 {
		q.Unused = append(q.Unused, p.text)
		return
	}
	b := q.Topic.Boxes[which]
	if len(p.group) < len(b.Members) || len(p.group) > len(b.Members)+1 || len(p.group) > len(b.Members) && !b.Further {
		q.Troubles = append(q.Troubles, Trouble{Text: p.text, Why: "should be " + b.Name + ", such as " + q.choose(b.Metric, b.US)})
		return
	}
	for k, member := range b.Members {
		q.put(member, b.Edges[k], said(word, p.text), p.group[k])
	}
	if len(p.group) > len(b.Members) {
		q.Unused = append(q.Unused, "the depth of "+p.text)
	}
}

func (q *Question) choose(inMetric, inUS string) string {
	if q.US {
		return inUS
	}
	return inMetric
}

// edgeLabels name single lengths of the box without a label.
var edgeLabels = [][]string{{"length", "long"}, {"width", "wide"}, {"depth", "deep", "height", "high", "tall"}}

func (q *Question) fillEdge(pieces []piece, i int) {
	p := pieces[i]
	main := slices.IndexFunc(q.Topic.Boxes, func(b Box) bool { return b.Labels == nil })
	if main < 0 {
		q.Unused = append(q.Unused, p.text)
		return
	}
	which, _ := label(pieces, i, edgeLabels)
	box := q.Topic.Boxes[main]
	switch {
	case which < 0:
		q.Troubles = append(q.Troubles, Trouble{Text: p.text, Why: "could be any length: write " + box.Name + ", such as " + q.choose(box.Metric, box.US)})
	case which >= len(box.Members):
		q.Unused = append(q.Unused, p.text)
	default:
		q.put(box.Members[which], box.Edges[which], p.text, p.group[0])
	}
}

func (q *Question) fillSlot(pieces []piece, i int) {
	p := pieces[i]
	quantity := p.group[0]
	var open []Slot
	var labels [][]string
	for _, s := range q.Topic.Slots {
		if s.Dimension == quantity.Unit.Dimension {
			open = append(open, s)
			labels = append(labels, s.Labels)
		}
	}
	if len(open) == 0 {
		q.useless(p.text, quantity)
		return
	}
	which, word := label(pieces, i, labels)
	if which < 0 {
		which = slices.IndexFunc(open, func(s Slot) bool { return s.Alone })
	}
	if which < 0 {
		var names []string
		for _, s := range open {
			if s.Metric != "" { // those that people mostly mean
				names = append(names, s.Labels[0]+" "+p.text)
			}
		}
		if len(names) == 0 {
			names = append(names, open[0].Labels[0]+" "+p.text)
		}
		q.Troubles = append(q.Troubles, Trouble{Text: p.text, Why: "could be several things: write " + strings.Join(names, " or ")})
		return
	}
	name := open[which].Name
	if open[which].Member == valueMember {
		name = "reading"
	}
	q.put(open[which].Member, name, said(word, p.text), quantity)
}

// useless tells of a number that the topic has no member for.
func (q *Question) useless(text string, quantity Quantity) {
	takesSalinity := slices.ContainsFunc(q.Topic.Slots, func(s Slot) bool { return s.Dimension == Practical })
	if takesSalinity && scales[quantity.Unit.Dimension] != "" {
		q.Troubles = append(q.Troubles, Trouble{Text: text, Why: "has to be in ppt here: ask me “salinity " + quantity.String() + "” to convert it"})
		return
	}
	q.Unused = append(q.Unused, text)
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

// scale is the contract's name of what the reading states, by its unit and the
// instrument; nothing where there is no reading.
func (q *Question) scale() string {
	v, ok := q.Values[valueMember]
	switch {
	case !ok:
		return ""
	case v.Unit.Dimension == SpecificGravity && q.Instrument == "hydrometer":
		return uncorrected
	case v.Unit.Dimension == Practical && q.Instrument == "refractometer":
		return "refractometer_seawater_psu"
	case v.Unit.Dimension == Practical && q.Instrument == "brine refractometer":
		return "refractometer_brine_g_kg"
	}
	return scales[v.Unit.Dimension]
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
	if v, ok := q.Values[valueMember]; ok && strings.HasSuffix(q.Instrument, "refractometer") && v.Unit.Dimension != Practical {
		q.Troubles = append(q.Troubles, Trouble{Text: v.Said, Why: "on a refractometer depends on how its scale was drawn: write what its ppt scale says"})
		delete(q.Values, valueMember)
	}
}

// bare says what to write for a number without a unit, by the word that names it.
func (q *Question) bare(pieces []piece, i int) {
	p := pieces[i]
	var labels [][]string
	for _, s := range q.Topic.Slots {
		labels = append(labels, s.Labels)
	}
	which, word := label(pieces, i, labels)
	why := "has no unit: write one behind it, such as in, cm, F, C, gal or L"
	if q.Topic.slot(valueMember) != nil {
		why = "has no unit: write SG, ppt, g/kg, g/L or mS/cm behind it"
	}
	if which >= 0 {
		switch q.Topic.Slots[which].Dimension {
		case Temperature:
			why = "has no unit: write " + p.text + "F or " + p.text + "C"
		case Volume:
			why = "has no unit: write " + p.text + " gal or " + p.text + " L"
		}
	}
	q.Troubles = append(q.Troubles, Trouble{Text: said(word, p.text), Why: why})
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

// Members are the request that the question asks for.
func (q Question) Members() map[string]any {
	out := map[string]any{}
	if q.Lid != "" {
		out["lid"] = q.Lid
	}
	for m, v := range q.Values {
		out[m] = v.InContractUnit()
		if m == valueMember {
			out[scaleMember] = q.scale()
		}
	}
	return out
}
