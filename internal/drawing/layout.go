package drawing

import (
	"cmp"
	"fmt"
	"slices"
)

// The widths that a plan is drawn for, in CSS pixels.
const (
	Narrow = 340.0
	Wide   = 760.0
)

const (
	boxHeight   = 26.0
	between     = 10.0 // two boxes
	track       = 5.0  // between two lines that run beside each other
	lane        = 6.0
	tallest     = 250.0 // a vessel may be drawn
	labelHeight = 18.0
	stretched   = 1.15 // a vessel drawn so much larger than its scale is said to be
)

// box is a part with its place.
type box struct {
	Part
	label       string
	x, y, width float64
	below       int // lines that reach it from there so far
}

// row is boxes side by side, with room above for the supply and below for signals.
type row struct {
	boxes   []*box
	top     float64
	feeders []string // what its boxes hang on
	rails   []string // of its boxes, those that others hang on
	tracks  []int    // lines of the model
}

// tank is a vessel with its place.
type tank struct {
	vessel
	zone                   Zone
	x, y, width, drawn     float64 // drawn: its height
	waterTop, naturalWater float64
}

// sheet is a plan on its way to the paper.
type sheet struct {
	m             *Model
	width         float64
	rest          map[string]int // how many parts rest on one, where several do
	trunks        []string       // what others hang on, from the left
	left, right   float64        // of what stands between the supply and the signals
	height        float64
	rows          []*row
	tanks         []*tank
	labels        []label
	places        map[string]*box
	rowOf         map[string]int
	lanes         []int // by line of the model; -1: none
	laneRoom      float64
	railY         map[string]float64
	notToScale    bool
	guessedShapes bool
}

type label struct {
	x, y float64
	text string
}

// region is a part of a band: the boxes of a zone, in a vessel or not.
type region struct {
	zone   Zone
	vessel *vessel
	width  float64
	rows   [][]*box
}

func newSheet(m *Model, width float64) *sheet {
	s := &sheet{m: m, width: width, rest: map[string]int{},
		places: map[string]*box{}, rowOf: map[string]int{}, railY: map[string]float64{}}
	for _, c := range m.Causes() {
		s.rest[c.ID] = len(c.Takes)
	}
	const edge, trunk = 6.0, 7.0
	s.trunks = m.trunks()
	s.left = edge + trunk*float64(len(s.trunks)) + edge
	s.right = width - edge - lane*float64(min(len(m.Lines), s.mostLanes())) - edge
	y := s.supply(edge)
	for _, zone := range zones {
		switch zone {
		case Store: // stands beside the sump
		case Sump:
			y = s.band(y, []Zone{Store, Sump})
		default:
			y = s.band(y, []Zone{zone})
		}
	}
	s.height = y
	s.assignLanes()
	return s
}

// mostLanes is how many lines may run beside each other at the right.
func (s *sheet) mostLanes() int {
	if s.width < Wide {
		return 10
	}
	return 16
}

// trunks lists the supplies that something hangs on, the mains first.
func (m *Model) trunks() []string {
	out := []string{theMains}
	for _, s := range m.Supplies {
		hangs := func(p Part) bool { return p.Circuit == s.ID }
		if slices.ContainsFunc(m.Supplies, hangs) || slices.ContainsFunc(m.Parts, hangs) {
			out = append(out, s.ID)
		}
	}
	return out
}

// supply places the mains and, step by step, what hangs on what.
func (s *sheet) supply(y float64) float64 {
	inner := s.right - s.left
	depth := map[string]int{theMains: 0}
	levels := [][]*box{{s.newBox(Part{ID: theMains, Name: s.m.NameOf(theMains), Zone: AtSupply}, inner)}}
	for _, p := range s.m.Supplies {
		n := depth[p.Circuit] + 1
		depth[p.ID] = n
		for len(levels) <= n {
			levels = append(levels, nil)
		}
		levels[n] = append(levels[n], s.newBox(p, inner))
	}
	for _, boxes := range levels {
		y = s.place(y, []*region{{width: inner, rows: wrapped(boxes, inner)}})
	}
	return y
}

