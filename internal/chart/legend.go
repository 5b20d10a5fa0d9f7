package chart

const sample = 26.0 // width of a sample

// newLegend names series where there is more than one, and bands that are too thin everywhere to be named inside, in
// as many rows as it takes.
func (p *picture) newLegend() []legendRow {
	var entries []legendEntry
	if len(p.c.Series) > 1 {
		for i, s := range p.c.Series {
			entries = append(entries, legendEntry{name: s.Name, series: i})
		}
	}
	named := map[string]bool{}
	for _, b := range p.c.Bands {
		named[b.Name] = named[b.Name] || !p.thin(b)
	}
	for _, b := range p.c.Bands {
		if !named[b.Name] {
			entries = append(entries, legendEntry{name: b.Name, series: -1, kind: b.Kind})
			named[b.Name] = true
		}
	}
	var rows []legendRow
	at := 0.0
	for _, e := range entries {
		need := sample + gap + widthOf(e.name)
		if len(rows) == 0 || at+need > p.width {
			rows, at = append(rows, nil), 0
		}
		e.left = at
		rows[len(rows)-1] = append(rows[len(rows)-1], e)
		at += need + 2*gap
	}
	return rows
}

func (p *picture) drawLegend() {
	for i, row := range p.legend {
		base := rowHeight*float64(i) + textSize
		middle := base - 0.32*textSize
		for _, e := range row {
			b := box{e.left, middle - 5, e.left + sample, middle + 5}
			switch {
			case e.series < 0:
				p.shade(e.kind, b)
			case p.c.Series[e.series].Drawn == Bars:
				p.bar(e.series, b)
			case p.c.Series[e.series].Drawn == Dots:
				p.dot(e.series, (b.left+b.right)/2, middle)
			default:
				p.stroke(e.series, "M"+num(b.left)+" "+num(middle)+"H"+num(b.right))
			}
			p.write(e.name, place{e.left + sample + gap, base, begins})
		}
	}
}
