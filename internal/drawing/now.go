package drawing

import (
	"html"
	"slices"
	"strings"
)

// Now is the tank at a moment of a course, as the drawing shows it. What a script needs to go on from there stands in
// the drawing's data attributes.
type Now struct {
	DisplayMM, SumpMM float64  // water over its normal line
	Display, Sump     string   // what is written into these vessels
	Spilled           string   // what is written on the floor; empty: it is dry
	Lit               []string // parts that an alarm has come to
}

// drawNow draws the water of a vessel where it stands at a moment, over its dashed normal line, and what is to read.
// The attributes say where the line is and how far a millimetre goes above and below it, so that a script can go on.
func (t *tank) drawNow(p *pen, now *Now) {
	mm, reading, zone := now.DisplayMM, now.Display, "display"
	if t.zone == Sump {
		mm, reading, zone = now.SumpMM, now.Sump, "sump"
	}
	bottom := t.y + t.drawn
	up, down := 1.0, (bottom-t.waterTop)/t.water
	if free := t.height - t.water; free > 0 {
		up = (t.waterTop - t.y) / free
	}
	top := t.waterTop - mm*down
	if mm > 0 {
		top = t.waterTop - mm*up
	}
	p.write(`<g data-tank="` + zone + `" data-line="` + num(t.waterTop) + `" data-up="` + number(up) + `" data-down="` +
		number(down) + `" data-top="` + num(t.y) + `" data-bottom="` + num(bottom) + `">`)
	t.drawWater(p, min(bottom, max(t.y, top)))
	p.path("M"+num(t.x)+" "+num(t.waterTop)+"H"+num(t.x+t.width), attr{"stroke-dasharray", "2 4"},
		attr{"stroke-opacity", "0.6"})
	p.text(t.x+t.width-wall, t.waterTop+smallSize+2, reading+" ", attr{"text-anchor", "end"},
		attr{"class", "drawing-reading"})
	if t.zone == Display {
		spill := attr{"class", "drawing-spill"}
		if now.Spilled == "" {
			spill.value += " drawing-dry"
		}
		p.text(t.x+t.width-wall, bottom-8, now.Spilled+" ", attr{"text-anchor", "end"}, spill)
	}
	p.write("</g>")
}

func (t *tank) drawWater(p *pen, top float64) {
	p.rect(t.x, top, t.width, t.y+t.drawn-top, attr{"class", "drawing-water"}, attr{"fill", "currentColor"},
		attr{"fill-opacity", "0.09"})
	p.path("M"+num(t.x)+" "+num(top)+"H"+num(t.x+t.width), attr{"class", "drawing-level"},
		attr{"stroke-opacity", "0.6"})
}

// number has the digits that a factor of pixels needs.
func number(v float64) string { return strings.TrimRight(strings.TrimRight(formatted(v, 4), "0"), ".") }

// lights tells whether an alarm has come to any of some parts.
func (n *Now) lights(ids []string) bool {
	return slices.ContainsFunc(ids, func(id string) bool { return slices.Contains(n.Lit, id) })
}

// ends names the parts at both ends of a line.
func (r *route) ends() string {
	list := func(ids []string) string { return html.EscapeString(strings.Join(ids, "|")) }
	return ` data-from="` + list(r.id[:r.sources]) + `" data-to="` + list(r.id[r.sources:]) + `"`
}

// Heard lists the parts that an alarm comes to: what it reads, itself and, where it reaches somebody, all the way to
// them; else as far as its way goes.
func (m *Model) Heard(alarm string, reaches bool) []string {
	out := []string{alarm}
	for _, l := range m.Lines {
		if l.Style == Tells && slices.Contains(l.To, alarm) {
			out = append(out, l.From...)
		}
	}
	for at, far := []string{alarm}, 0; len(at) > 0 && (reaches || far < 1); far++ {
		var next []string
		for _, l := range m.Lines {
			comes := slices.ContainsFunc(at, func(id string) bool { return slices.Contains(l.From, id) })
			if l.Style != Tells || !comes {
				continue
			}
			for _, to := range l.To {
				if !slices.Contains(out, to) {
					out, next = append(out, to), append(next, to)
				}
			}
		}
		at = next
	}
	return out
}
