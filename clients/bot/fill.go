package bot

import (
	"slices"
	"strings"
)

// fill gives every number to the member that the words near it name.
func (q *Question) fill(pieces []piece) {
	q.prefixedReading(pieces)
	for i, p := range pieces {
		switch {
		case p.group == nil:
		case len(p.group) > 1:
			q.fillBox(pieces, i)
		case p.group[0].Unit == nil:
			q.addWithoutUnit(pieces, i)
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

func withWord(word, text string) string { return strings.TrimSpace(word + " " + text) }

func (q *Question) fillBox(pieces []piece, i int) {
	p := pieces[i]
	for _, one := range p.group {
		if one.Unit == nil {
			q.doubt(p.text, "has no unit: write "+p.text+" in, or "+p.text+" cm")
			return
		}
		if one.Unit.Dimension != Length {
			q.doubt(p.text, "should be lengths, in inches or cm, or one number")
			return
		}
	}
	var labels [][]string
	for _, b := range q.Topic.Boxes {
		labels = append(labels, b.Labels)
	}
	which, word := labelOf(pieces, i, labels)
	if which < 0 {
		which = slices.IndexFunc(q.Topic.Boxes, func(b Box) bool { return b.Labels == nil })
	}
	if which < 0 {
		q.Unused = append(q.Unused, p.text)
		return
	}
	b := q.Topic.Boxes[which]
	most := len(b.Members)
	if b.ExtraEdge {
		most++
	}
	if len(p.group) < len(b.Members) || len(p.group) > most {
		q.doubt(p.text, "should be "+b.Name+", such as "+q.exampleIn(b.Metric, b.US))
		return
	}
	for k, member := range b.Members {
		q.put(member, b.Edges[k], withWord(word, p.text), p.group[k])
	}
	if len(p.group) > len(b.Members) {
		q.Unused = append(q.Unused, "the depth of "+p.text)
	}
}

func (q *Question) exampleIn(inMetric, inUS string) string {
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
	which, _ := labelOf(pieces, i, edgeLabels)
	box := q.Topic.Boxes[main]
	switch {
	case which < 0:
		q.doubt(p.text, "could be any length: write "+box.Name+", such as "+q.exampleIn(box.Metric, box.US))
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
		q.addUnusable(p.text, quantity)
		return
	}
	which, word := labelOf(pieces, i, labels)
	if which < 0 {
		which = slices.IndexFunc(open, func(s Slot) bool { return s.NeedsNoLabel })
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
		q.doubt(p.text, "could be several things: write "+strings.Join(names, " or "))
		return
	}
	name := open[which].Name
	if open[which].Member == valueMember {
		name = "reading"
	}
	q.put(open[which].Member, name, withWord(word, p.text), quantity)
}

// addUnusable tells of a number that the topic has no member for.
func (q *Question) addUnusable(text string, quantity Quantity) {
	takesSalinity := slices.ContainsFunc(q.Topic.Slots, func(s Slot) bool { return s.Dimension == Practical })
	if takesSalinity && scales[quantity.Unit.Dimension] != "" {
		q.doubt(text, "has to be in ppt here: ask me “salinity "+quantity.String()+"” to convert it")
		return
	}
	q.Unused = append(q.Unused, text)
}

// addWithoutUnit says what to write for a number without a unit, by the word that names it.
func (q *Question) addWithoutUnit(pieces []piece, i int) {
	p := pieces[i]
	var labels [][]string
	for _, s := range q.Topic.Slots {
		labels = append(labels, s.Labels)
	}
	which, word := labelOf(pieces, i, labels)
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
	q.doubt(withWord(word, p.text), why)
}
