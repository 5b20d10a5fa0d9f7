package drawing

import (
	_ "embed" // the style
	"html"
	"html/template"
	"slices"
	"strings"

	"saltwright/internal/phrase"
)

// Style is how a page shows drawings. It asks for the page's --ink, --paper, --raised and --accent, and does without.
//
//go:embed drawing.css
var Style string

// Shown is what a drawing points out.
type Shown struct {
	Chosen string   // an id: its own lines at full strength, the others faint
	Failed string   // an id: hatched, and what goes dead with it cut
	Marked []string // ids: framed boldly, with a full corner
	Means  string   // what the marks mean, for the key; needed where something is marked
	Title  string   // what the picture is, where no list beside it says the same
	Now    *Now     // a moment of how that goes; nil: the water at its line, no alarm raised
}

// Figure writes a drawing for a page of HTML: for narrow and for wide columns, with its key.
func (m *Model) Figure(shown Shown) template.HTML {
	narrow, wide := newSheet(m, Narrow), newSheet(m, Wide)
	out := `<figure class="drawing">` + narrow.draw(shown, "narrow") + wide.draw(shown, "wide") +
		key(m.voice, shown.Means, wide.notToScale || narrow.notToScale, wide.guessedShapes) + `</figure>`
	return template.HTML(out) // #nosec G203 -- drawn by pen, which escapes every text
}

// SVG draws a plan for a column of some width.
func (m *Model) SVG(width float64, shown Shown) string { return newSheet(m, width).draw(shown, "one") }

func (s *sheet) draw(shown Shown, size string) string {
	var p pen
	p.write(`<svg role="img" class="drawing-` + size + `" viewBox="0 0 ` + num(s.width) + " " + num(s.height) +
		`" aria-label="` + html.EscapeString(s.m.title(shown)) + `">`)
	if shown.Failed != "" { // only one drawing of a page shows a failure, so the pattern has its name alone
		p.write(`<defs><pattern id="hatch-` + size +
			`" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">` +
			`<path d="M0 0V6" stroke="currentColor" stroke-width="2.4"/></pattern></defs>`)
	}
	for _, t := range s.tanks {
		t.draw(&p, shown, "url(#hatch-"+size+")")
		if slices.Contains(shown.Marked, t.name) {
			corner(&p, t.x, t.y, t.width)
		}
	}
	dead := []string{}
	if shown.Failed != "" {
		dead = s.m.Dead(shown.Failed)
	}
	for _, r := range append(s.supplies(), s.signals()...) {
		r.draw(&p, shown, dead)
	}
	for _, l := range s.labels {
		if l.text != "" {
			p.text(l.x, l.y, l.text, attr{"class", "drawing-zone"})
		}
	}
	causes := s.m.Causes()
	for _, r := range s.rows {
		for _, b := range r.boxes {
			shared := slices.ContainsFunc(causes, func(c Cause) bool { return c.Mixed && c.ID == b.ID })
			b.draw(&p, shown, dead, shared, "url(#hatch-"+size+")")
			if slices.Contains(shown.Marked, b.ID) {
				p.rect(b.x, b.y, b.width, boxHeight, attr{"class", "drawing-chosen"}, attr{"rx", "7"},
					attr{"fill", "none"}, attr{"stroke", "currentColor"}, attr{"stroke-width", "3"})
				corner(&p, b.x, b.y, b.width)
			}
		}
	}
	p.write("</svg>")
	return p.String()
}

// title says in a sentence what the picture shows.
func (m *Model) title(shown Shown) string {
	if shown.Title != "" {
		return shown.Title
	}
	name := m.Name
	if name == "" {
		name = m.voice.Say("drawing_the_plan")
	}
	out := m.voice.Say("drawing_title", "plan", name)
	if shown.Failed != "" {
		out += " " + m.voice.Say("drawing_failed", "part", m.NameOf(shown.Failed))
	}
	return out
}

// corner fills the upper right corner of something that is marked.
func corner(p *pen, x, y, width float64) {
	p.element("path", "", attr{"class", "drawing-corner"}, attr{"fill", "currentColor"},
		attr{"d", "M" + num(x+width-9) + " " + num(y-4) + "h13v13z"})
}

func (t *tank) draw(p *pen, shown Shown, hatch string) {
	bottom := t.y + t.drawn
	if shown.Now != nil && (t.zone == Display || t.zone == Sump) {
		t.drawNow(p, shown.Now)
	} else {
		t.drawWater(p, t.waterTop)
	}
	if t.name == shown.Failed {
		p.rect(t.x, t.waterTop, t.width, bottom-t.waterTop, attr{"fill", hatch}, attr{"fill-opacity", "0.3"})
	}
	p.path("M"+num(t.x)+" "+num(t.y)+"V"+num(bottom)+"H"+num(t.x+t.width)+"V"+num(t.y),
		attr{"class", "drawing-wall"}, attr{"stroke-width", "3"}, attr{"stroke-linejoin", "round"},
		attr{"stroke-opacity", "0.75"})
}

// strokes are the weights and patterns of the styles.
var strokes = map[Meaning][2]string{Supply: {"2.6", ""}, Acts: {"1.2", ""}, Tells: {"1.6", "1.5 3.5"}}

