package chart

import (
	"html"
	"strconv"
	"strings"
	"unicode/utf8"
)

// pen writes the few elements of SVG that a picture needs. Only presentation attributes and classes: a strict content
// policy allows them, and currentColor follows the page's theme.
type pen struct{ strings.Builder }

func (p *pen) write(s string) { _, _ = p.WriteString(s) } // a builder takes everything

// attr is a name and a value, which is escaped.
type attr struct{ name, value string }

func (p *pen) element(name string, text string, attrs ...attr) {
	p.write("<" + name)
	for _, a := range attrs {
		p.write(" " + a.name + `="` + html.EscapeString(a.value) + `"`)
	}
	if text == "" && name != "text" {
		p.write("/>")
		return
	}
	p.write(">" + html.EscapeString(text) + "</" + name + ">")
}

// num writes a place to a tenth of a pixel.
func num(v float64) string {
	s := strconv.FormatFloat(v, 'f', 1, 64)
	s = strings.TrimSuffix(s, ".0")
	if s == "-0" {
		return "0"
	}
	return s
}

// box is a rectangle, y downwards.
type box struct{ left, top, right, bottom float64 }

func (b box) overlaps(o box) bool {
	return b.left < o.right && o.left < b.right && b.top < o.bottom && o.top < b.bottom
}

func (b box) within(o box) bool {
	return b.left >= o.left && b.right <= o.right && b.top >= o.top && b.bottom <= o.bottom
}

func (b box) holds(x, y float64) bool {
	return x >= b.left && x <= b.right && y >= b.top && y <= b.bottom
}

// The size of all texts, in pixels. A letter is seldom wider than perLetter of it.
const (
	textSize  = 13.0
	perLetter = 0.56
	above     = 0.82 // of a text above its line
	below     = 0.26
	rowHeight = 18.0
)

func widthOf(text string) float64 {
	return textSize * perLetter * float64(utf8.RuneCountInString(text))
}

// anchor is which end of a text stands at its place.
type anchor string

const (
	begins anchor = "start"
	centre anchor = "middle"
	ends   anchor = "end"
)

// boxOf is the room that a text takes.
func boxOf(text string, x, y float64, a anchor) box {
	w := widthOf(text)
	left := map[anchor]float64{begins: x, centre: x - w/2, ends: x - w}[a]
	return box{left, y - above*textSize, left + w, y + below*textSize}
}
