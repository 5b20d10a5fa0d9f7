package chart

import "strings"

// A line's look by its place among the series: thick, thin, dotted, then dash and dot. None needs colour; dashes alone
// are kept for what would have followed.
var looks = [][2]string{{"2.4", ""}, {"1.2", ""}, {"2.2", "1.5 4"}, {"1.6", "10 3 2 3"}}

func class(series int) attr { return attr{"class", "chart-series chart-" + string(rune('a'+series%4))} }

func (p *picture) stroke(series int, d string) {
	look := looks[series%len(looks)]
	if p.c.Series[series].Drawn == Dashed {
		look = [2]string{"2", "7 5"}
	}
	attrs := []attr{class(series), {"d", d}, {"fill", "none"}, {"stroke", "currentColor"}, {"stroke-width", look[0]},
		{"stroke-linejoin", "round"}}
	if look[1] != "" {
		attrs = append(attrs, attr{"stroke-dasharray", look[1]})
	}
	p.pen.element("path", "", attrs...)
}

func (p *picture) dot(series int, x, y float64) {
	p.pen.element("circle", "", class(series), attr{"cx", num(x)}, attr{"cy", num(y)}, attr{"r", "3.5"},
		attr{"fill", "none"}, attr{"stroke", "currentColor"}, attr{"stroke-width", "1.8"})
}

// bar fills a rectangle: dark, empty, light, black, by the place of its series.
func (p *picture) bar(series int, b box) {
	fill := []string{"0.65", "0", "0.25", "0.9"}[series%4]
	p.pen.element("rect", "", class(series), attr{"x", num(b.left)}, attr{"y", num(b.top)},
		attr{"width", num(max(b.right-b.left, 0.5))}, attr{"height", num(max(b.bottom-b.top, 0.5))},
		attr{"fill", "currentColor"}, attr{"fill-opacity", fill}, attr{"stroke", "currentColor"})
}

func (p *picture) drawSeries() {
	bars, nth := 0, 0
	for _, s := range p.c.Series {
		if s.Drawn == Bars {
			bars++
		}
	}
	for i, s := range p.c.Series {
		switch s.Drawn {
		case Bars:
			for _, pt := range s.Points {
				p.drawBar(i, pt, nth, bars)
			}
			nth++
		case Dots:
			for _, pt := range s.Points {
				p.dot(i, p.across(pt.X), p.up(pt.Y))
			}
		case Line, Dashed, Step:
			if len(s.Points) > 0 {
				p.stroke(i, p.course(s))
			}
		}
	}
}

// course joins the points of a series; a step keeps its height until the next one.
func (p *picture) course(s Series) string {
	var d strings.Builder
	for i, pt := range s.Points {
		x, y := num(p.across(pt.X)), num(p.up(pt.Y))
		switch {
		case i == 0:
			d.WriteString("M" + x + " " + y)
		case s.Drawn == Step:
			d.WriteString("H" + x + "V" + y)
		default:
			d.WriteString("L" + x + " " + y)
		}
	}
	return d.String()
}

// drawBar draws one bar of its name; several series share a name's room.
func (p *picture) drawBar(series int, pt Point, nth, bars int) {
	const share = 0.7 // of the room between two names
	along, lies := p.c.X, p.c.Y.Kind == Names
	room := (p.plot.right - p.plot.left) / (p.c.X.Max - p.c.X.Min)
	if lies {
		room = (p.plot.bottom - p.plot.top) / (p.c.Y.Max - p.c.Y.Min)
	} else {
		along = p.c.Y
	}
	from := max(along.Min, min(along.Max, 0))
	if pt.From != nil {
		from = *pt.From
	}
	thick := room * share / float64(bars)
	offset := thick * (float64(nth) - float64(bars)/2)
	if !lies {
		left := p.across(pt.X) + offset
		low, high := p.up(min(from, pt.Y)), p.up(max(from, pt.Y))
		p.bar(series, box{left, high, left + thick, low})
		return
	}
	top := p.up(pt.Y) + offset
	b := box{p.across(min(from, pt.X)), top, p.across(max(from, pt.X)), top + thick}
	p.bar(series, b)
	if pt.Text == "" {
		return
	}
	base := (b.top+b.bottom)/2 + 0.32*textSize
	inside := box{p.plot.left, p.plot.top, p.width, p.plot.bottom}
	p.writeFirst(pt.Text, inside, place{b.right + gap, base, begins}, place{b.left - gap, base, ends})
}
