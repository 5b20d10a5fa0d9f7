package chart

import (
	"fmt"
	"html"
)

// SVG draws a chart for a column of some width. It draws and does nothing else: no script, no style, no address; all
// texts escaped. The title is left to the page, which can break it into lines.
func (c Chart) SVG(width float64) string { return c.draw(width).pen.String() }

// Collisions lists, for tests, the texts that leave the drawing or lie on another one.
func (c Chart) Collisions(width float64) []string {
	p := c.draw(width)
	const slack = 0.01
	paper := box{-slack, -slack, p.width + slack, p.height + slack}
	var out []string
	for i, a := range p.texts {
		if !a.within(paper) {
			out = append(out, fmt.Sprintf("%q leaves the picture", a.text))
		}
		for _, b := range p.texts[:i] {
			if a.overlaps(b.box) {
				out = append(out, fmt.Sprintf("%q lies on %q", a.text, b.text))
			}
		}
	}
	return out
}

// newPicture decides where everything stands.
func newPicture(c Chart, width float64) *picture {
	p := &picture{c: c, width: width}
	left := gap
	for _, t := range c.Y.Ticks {
		left = max(left, widthOf(t.Text)+2*gap)
	}
	right := rightEdge
	if n := len(c.X.Ticks); n > 0 && c.X.Kind == Numbers {
		right = max(right, widthOf(c.X.Ticks[n-1].Text)/2+1)
	}
	p.plot = box{left: left, right: width - right}
	p.legend = p.newLegend()
	top := rowHeight * float64(len(p.legend))
	if c.Y.shown() != "" {
		top += rowHeight
	}
	p.rows = p.markRows()
	for _, r := range p.rows {
		p.plot.top = max(p.plot.top, rowHeight*float64(r+1))
	}
	p.plot.top += top + gap
	p.plot.bottom = p.plot.top + p.plotHeight()
	p.height = p.plot.bottom + rowHeight + gap
	if c.X.shown() != "" {
		p.height += rowHeight
	}
	return p
}

func (c Chart) draw(width float64) *picture {
	p := newPicture(c, width)
	name := c.Title
	if c.Sentence != "" {
		name += " " + c.Sentence
	}
	size := "narrow"
	if width >= Wide {
		size = "wide"
	}
	p.pen.write(`<svg role="img" class="chart-` + size + `" viewBox="0 0 ` + num(p.width) + " " + num(p.height) +
		`" aria-label="` + html.EscapeString(name) + `">`)
	p.drawBands()
	p.drawAxes()
	p.drawLegend()
	p.drawMarks()
	p.drawSeries()
	p.drawSpans()
	p.nameBands()
	p.pen.write("</svg>")
	return p
}

func (p *picture) drawAxes() {
	faint := attr{"stroke-opacity", "0.2"}
	if y := p.c.Y; y.Kind == Numbers {
		for _, t := range y.Ticks {
			p.line(p.plot.left, p.up(t.At), p.plot.right, p.up(t.At), faint)
		}
	} else {
		for _, t := range p.c.X.Ticks {
			p.line(p.across(t.At), p.plot.top, p.across(t.At), p.plot.bottom, faint)
		}
	}
	for _, t := range p.c.Y.Ticks {
		p.write(t.Text, place{p.plot.left - gap, p.up(t.At) + 0.32*textSize, ends})
	}
	under := p.plot.bottom + gap + textSize
	for i := 0; i < len(p.c.X.Ticks); i += p.everyTick() {
		t := p.c.X.Ticks[i]
		if p.c.X.Kind == Numbers {
			p.line(p.across(t.At), p.plot.bottom, p.across(t.At), p.plot.bottom+4)
		}
		p.write(t.Text, place{p.across(t.At), under, centre})
	}
	p.line(p.plot.left, p.plot.bottom, p.plot.right, p.plot.bottom)
	if p.c.Y.Kind == Numbers && p.c.Y.Min < 0 && p.c.Y.Max > 0 {
		p.line(p.plot.left, p.up(0), p.plot.right, p.up(0))
	}
	if p.c.Y.Kind == Names {
		p.line(p.across(max(0, p.c.X.Min)), p.plot.top, p.across(max(0, p.c.X.Min)), p.plot.bottom)
	}
	p.write(p.c.X.shown(), place{p.width, under + rowHeight, ends})
	p.write(p.c.Y.shown(), place{0, rowHeight*float64(len(p.legend)) + textSize, begins})
}

// everyTick is the smallest stride at which the names under a picture do not touch.
func (p *picture) everyTick() int {
	ticks := p.c.X.Ticks
	for every := 1; every < len(ticks); every++ {
		free := true
		for i := every; i < len(ticks); i += every {
			a, b := ticks[i-every], ticks[i]
			between := p.across(b.At) - p.across(a.At)
			free = free && between >= (widthOf(a.Text)+widthOf(b.Text))/2+gap
		}
		if free {
			return every
		}
	}
	return max(1, len(ticks))
}
