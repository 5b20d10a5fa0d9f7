package bot

import (
	"math"
	"slices"
	"strings"

	"saltwright/clients/reading"
)

// fill assigns every number to the member that the words beside it name.
func (q *Question) fill(pieces []piece) {
	q.prefixedReading(pieces)
	q.bareSalinities(pieces)
	for i, p := range pieces {
		switch {
		case p.Group == nil:
		case p.Range:
			q.fillRange(pieces, i)
		case len(p.Group) > 1:
			q.fillBox(pieces, i)
		case p.Group[0].Unit == nil:
			q.addWithoutUnit(pieces, i)
		case p.Group[0].Unit.Dimension == reading.Length:
			q.fillEdge(pieces, i)
		default:
			q.fillSlot(pieces, i)
		}
	}
}

// prefixedReading takes "sg 1.025" as "1.025 sg".
func (q *Question) prefixedReading(pieces []piece) {
	for i, p := range pieces {
		if len(p.Group) == 1 && p.Group[0].Unit == nil && i > 0 {
			before := pieces[i-1].Word
			if before == "gravity" {
				before = "sg"
			}
			if u := reading.UnitOf(before); u != nil && scales[u.Dimension] != "" {
				p.Group[0].Unit = u
			}
		}
	}
}

// bareSalinities takes the number without a unit in "31 ppt, target 35" as a practical salinity, in a question about a
// change that has one with its unit.
func (q *Question) bareSalinities(pieces []piece) {
	if q.Topic.Operation != changeOperation {
		return
	}
	psu := reading.UnitOf("ppt")
	stated := slices.ContainsFunc(pieces, func(p piece) bool { return len(p.Group) > 0 && p.Group[0].Unit == psu })
	for _, p := range pieces {
		if stated && len(p.Group) == 1 && p.Group[0].Unit == nil {
			p.Group[0].Unit = psu
		}
	}
}

func withWord(word, text string) string { return strings.TrimSpace(word + " " + text) }