func (s *sheet) newBox(p Part, most float64) *box {
	lines := 0
	for _, l := range s.m.Lines {
		if l.touches(p.ID) {
			lines++
		}
	}
	label := p.Name
	if n := s.rest[p.ID]; n > 0 {
		label += fmt.Sprintf(" · %d", n)
	}
	width := max(widthOf(label, textSize)+16, 16+lane*float64(lines), 44)
	return &box{Part: p, label: label, width: min(width, most)}
}

// wrapped breaks boxes into rows.
func wrapped(boxes []*box, width float64) [][]*box {
	var out [][]*box
	x := 0.0
	for _, b := range boxes {
		if len(out) == 0 || x+b.width > width {
			out, x = append(out, nil), 0
		}
		out[len(out)-1] = append(out[len(out)-1], b)
		x += b.width + between
	}
	return out
}

func (s *sheet) boxesIn(zone Zone, most float64) []*box {
	var out []*box
	for _, p := range s.m.Parts {
		if p.Zone == zone {
			out = append(out, s.newBox(p, most))
		}
	}
	slices.SortStableFunc(out, func(a, b *box) int { // what reads stands at the wall
		return cmp.Compare(bit(a.Circuit == ""), bit(b.Circuit == ""))
	})
	return out
}

// scale is how many pixels a millimetre takes.
func (s *sheet) scale() float64 {
	inner := s.right - s.left
	display := s.m.vessels[Display][0]
	out := min(inner/display.length, tallest/display.height)
	var beside, highest float64
	for _, zone := range []Zone{Store, Sump} {
		for _, v := range s.m.vessels[zone] {
			beside += v.length
			highest = max(highest, v.height)
		}
	}
	if beside > 0 {
		const share = 0.92 // the rest is between them
		out = min(out, share*inner/beside, tallest/highest)
	}
	return out
}

const wall = 8.0

// regions makes the regions of a band, as wide as their vessels and their boxes want.
func (s *sheet) regions(names []Zone) []*region {
	inner, scale := s.right-s.left, s.scale()
	var out []*region
	for _, zone := range names {
		vessels := s.m.vessels[zone]
		boxes := s.boxesIn(zone, inner-2*wall)
		if len(vessels) == 0 && len(boxes) > 0 {
			out = append(out, &region{zone: zone, width: inner, rows: wrapped(boxes, inner)})
		}
		for i := range vessels {
			v := &vessels[i]
			mine := boxes // reservoirs share theirs evenly: each pump names its own
			if len(vessels) > 1 {
				mine = boxes[i*len(boxes)/len(vessels) : (i+1)*len(boxes)/len(vessels)]
			}
			g := &region{zone: zone, vessel: v, width: v.length * scale}
			for _, b := range mine {
				g.width = max(g.width, b.width+2*wall)
			}
			g.width = min(max(g.width, widthOf(v.label, smallSize)+2*wall), inner)
			g.rows = wrapped(mine, g.width-2*wall)
			if g.width > stretched*v.length*scale {
				s.notToScale = true
			}
			s.guessedShapes = s.guessedShapes || v.assumed
			out = append(out, g)
		}
	}
	return out
}

// band places zones side by side, from y down, and returns where the next one may begin.
func (s *sheet) band(y float64, names []Zone) float64 {
	for _, side := range s.beside(s.regions(names)) {
		y = s.place(y, side)
	}
	return y
}

// beside breaks regions that are too wide together into several bands.
func (s *sheet) beside(regions []*region) [][]*region {
	var out [][]*region
	x := 0.0
	for _, g := range regions {
		if len(out) == 0 || x+g.width > s.right-s.left+0.5 {
			out, x = append(out, nil), 0
		}
		out[len(out)-1] = append(out[len(out)-1], g)
		x += g.width + between
	}
	return out
}

