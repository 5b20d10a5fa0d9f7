package drawing

import (
	"maps"
	"slices"
	"strings"
)

// trunkX is where what hangs on a supply is fed from, left of everything; the mains run outermost.
func (s *sheet) trunkX(supply string) float64 {
	const edge, trunk = 6.0, 7.0
	return edge + trunk*float64(slices.Index(s.trunks, supply))
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

// supplies are the lines from each supply to what hangs on it.
func (s *sheet) supplies() []*route {
	var out []*route
	for _, id := range s.trunks {
		out = append(out, s.tree(id))
	}
	return out
}

// tree is the route from a supply to everything on it.
func (s *sheet) tree(supply string) *route {
	x, from := s.trunkX(supply), s.places[supply]
	root := &route{style: Supply, id: []string{supply}, cut: [2]float64{from.x + from.width/2, s.railY[supply]}}
	root.line(from.x+from.width/2, from.y+boxHeight, from.x+from.width/2, s.railY[supply], x, s.railY[supply])
	lowest := s.railY[supply]
	for _, r := range s.rows {
		n := slices.Index(r.feeders, supply)
		if n < 0 {
			continue
		}
		y := r.top - 6 - track*float64(n)
		last := x
		for _, b := range r.boxes {
			if b.Circuit != supply {
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
	root.line(x, s.railY[supply], x, lowest)
	return root
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
