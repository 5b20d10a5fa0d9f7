package chart

import (
	"slices"
	"strings"
)

const markGap = 11.0 // from the name of a mark to the picture, past the text of the upper tick

// shade fills a range: comfort is even, harm is hatched, so that they differ without colour.
func (p *picture) shade(kind string, b box) {
	if kind == Comfort {
		p.pen.element("rect", "", attr{"class", "chart-comfort"},
			attr{"x", num(b.left)}, attr{"y", num(b.top)}, attr{"width", num(b.right - b.left)},
			attr{"height", num(b.bottom - b.top)}, attr{"fill", "currentColor"}, attr{"fill-opacity", "0.1"})
		return
	}
	p.pen.element("path", "", attr{"class", "chart-harm"}, attr{"d", hatch(b)}, attr{"fill", "none"},
		attr{"stroke", "currentColor"}, attr{"stroke-opacity", "0.4"})
}

// hatch draws slanted lines inside a rectangle.
func hatch(b box) string {
	const apart = 7.0
	var d strings.Builder
	for at := b.left - (b.bottom - b.top) + apart; at < b.right; at += apart {
		// From the lower edge at "at", one to the right for each one up.
		x0, y0 := at, b.bottom
		if x0 < b.left {
			x0, y0 = b.left, b.bottom-(b.left-at)
		}
		x1, y1 := at+(b.bottom-b.top), b.top
		if x1 > b.right {
			x1, y1 = b.right, b.top+(at+(b.bottom-b.top)-b.right)
		}
		d.WriteString("M" + num(x0) + " " + num(y0) + "L" + num(x1) + " " + num(y1))
	}
	return d.String()
}

func (p *picture) drawBands() {
	for _, b := range p.c.Bands {
		p.shade(b.Kind, p.bandBox(b))
		edge := b.From
		if edge == p.c.Y.Min {
			edge = b.To
		}
		if b.Kind == Harm {
			p.line(p.plot.left, p.up(edge), p.plot.right, p.up(edge), attr{"class", "chart-limit"},
				attr{"stroke-width", "1.5"})
		}
	}
}

func (p *picture) bandBox(b Band) box {
	return box{p.plot.left, p.up(min(b.To, p.c.Y.Max)), p.plot.right, p.up(max(b.From, p.c.Y.Min))}
}

// thin tells whether a band has no room for its name.
func (p *picture) thin(b Band) bool {
	return (b.To-b.From)/(p.c.Y.Max-p.c.Y.Min)*p.plotHeight() < rowHeight
}

// nameBands writes the names inside, where the course leaves room.
func (p *picture) nameBands() {
	for _, b := range p.c.Bands {
		if p.thin(b) {
			continue // named above
		}
		room := p.bandBox(b)
		top, bottom := room.top+textSize, room.bottom-below*textSize-1
		left, right := room.left+gap, room.right-gap
		middle := (left + right) / 2
		p.writeFirst(b.Name, room, place{left, top, begins}, place{right, bottom, ends}, place{right, top, ends},
			place{left, bottom, begins}, place{middle, top, centre}, place{middle, bottom, centre})
	}
}

// drawSpans draws how long a limit may be passed: a bracket that lies on the limit.
func (p *picture) drawSpans() {
	for _, s := range p.c.Spans {
		from, to, y := p.across(s.From), p.across(s.To), p.up(s.Y)
		p.pen.element("path", "", attr{"class", "chart-span"}, attr{"fill", "none"}, attr{"stroke", "currentColor"},
			attr{"stroke-width", "3"}, attr{"d", "M" + num(from) + " " + num(y-5) + "V" + num(y+5) +
				"M" + num(from) + " " + num(y) + "H" + num(to) + "M" + num(to) + " " + num(y-5) + "V" + num(y+5)})
		middle, over, under := (from+to)/2, y-7-below*textSize, y+7+above*textSize
		p.writeFirst(s.Name, p.plot, place{middle, under, centre}, place{middle, over, centre},
			place{to, under, ends}, place{to, over, ends}, place{from, under, begins}, place{from, over, begins},
			place{to + gap, under, begins}, place{to + gap, over, begins},
			place{from - gap, under, ends}, place{from - gap, over, ends})
	}
}

// markPlace is where the name of a mark stands if it gets its row: above its line, inside the picture.
func (p *picture) markPlace(m Mark) (float64, anchor) {
	x, w := p.across(m.X), widthOf(m.Name)
	switch {
	case x-w/2 < 0:
		return max(0, min(x, p.width-w)), begins
	case x+w/2 > p.width:
		return p.width, ends
	}
	return x, centre
}

// markRows gives every name the lowest row in which it touches no other and no line runs through it; where there is no
// such row, the lowest in which it touches no other.
func (p *picture) markRows() []int {
	rows := make([]int, len(p.c.Marks))
	var taken []placedMark
	for i, m := range p.c.Marks {
		x, a := p.markPlace(m)
		b := boxOf(m.Name, x, 0, a)
		mine := placedMark{b.left - gap/2, b.right + gap/2, p.across(m.X), 0}
		touched := func(o placedMark) bool { return mine.touches(o) }
		crossed := func(o placedMark) bool { return mine.touches(o) || mine.runsThrough(o) || o.runsThrough(mine) }
		for mine.row < len(p.c.Marks) && slices.ContainsFunc(taken, crossed) {
			mine.row++
		}
		if mine.row == len(p.c.Marks) {
			for mine.row = 0; slices.ContainsFunc(taken, touched); {
				mine.row++
			}
		}
		rows[i], taken = mine.row, append(taken, mine)
	}
	return rows
}

type placedMark struct {
	left, right, line float64
	row               int
}

func (m placedMark) touches(o placedMark) bool {
	return m.row == o.row && m.left < o.right && o.left < m.right
}

func (m placedMark) runsThrough(o placedMark) bool {
	return m.row > o.row && m.line > o.left && m.line < o.right
}

func (p *picture) drawMarks() {
	base := func(i int) float64 { return p.plot.top - markGap - rowHeight*float64(p.rows[i]) }
	for i, m := range p.c.Marks {
		x := p.across(m.X)
		p.line(x, base(i)+below*textSize, x, p.plot.bottom, attr{"class", "chart-mark"},
			attr{"stroke-dasharray", "2 3"})
	}
	for i, m := range p.c.Marks {
		x, a := p.markPlace(m)
		p.write(m.Name, place{x, base(i), a}, attr{"class", "chart-over"})
	}
}
