package reading

import (
	"regexp"
	"slices"
	"strings"
	"unicode"
)

var (
	betweenEdges = regexp.MustCompile(`^ *(x|\*|by ) *(-?\.?[0-9])`)
	betweenEnds  = regexp.MustCompile(`^ ?(-|to |until |bis |hasta |a )? ?(-?\.?[0-9])`)
	ordinal      = regexp.MustCompile(`^[0-9]+(st|nd|rd|th)(?:$|[^a-z0-9])`)
	barePerMille = regexp.MustCompile(`^1[.,]0[0-9]{1,3}$`)
)

func startsNumber(rest string) bool {
	if len(rest) > 1 && (rest[0] == '-' || rest[0] == '+') {
		rest = rest[1:]
	}
	return rest != "" && (digit(rest[0]) || len(rest) > 1 && rest[0] == '.' && digit(rest[1]))
}

// group reads one number, a range, or numbers with "x" between them, and their units.
func (s *scanner) group() {
	from := s.at
	if m := ordinal.FindStringSubmatchIndex(s.text[s.at:]); m != nil {
		s.at += m[3]
		s.add(from, Piece{Word: s.text[from:s.at]})
		return
	}
	var group []Quantity
	for {
		q, ok := s.quantity()
		if !ok {
			if len(group) > 0 { // what was read before it belongs to what is unclear
				last := &s.troubles[len(s.troubles)-1]
				last.From, last.Text = from, strings.TrimSpace(s.written[from:s.at])
			}
			return
		}
		group = append(group, q)
		m := betweenEdges.FindStringSubmatchIndex(s.text[s.at:])
		if m == nil {
			break
		}
		s.at += m[4]
	}
	p := Piece{Group: group, Relation: s.relation(from)}
	if len(group) == 1 {
		s.otherEnd(&p, from)
	}
	if s.numbers += len(p.Group); s.numbers > mostNumbers {
		s.at = len(s.text)
		s.trouble(from, "There are too many numbers: ask one question at a time")
		return
	}
	shareUnit(&p)
	for _, q := range p.Group {
		if q.thousands && q.Unit != nil && mayBeThousands(q.Unit) {
			s.trouble(from, twoReadings)
			return
		}
	}
	if len(p.Group) == 1 && p.Group[0].Unit == nil {
		word, _, _ := strings.Cut(strings.TrimLeft(s.text[s.at:], " "), " ")
		if slices.Contains(countedNouns, strings.Trim(word, ",.;:?!\n")) {
			s.add(from, Piece{Word: s.text[from:s.at]}) // a count
			return
		}
	}
	s.add(from, p)
}

// otherEnd reads the second number of a range: 64-70F, from 31 to 35 ppt, between 64 and 70F.
func (s *scanner) otherEnd(p *Piece, from int) {
	here, troubles := s.at, len(s.troubles)
	rest := s.text[s.at:]
	before := strings.TrimRight(s.text[:from], " ")
	announced := strings.HasSuffix(before, "from") || strings.HasSuffix(before, "von") ||
		strings.HasSuffix(before, "between")
	if and, ok := strings.CutPrefix(rest, " and "); ok && strings.HasSuffix(before, "between") {
		rest = " to " + and
		s.at += len(" and ") - len(" to ")
	}
	m := betweenEnds.FindStringSubmatchIndex(rest)
	if m == nil || m[2] < 0 {
		s.at = here
		return
	}
	sign := rest[m[2]:m[3]]
	if sign == "a " && !strings.HasSuffix(before, "de") {
		return // Spanish: de 31 a 35
	}
	s.at += m[4]
	q, ok := s.quantity()
	first := p.Group[0]
	same := ok && (first.Unit == nil || q.Unit == nil || first.Unit.Dimension == q.Unit.Dimension)
	if !same || first.Unit != nil && q.Unit == nil && sign != "-" && !announced {
		s.at, s.troubles = here, s.troubles[:troubles]
		return
	}
	p.Group, p.Range = append(p.Group, q), true
	if first.Unit != nil && q.Unit == nil {
		p.Group[1].Unit = first.Unit
	}
}

// shareUnit gives a unit to the numbers that it stands behind: 48x24x20 in. It takes the first number of 2x150W as a
// count, and a number without a unit that is 1.0 and something as a specific gravity.
func shareUnit(p *Piece) {
	last := p.Group[len(p.Group)-1]
	first := p.Group[0]
	if len(p.Group) == 2 && !p.Range && first.Unit == nil && last.Unit != nil && last.Unit.Dimension != Length &&
		first.Value >= 1 && first.Value <= 20 && first.Value == float64(int(first.Value)) &&
		last.Unit.Dimension != Temperature {
		p.Count, p.Group = int(first.Value), p.Group[1:]
		return
	}
	for i := len(p.Group) - 2; i >= 0; i-- {
		if p.Group[i].Unit == nil {
			p.Group[i].Unit = p.Group[i+1].Unit
		}
	}
	if len(p.Group) > 1 && !p.Range {
		return
	}
	for i, q := range p.Group {
		if q.Unit == nil && barePerMille.MatchString(q.Text) {
			p.Group[i].Unit = UnitOf("sg")
		}
	}
}

// mayBeThousands reports whether numbers above a thousand are common in a unit.
func mayBeThousands(u *Unit) bool {
	return slices.Contains([]Dimension{Volume, Flow, Loss, Power, Energy, Mass}, u.Dimension) || u.Symbol == "mm"
}

// gravity reports whether a number is a specific gravity, judging by its unit, the word before it, or its digits.
func (s *scanner) gravity(number string, unit *Unit) bool {
	if unit != nil {
		return unit.Dimension == SpecificGravity
	}
	if barePerMille.MatchString(number) {
		return true
	}
	if len(s.pieces) == 0 {
		return false
	}
	before := s.pieces[len(s.pieces)-1].Word
	return before == "sg" || before == "gravity"
}

// wordFollows reports whether letters follow a number directly, as in 64q. The x between edges does not count.
func wordFollows(rest string) bool {
	for _, r := range rest {
		return unicode.IsLetter(r) && !betweenEdges.MatchString(rest)
	}
	return false
}
