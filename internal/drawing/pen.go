package drawing

import (
	"html"
	"strconv"
	"strings"
	"unicode/utf8"
)

type pen struct{ strings.Builder }

func (p *pen) write(s string) { _, _ = p.WriteString(s) } // a builder takes everything

type attr struct{ name, value string }

func (p *pen) element(name, text string, attrs ...attr) {
	p.write("<" + name)
	for _, a := range attrs {
		p.write(" " + a.name + `="` + html.EscapeString(a.value) + `"`)
	}
	if text == "" {
		p.write("/>")
		return
	}
	p.write(">" + html.EscapeString(text) + "</" + name + ">")
}

func num(v float64) string {
	s := strings.TrimSuffix(formatted(v, 1), ".0")
	if s == "-0" {
		return "0"
	}
	return s
}

func formatted(v float64, digits int) string { return strconv.FormatFloat(v, 'f', digits, 64) }

// Letters, in pixels.
const (
	textSize  = 13.0
	smallSize = 12.0
	perLetter = 0.57
)

func widthOf(text string, size float64) float64 {
	return size * perLetter * float64(utf8.RuneCountInString(text))
}

// shortened is a text that fits a width.
func shortened(text string, size, width float64) string {
	if widthOf(text, size) <= width {
		return text
	}
	r := []rune(text)
	for len(r) > 1 && widthOf(string(r)+"…", size) > width {
		r = r[:len(r)-1]
	}
	return string(r) + "…"
}

func (p *pen) text(x, y float64, text string, attrs ...attr) {
	p.element("text", text, append([]attr{{"x", num(x)}, {"y", num(y)}, {"font-size", num(textSize)},
		{"fill", "currentColor"}}, attrs...)...)
}

func (p *pen) rect(x, y, width, height float64, attrs ...attr) {
	p.element("rect", "", append([]attr{{"x", num(x)}, {"y", num(y)}, {"width", num(width)},
		{"height", num(height)}}, attrs...)...)
}

func (p *pen) path(d string, attrs ...attr) {
	p.element("path", "", append([]attr{{"d", d}, {"fill", "none"}, {"stroke", "currentColor"}}, attrs...)...)
}

func bit(b bool) int {
	if b {
		return 1
	}
	return 0
}