func (s *sheet) place(y float64, regions []*region) float64 {
	inVessels := regions[0].vessel != nil
	if !inVessels && regions[0].zone != "" {
		s.labels = append(s.labels, label{s.left, y + smallSize, s.m.voice.Say(string(regions[0].zone))})
		y += labelHeight
	}
	first := len(s.rows)
	s.share(regions)
	rows := s.rows[first:]
	heights := 0.0
	for _, r := range rows {
		heights += s.heightOf(r)
	}
	bottom, scale := y+heights, s.scale()
	var tallestHere float64
	x := s.left
	var here []*tank
	for _, g := range regions {
		if g.vessel != nil {
			t := &tank{vessel: *g.vessel, zone: g.zone, x: x, width: g.width, naturalWater: g.vessel.water * scale}
			water := max(t.naturalWater, heights+labelHeight)
			if water > stretched*t.naturalWater {
				s.notToScale = true
			}
			free := max((g.vessel.height-g.vessel.water)*scale, 6)
			t.drawn = water + free
			t.waterTop = free
			tallestHere = max(tallestHere, t.drawn)
			here = append(here, t)
		}
		for _, line := range g.rows {
			at := x
			if g.vessel != nil {
				at += wall
			}
			for _, b := range line {
				b.x = at
				at += b.width + between
			}
			if g.vessel != nil && len(line) > 1 && g.zone != Store { // what reads stands at the wall
				for i := len(line) - 1; i >= 0 && line[i].Circuit == ""; i-- {
					right := x + g.width - wall
					if i < len(line)-1 {
						right = line[i+1].x - between
					}
					line[i].x = right - line[i].width
				}
			}
		}
		x += g.width + between
	}
	if inVessels {
		bottom = y + tallestHere
		for _, t := range here {
			t.y = bottom - t.drawn
			t.waterTop += t.y
			s.tanks = append(s.tanks, t)
			s.labels = append(s.labels, label{t.x + wall, t.waterTop + smallSize + 2, t.label})
		}
	}
	at := bottom - heights
	for _, r := range rows {
		at += s.above(r)
		r.top = at
		for _, b := range r.boxes {
			b.y = at
		}
		for i, id := range r.rails {
			s.railY[id] = at + boxHeight + 6 + track*float64(len(r.tracks)+i)
		}
		at += boxHeight + s.below(r)
	}
	return bottom + between
}

// share makes the rows of a band: the first of every region side by side, and so on.
func (s *sheet) share(regions []*region) {
	for n := 0; ; n++ {
		r := &row{}
		for _, g := range regions {
			if n < len(g.rows) {
				r.boxes = append(r.boxes, g.rows[n]...)
			}
		}
		if len(r.boxes) == 0 {
			return
		}
		index := len(s.rows)
		for _, b := range r.boxes {
			s.places[b.ID], s.rowOf[b.ID] = b, index
			if b.Circuit != "" && !slices.Contains(r.feeders, b.Circuit) {
				r.feeders = append(r.feeders, b.Circuit)
			}
			if slices.Contains(s.trunks, b.ID) {
				r.rails = append(r.rails, b.ID)
			}
			for i, l := range s.m.Lines {
				if l.touches(b.ID) && !slices.Contains(r.tracks, i) {
					r.tracks = append(r.tracks, i)
				}
			}
		}
		s.rows = append(s.rows, r)
	}
}

func (s *sheet) above(r *row) float64    { return 6 + track*float64(len(r.feeders)) }
func (s *sheet) below(r *row) float64    { return 6 + track*float64(len(r.tracks)+len(r.rails)) }
func (s *sheet) heightOf(r *row) float64 { return s.above(r) + boxHeight + s.below(r) }

// assignLanes gives every line that leads from row to row a lane at the right; two whose rows do not meet may share.
func (s *sheet) assignLanes() {
	type span struct{ line, from, to int }
	var spans []span
	s.lanes = make([]int, len(s.m.Lines))
	for i, l := range s.m.Lines {
		s.lanes[i] = -1
		from, to := len(s.rows), -1
		for _, id := range slices.Concat(l.From, l.To) {
			if n, ok := s.rowOf[id]; ok {
				from, to = min(from, n), max(to, n)
			}
		}
		if from < to {
			spans = append(spans, span{i, from, to})
		}
	}
	slices.SortStableFunc(spans, func(a, b span) int { return cmp.Compare(a.to-a.from, b.to-b.from) })
	var used [][]span
	for _, one := range spans {
		n := 0
		for ; n < len(used); n++ {
			free := !slices.ContainsFunc(used[n], func(o span) bool { return one.from <= o.to && o.from <= one.to })
			if free {
				break
			}
		}
		if n == len(used) {
			used = append(used, nil)
		}
		used[n] = append(used[n], one)
		s.lanes[one.line] = n
	}
	s.laneRoom = lane
	if n := len(used); n > 0 { // as much room as there is
		s.laneRoom = min(lane, (s.width-s.right-2*lane)/float64(n))
	}
}