func (r *route) draw(p *pen, shown Shown, dead []string) {
	class, opacity := "drawing-"+string(r.style), "1"
	if shown.Chosen != "" && !slices.Contains(r.id, shown.Chosen) {
		class, opacity = class+" drawing-quiet", "0.18"
	}
	cut := r.style == Supply && slices.Contains(dead, r.id[0])
	if n := r.sources; n > 0 { // a line is dead when everything it comes from is
		cut = !slices.ContainsFunc(r.id[:n], func(id string) bool { return !slices.Contains(dead, id) })
	}
	if cut && opacity == "1" {
		opacity = "0.35"
	}
	ends := ""
	if shown.Now != nil && r.style == Tells && r.sources > 0 {
		ends = r.ends()
		if shown.Now.lights(r.id[:r.sources]) && shown.Now.lights(r.id[r.sources:]) {
			class, opacity = class+" drawing-lit", "1"
		}
	}
	p.write(`<g class="` + class + `" opacity="` + opacity + `"` + ends + `>`)
	attrs := []attr{{"stroke-width", strokes[r.style][0]}, {"stroke-linejoin", "round"}}
	if dashes := strokes[r.style][1]; dashes != "" {
		attrs = append(attrs, attr{"stroke-dasharray", dashes}, attr{"stroke-linecap", "round"})
	}
	p.path(r.strokes.String(), attrs...)
	for _, d := range r.dots {
		p.element("circle", "", attr{"cx", num(d[0])}, attr{"cy", num(d[1])}, attr{"r", "2.1"},
			attr{"fill", "currentColor"})
	}
	for _, t := range r.tips {
		p.element("path", "", attr{"d", "M" + num(t[0]) + " " + num(t[1]) + "l-3 6h6z"}, attr{"fill", "currentColor"})
	}
	p.write("</g>")
	if cut {
		x, y := r.cut[0], r.cut[1]
		p.path("M"+num(x-5)+" "+num(y-5)+"l10 10m0 -10l-10 10", attr{"class", "drawing-cut"},
			attr{"stroke-width", "2.4"})
	}
}

func (b *box) draw(p *pen, shown Shown, dead []string, shared bool, hatch string) {
	stroke, class := "1.3", "drawing-box"
	if b.ID == shown.Chosen || b.ID == shown.Failed {
		stroke, class = "3", "drawing-box drawing-chosen"
	}
	if shown.Now != nil && slices.Contains(shown.Now.Lit, b.ID) {
		class += " drawing-lit"
	}
	p.write(`<g data-part="` + html.EscapeString(b.ID) + `">`)
	frame := func(attrs ...attr) {
		p.rect(b.x, b.y, b.width, boxHeight, append([]attr{{"rx", "7"}, {"stroke", "currentColor"}}, attrs...)...)
	}
	frame(attr{"class", class}, attr{"fill", "Canvas"}, attr{"stroke-width", stroke})
	if shared {
		p.rect(b.x+2.5, b.y+2.5, b.width-5, boxHeight-5, attr{"rx", "5"}, attr{"fill", "none"},
			attr{"stroke", "currentColor"}, attr{"stroke-width", "1"})
	}
	over := attr{"class", "drawing-name"}
	switch {
	case b.ID == shown.Failed:
		frame(attr{"fill", hatch}, attr{"fill-opacity", "0.55"}, attr{"stroke-width", "0"})
		over = attr{"class", "drawing-name drawing-over"}
	case slices.Contains(dead, b.ID):
		frame(attr{"fill", hatch}, attr{"fill-opacity", "0.2"}, attr{"stroke-width", "0"})
		over = attr{"class", "drawing-name drawing-over"}
	}
	p.text(b.x+b.width/2, b.y+boxHeight/2+0.34*textSize, shortened(b.label, textSize, b.width-8),
		attr{"text-anchor", "middle"}, over)
	p.write("</g>")
}

// key names the lines and marks; marked is what a full corner means.
func key(v *phrase.Voice, marked string, notToScale, guessed bool) string {
	var p pen
	p.write(`<figcaption class="drawing-key"><ul>`)
	sample := func(style Meaning, text string) {
		p.write(`<li><svg viewBox="0 0 34 12" width="34" height="12" aria-hidden="true" class="drawing-` +
			string(style) + `">`)
		attrs := []attr{{"stroke-width", strokes[style][0]}}
		if d := strokes[style][1]; d != "" {
			attrs = append(attrs, attr{"stroke-dasharray", d}, attr{"stroke-linecap", "round"})
		}
		p.path("M1 6H33", attrs...)
		p.write("</svg>" + html.EscapeString(text) + "</li>")
	}
	sample(Supply, v.Say("drawing_supplies"))
	sample(Acts, v.Say("drawing_acts"))
	sample(Tells, v.Say("drawing_tells"))
	shape := func(shape, text string) {
		p.write(`<li><svg viewBox="0 0 34 18" width="34" height="18" aria-hidden="true">` + shape + "</svg>" +
			html.EscapeString(text) + "</li>")
	}
	shape(`<rect x="2" y="2" width="30" height="14" rx="5" fill="none" stroke="currentColor"/>`+
		`<rect x="4.500" y="4.500" width="25" height="9" rx="3" fill="none" stroke="currentColor"/>`,
		v.Say("drawing_shared"))
	shape(`<text x="2" y="14" font-size="13" fill="currentColor">· 7</text>`, v.Say("drawing_rest"))
	if marked != "" {
		shape(`<g class="drawing-chosen"><rect x="2" y="4" width="28" height="12" rx="5" fill="none" `+
			`stroke="currentColor" stroke-width="3"/><path class="drawing-corner" fill="currentColor" `+
			`d="M22 1h11v11z"/></g>`, marked)
	}
	p.write("</ul>")
	var notes []string
	if notToScale {
		notes = append(notes, v.Say("drawing_not_to_scale"))
	}
	if guessed {
		notes = append(notes, v.Say("drawing_guessed"))
	}
	if len(notes) > 0 {
		p.write("<p>" + html.EscapeString(strings.Join(notes, " ")) + "</p>")
	}
	p.write("</figcaption>")
	return p.String()
}