func (q *Question) fillBox(pieces []piece, i int) {
	p := pieces[i]
	for _, one := range p.Group {
		if one.Unit == nil {
			q.doubt(p.Text, "has no unit: write "+p.Text+" in, or "+p.Text+" cm")
			return
		}
		if one.Unit.Dimension != reading.Length {
			q.doubt(p.Text, "should be lengths, in inches or cm, or one number")
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
		q.Unused = append(q.Unused, p.Text)
		return
	}
	b := q.Topic.Boxes[which]
	most := len(b.Members)
	if b.ExtraEdge {
		most++
	}
	if len(p.Group) < len(b.Members) || len(p.Group) > most {
		q.doubt(p.Text, "should be "+b.Name+": "+b.blank(q.US))
		return
	}
	for k, member := range b.Members {
		q.put(member, b.Edges[k], withWord(word, p.Text), p.Group[k])
	}
	if len(p.Group) > len(b.Members) {
		q.Unused = append(q.Unused, "the depth of "+p.Text)
	}
}

// fillRange takes the two ends of a change of salinity. Anywhere else one number is needed.
func (q *Question) fillRange(pieces []piece, i int) {
	p := pieces[i]
	if u := p.Group[0].Unit; q.Topic.Operation == changeOperation && u != nil &&
		(u.Dimension == reading.Practical || u.Dimension == reading.SpecificGravity) {
		q.put("from_psu", "salinity now", "from "+p.Group[0].Text, p.Group[0])
		q.put("to_psu", "salinity wanted", "to "+p.Group[1].Text, p.Group[1])
		return
	}
	q.doubt(p.Text, "is a range: write one number")
}

// volumeAgrees is how far a volume may be from that of the stated lengths, which may be outer ones of a tank that is
// not full: common practice, no source.
const volumeAgrees = 0.2

// checkVolume compares a volume with the lengths: when they differ, one of them is wrong, and nobody but the person
// knows which.
func (q *Question) checkVolume() {
	if q.volume == nil {
		return
	}
	stated := q.volume.Group[0]
	box, litres := q.Topic.Boxes[0], 1.0
	for _, m := range box.Members {
		edge, ok := q.Values[m]
		if !ok {
			q.Unused = append(q.Unused, q.volume.Text)
			return
		}
		litres *= edge.InContractUnit() / 100
	}
	if math.Abs(litres-stated.InContractUnit()) > volumeAgrees*stated.InContractUnit() {
		q.doubt(q.volume.Text, "and "+boxText(box, q.Values)+" do not agree: these lengths hold "+
			stated.Unit.RoundedFrom(litres, math.Round).String()+". Send the lengths of the water again, and no volume")
		return
	}
	q.Unused = append(q.Unused, q.volume.Text+" (the lengths say it)")
}

// edgeLabels name the single lengths of a box that has no label.
var edgeLabels = [][]string{{"length", "long"}, {"width", "wide"}, {"depth", "deep", "height", "high", "tall"}}

func (q *Question) fillEdge(pieces []piece, i int) {
	p := pieces[i]
	main := slices.IndexFunc(q.Topic.Boxes, func(b Box) bool { return b.Labels == nil })
	if main < 0 {
		q.Unused = append(q.Unused, p.Text)
		return
	}
	which, _ := labelOf(pieces, i, edgeLabels)
	box := q.Topic.Boxes[main]
	switch {
	case which < 0:
		q.doubt(p.Text, "could be any length: write "+box.Name+": "+box.blank(q.US))
	case which >= len(box.Members):
		q.Unused = append(q.Unused, p.Text)
	default:
		q.put(box.Members[which], box.Edges[which], p.Text, p.Group[0])
	}
}

func (q *Question) fillSlot(pieces []piece, i int) {
	p := pieces[i]
	quantity := p.Group[0]
	var open []Slot
	var labels [][]string
	for _, s := range q.Topic.Slots {
		if s.Dimension == quantity.Unit.Dimension {
			open = append(open, s)
			labels = append(labels, s.Labels)
		}
	}
	isTank := len(q.Topic.Boxes) > 0 && len(q.Topic.Boxes[0].Members) == 3
	if len(open) == 0 && isTank && quantity.Unit.Dimension == reading.Volume && q.volume == nil {
		q.volume = &pieces[i]
		return
	}
	if len(open) == 0 {
		q.addUnusable(p.Text, quantity)
		return
	}
	which, word := labelOf(pieces, i, labels)
	if which < 0 && q.Topic.Operation == "postHeaterSizing" && quantity.Unit.Dimension == reading.Power &&
		(p.Count > 0 || i+1 < len(pieces) && slices.Contains(q.Topic.Words, pieces[i+1].Word)) {
		q.Unused = append(q.Unused, p.Text) // heaters that are there or thought of
		return
	}
	if which < 0 {
		which = slices.IndexFunc(open, func(s Slot) bool { return s.NeedsNoLabel })
	}
	if which < 0 {
		var names []string
		for _, s := range open {
			if s.Required || s.Likely {
				names = append(names, s.Labels[0]+" "+p.Text)
			}
		}
		if len(names) == 0 {
			names = append(names, open[0].Labels[0]+" "+p.Text)
		}
		q.doubt(p.Text, "could be several things: write "+strings.Join(names, " or "))
		return
	}
	name := open[which].Name
	if open[which].Member == valueMember {
		name = "reading"
	}
	q.put(open[which].Member, name, withWord(word, p.Text), quantity)
}

// addUnusable records a number for which the topic has no member.
func (q *Question) addUnusable(text string, quantity reading.Quantity) {
	takesSalinity := slices.ContainsFunc(q.Topic.Slots, func(s Slot) bool { return s.Dimension == reading.Practical })
	label := q.Topic.Operation == changeOperation && quantity.Unit.Dimension == reading.Concentration
	if takesSalinity && !label && scales[quantity.Unit.Dimension] != "" {
		q.doubt(text, "has to be in ppt here: ask me “salinity "+quantity.String()+"” to convert it")
		return
	}
	q.Unused = append(q.Unused, text)
}

// addWithoutUnit records a number without a unit and says what to write, which depends on the word that names it.
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
		slot := q.Topic.Slots[which]
		switch slot.Dimension {
		case reading.Temperature:
			if u := q.temperatureUnit(p.Group[0].Value); u != nil {
				p.Group[0].Unit = u
				q.put(slot.Member, slot.Name, withWord(word, p.Text), p.Group[0])
				return
			}
			why = "has no unit: write " + p.Text + "F or " + p.Text + "C"
		case reading.Volume:
			why = "has no unit: write " + p.Text + " gal or " + p.Text + " L"
		}
	}
	q.doubt(withWord(word, p.Text), why)
}

// The temperatures that a bare number may stand for, of a room or of a tank: common practice, no source.
const coldestPlausible, warmestPlausible = 0, 45

// temperatureUnit is the unit of the rest of the question for a temperature without one, or nothing where that makes no
// temperature of a room or a tank.
func (q *Question) temperatureUnit(value float64) *reading.Unit {
	unit := map[reading.System]*reading.Unit{
		reading.Metric: reading.UnitOf("c"), reading.US: reading.UnitOf("f"),
	}[q.system]
	if unit == nil {
		return nil
	}
	celsius := reading.Quantity{Value: value, Unit: unit}.InContractUnit()
	if celsius < coldestPlausible || celsius > warmestPlausible {
		return nil
	}
	return unit
}
