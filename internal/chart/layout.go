package chart

// The widths that pictures are drawn for, in CSS pixels: a phone's column and a page's.
const (
	Narrow = 340.0
	Wide   = 640.0
)

// picture is a chart on its way to the paper.
type picture struct {
	c      Chart
	width  float64
	plot   box     // where the data are
	height float64 // of everything
	texts  []placedText
	legend []legendRow
	rows   []int // by mark: the row that its name stands in, counted from the plot upwards
	pen    pen
}

type placedText struct {
	box
	text string
}

// legendRow is one line of samples with names.
type legendRow []legendEntry

type legendEntry struct {
	left   float64
	name   string
	series int // -1: of a band
	kind   string
}

const (
	gap        = 6.0  // between things that must not touch
	rightEdge  = 14.0 // room for half of the last number
	barHeight  = 30.0 // a row of bars that lie
	plotNarrow = 190.0
	plotWide   = 230.0
)

func (p *picture) plotHeight() float64 {
	switch {
	case p.c.Y.Kind == Names:
		return barHeight * float64(len(p.c.Y.Ticks))
	case p.width >= Wide:
		return plotWide
	}
	return plotNarrow
}

// across and up are where a number of the level and of the upright axis is on the paper.
func (p *picture) across(x float64) float64 {
	return p.plot.left + (x-p.c.X.Min)/(p.c.X.Max-p.c.X.Min)*(p.plot.right-p.plot.left)
}

func (p *picture) up(y float64) float64 {
	share := (y - p.c.Y.Min) / (p.c.Y.Max - p.c.Y.Min)
	if p.c.Y.Kind == Names { // the first name stands on top
		return p.plot.top + share*(p.plot.bottom-p.plot.top)
	}
	return p.plot.bottom - share*(p.plot.bottom-p.plot.top)
}

// place is where a text may stand.
type place struct {
	x, y float64
	anchor
}

// write puts a text where its layout has kept room for it.
func (p *picture) write(text string, at place, attrs ...attr) {
	if text == "" {
		return
	}
	p.texts = append(p.texts, placedText{boxOf(text, at.x, at.y, at.anchor), text})
	p.pen.element("text", text, append([]attr{
		{"x", num(at.x)}, {"y", num(at.y)}, {"text-anchor", string(at.anchor)}, {"font-size", num(textSize)},
		{"fill", "currentColor"},
	}, attrs...)...)
}

// fits tells whether a text may stand inside a room without touching another text.
func (p *picture) fits(text string, at place, room box) bool {
	b := boxOf(text, at.x, at.y, at.anchor)
	if !b.within(room) {
		return false
	}
	for _, t := range p.texts {
		if t.overlaps(b) {
			return false
		}
	}
	return true
}

// writeFirst puts a text at the first place that is free, best where no line runs through it. It tells whether there
// was one.
func (p *picture) writeFirst(text string, room box, places ...place) bool {
	for _, clear := range []bool{true, false} {
		for _, at := range places {
			if p.fits(text, at, room) && (!clear || !p.crossed(boxOf(text, at.x, at.y, at.anchor))) {
				p.write(text, at, attr{"class", "chart-over"})
				return true
			}
		}
	}
	return false
}

// crossed tells whether a line or a bar runs through a box.
func (p *picture) crossed(b box) bool {
	const looks = 8 // between two points
	for _, s := range p.c.Series {
		for i, pt := range s.Points {
			x, y := p.across(pt.X), p.up(pt.Y)
			if b.holds(x, y) {
				return true
			}
			if i == 0 || s.Drawn == Bars || s.Drawn == Dots {
				continue
			}
			x0, y0 := p.across(s.Points[i-1].X), p.up(s.Points[i-1].Y)
			for n := 1.0; n < looks; n++ {
				if b.holds(x0+(x-x0)*n/looks, y0+(y-y0)*n/looks) {
					return true
				}
			}
		}
	}
	return false
}

// line draws a straight line.
func (p *picture) line(x0, y0, x1, y1 float64, attrs ...attr) {
	p.pen.element("path", "", append([]attr{{"d", "M" + num(x0) + " " + num(y0) + "L" + num(x1) + " " + num(y1)},
		{"fill", "none"}, {"stroke", "currentColor"}}, attrs...)...)
}
