package reading

import (
	"regexp"
	"slices"
)

// Piece is a part of a text: a word, a mark that ends a clause, a blank to fill in, numbers, or what is put aside.
type Piece struct {
	Word     string // in small letters
	Ends     bool
	Blank    bool       // a place for a number that is not filled in: ___ in
	Aside    string     // "link", "date", "time of day" or "price": numbers that measure nothing here
	Group    []Quantity // one, the two ends of a range, or several with "x" between them
	Range    bool       // the group is a range: from 31 to 35
	Count    int        // 2 in 2x150W; 0 when none is written
	Relation string     // About, AtLeast, AtMost, Every, or empty
	Text     string     // as written
	From, To int        // place in Reading.Text
}

// Trouble is an unclear part of a text.
type Trouble struct {
	Text     string // as written
	Why      string // what is unclear and what to write instead
	From, To int    // place in Reading.Text
}

// Reading is what was read from a text.
type Reading struct {
	Text     string // the text with one spelling for each character
	Pieces   []Piece
	Troubles []Trouble
}

var barePerMille = regexp.MustCompile(`^1[.,]0[0-9]{1,3}$`)

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
