package drawing

import (
	"maps"
	"slices"
	"strings"
)

// trunkX is where the supply of a circuit runs down, left of everything; the mains run outermost.
func (s *sheet) trunkX(circuit string) float64 {
	const edge, trunk = 6.0, 7.0
	i := slices.IndexFunc(s.m.Circuits, func(c Part) bool { return c.ID == circuit })
	return edge + trunk*float64(i+1)
}

func (s *sheet) laneX(line int) float64 { return s.right + lane + s.laneRoom*float64(s.lanes[line]) }

// route is what is drawn for one line: strokes, the dots where branches leave, and the tips where it acts.
type route struct {
	id      []string // the parts it touches
	style   Meaning
	sources int // how many of these it comes from, where they are sensors, controls, alarms and ways
	strokes strings.Builder
	dots    [][2]float64
	tips    [][2]float64 // upwards, into a box
	cut     [2]float64   // where it is cut when it is dead
}

func (r *route) line(points ...float64) {
	for i := 0; i+1 < len(points); i += 2 {
		letter := "L"
		if i == 0 {
			letter = "M"
		}
		r.strokes.WriteString(letter + num(points[i]) + " " + num(points[i+1]))
	}
}

// supplies are the lines from the mains to the circuits and from each circuit to what hangs on it.
func (s *sheet) supplies() []*route {
	var out []*route
	mains := s.places[theMains]
	rise := mains.y - track
	feed := &route{style: Supply, id: []string{theMains}}
	for _, c := range s.m.Circuits {
		b := s.places[c.ID]
		feed.id = append(feed.id, c.ID)
		if b.y == mains.y {
			feed.line(mains.x+mains.width/2, mains.y, mains.x+mains.width/2, rise, b.x+b.width/2, rise,
				b.x+b.width/2, b.y)
			continue
		}
		const edge = 5.0
		feed.line(mains.x, mains.y+boxHeight/2, edge, mains.y+boxHeight/2, edge, b.y-track, b.x+b.width/2, b.y-track,
			b.x+b.width/2, b.y)
	}
	feed.cut = [2]float64{mains.x + mains.width/2, rise}
	out = append(out, feed)
	for _, c := range s.m.Circuits {
		out = append(out, s.tree(c)...)
	}
	return out
}

// tree is one route for each part on a circuit, with the trunk that leads to it, so that each can be cut by itself.
func (s *sheet) tree(c Part) []*route {
	x, from := s.trunkX(c.ID), s.places[c.ID]
	root := &route{style: Supply, id: []string{c.ID}, cut: [2]float64{from.x + from.width/2, s.railY[c.ID]}}
	root.line(from.x+from.width/2, from.y+boxHeight, from.x+from.width/2, s.railY[c.ID], x, s.railY[c.ID])
	lowest := s.railY[c.ID]
	for _, r := range s.rows {
		n := slices.Index(r.feeders, c.ID)
		if n < 0 {
			continue
		}
		y := r.top - 6 - track*float64(n)
		last := x
		for _, b := range r.boxes {
			if b.Circuit != c.ID {
				continue
			}
			pin := b.x + 10
			last = max(last, pin)
			root.line(pin, y, pin, b.y)
			root.id = append(root.id, b.ID)
			if len(r.boxes) > 1 {
				root.dots = append(root.dots, [2]float64{pin, y})
			}
		}
		root.line(x, y, last, y)
		root.dots = append(root.dots, [2]float64{x, y})
		lowest = y
	}
	root.line(x, s.railY[c.ID], x, lowest)
	return []*route{root}
}

// signals are the lines of sensors, controls and alarms.
func (s *sheet) signals() []*route {
	var out []*route
	for i, l := range s.m.Lines {
		r := &route{style: l.Style, id: slices.Clone(l.From), sources: len(l.From)}
		ys := map[int][]float64{} // by row: where the line's pins are
		height := map[int]float64{}
		pin := func(id string, into bool) {
			b, ok := s.places[id]
			n, placed := s.rowOf[id]
			if !ok || !placed {
				return
			}
			y := s.rows[n].top + boxHeight + 6 + track*float64(slices.Index(s.rows[n].tracks, i))
			x := b.x + b.width - 8 - lane*float64(b.below)
			b.below++
			r.line(x, b.y+boxHeight, x, y)
			ys[n], height[n] = append(ys[n], x), y
			if into {
				r.tips = append(r.tips, [2]float64{x, b.y + boxHeight})
				r.id = append(r.id, id)
			} else {
				r.cut = [2]float64{x, b.y + boxHeight + 5}
			}
		}
		for _, from := range l.From {
			pin(from, false)
		}
		for _, to := range l.To {
			pin(to, true)
		}
		s.join(r, i, ys, height)
		if len(ys) > 0 {
			out = append(out, r)
		}
	}
	return out
}

// join draws the tracks below the rows and the lane between them.
func (s *sheet) join(r *route, line int, pins map[int][]float64, height map[int]float64) {
	top, bottom := s.height, 0.0
	for _, n := range slices.Sorted(maps.Keys(pins)) { // the same plan gives the same bytes
		xs := pins[n]
		least, most := slices.Min(xs), slices.Max(xs)
		if s.lanes[line] >= 0 {
			most = s.laneX(line)
			r.dots = append(r.dots, [2]float64{most, height[n]})
		}
		if least < most {
			r.line(least, height[n], most, height[n])
		}
		top, bottom = min(top, height[n]), max(bottom, height[n])
	}
	if s.lanes[line] >= 0 && top < bottom {
		r.line(s.laneX(line), top, s.laneX(line), bottom)
	}
}
