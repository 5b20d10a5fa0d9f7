// Package light holds daily light programmes: their shape, their light integral
// and a score, and the day length at a latitude as the natural measure.
package light

import (
	"fmt"
	"math"

	"saltwright/internal/calc"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

const (
	maxPoints = 64
	maxLevel  = 10000.0 // per cent or µmol/(m² s)
)

// Point is a corner of a daily programme.
type Point struct {
	Hour  float64 // local time, 0 <= h < 24
	Level float64 // per cent, or PPFD in µmol/(m² s); 0 … 10000
}

// Segment is a straight piece of a day; segments cover 0 … 24 without a gap.
type Segment struct{ StartHour, EndHour, FromLevel, ToLevel float64 }

func (s Segment) hours() float64 { return s.EndHour - s.StartHour }

// at returns the level at an hour of the segment, exact at both ends.
func (s Segment) at(hour float64) float64 {
	if hour == s.EndHour {
		return s.ToLevel
	}
	return s.FromLevel + (s.ToLevel-s.FromLevel)*(hour-s.StartHour)/s.hours()
}

// darkHours returns how much of the segment is at or below a tolerance.
func (s Segment) darkHours(tolerance float64) float64 {
	low, high := min(s.FromLevel, s.ToLevel), max(s.FromLevel, s.ToLevel)
	switch {
	case high <= tolerance:
		return s.hours()
	case low >= tolerance:
		return 0
	}
	return s.hours() * (tolerance - low) / (high - low)
}

// Schedule is a checked daily programme: straight lines between neighbouring
// points, the last joined to the first across midnight; two points at one time
// are a step.
type Schedule struct{ segments []Segment }

// NewSchedule checks the points and lays out the day.
//
//	points  1 … 64, in the order of the day, at most two at one time
//
// Accuracy: exact. Errors: *calc.RangeError for a time or level outside its
// range; *calc.ConflictError for their number or order. Source: [Derived].
func NewSchedule(points []Point) (Schedule, error) {
	if len(points) == 0 || len(points) > maxPoints {
		return Schedule{}, &calc.ConflictError{
			Params: []string{"points"}, Reason: text.Of("light_points_number", text.Params{"most": float64(maxPoints)}),
		}
	}
	for i, p := range points {
		if err := p.check(); err != nil {
			return Schedule{}, calc.Within(fmt.Sprintf("points[%d].", i), err)
		}
		if i > 0 && p.Hour < points[i-1].Hour {
			return Schedule{}, &calc.ConflictError{
				Params: []string{fmt.Sprintf("points[%d].at", i), fmt.Sprintf("points[%d].at", i-1)},
				Reason: text.Of("light_points_order", nil),
			}
		}
		if i > 1 && p.Hour == points[i-2].Hour {
			return Schedule{}, &calc.ConflictError{
				Params: []string{fmt.Sprintf("points[%d].at", i)}, Reason: text.Of("light_points_at_one_time", nil),
			}
		}
	}
	return Schedule{segments: layOut(points)}, nil
}

func (p Point) check() error {
	if math.IsNaN(p.Hour) || p.Hour < 0 || p.Hour >= quantity.HoursPerDay {
		return &calc.RangeError{Param: "at", Value: p.Hour, Min: 0, Max: quantity.HoursPerDay, Unit: "h"}
	}
	return calc.CheckRange("percent", p.Level, 0, maxLevel, "1")
}

func layOut(points []Point) []Segment {
	first, last := points[0], points[len(points)-1]
	gap := first.Hour + quantity.HoursPerDay - last.Hour // above 0, as every hour is below 24
	// level at hour 0
	midnight := last.Level + (first.Level-last.Level)*(quantity.HoursPerDay-last.Hour)/gap
	out := make([]Segment, 0, len(points)+1)
	add := func(s Segment) {
		if s.hours() > 0 {
			out = append(out, s)
		}
	}
	add(Segment{0, first.Hour, midnight, first.Level})
	for i := 1; i < len(points); i++ {
		add(Segment{points[i-1].Hour, points[i].Hour, points[i-1].Level, points[i].Level})
	}
	add(Segment{last.Hour, quantity.HoursPerDay, last.Level, midnight})
	return out
}

// Segments returns the day as straight pieces from hour 0 to 24. The slice is the caller's own.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (s Schedule) Segments() []Segment { return append([]Segment(nil), s.segments...) }

// At returns the level at a local time; at a step, the level after it.
//
//	hour  any; taken modulo 24
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (s Schedule) At(hour float64) float64 {
	hour = math.Mod(math.Mod(hour, quantity.HoursPerDay)+quantity.HoursPerDay, quantity.HoursPerDay)
	for _, p := range s.segments {
		if hour < p.EndHour {
			return p.at(hour)
		}
	}
	return 0 // the zero Schedule is dark
}

// Mean returns the mean level over the day.
//
//	mean = Σ (from + to)/2 · hours / 24
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (s Schedule) Mean() float64 {
	sum := 0.0
	for _, p := range s.segments {
		sum += (p.FromLevel + p.ToLevel) / 2 * p.hours()
	}
	return sum / quantity.HoursPerDay
}

// Peak returns the highest level.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (s Schedule) Peak() float64 {
	peak := 0.0
	for _, p := range s.segments {
		peak = max(peak, p.FromLevel, p.ToLevel)
	}
	return peak
}

// DarkHours returns the hours a day in which the level is at or below a tolerance.
//
//	tolerance  level that still counts as dark, at least 0
//
// Accuracy: exact; a ramp is cut where it passes the tolerance. Errors: none. Source: [Derived].
func (s Schedule) DarkHours(tolerance float64) float64 {
	sum := 0.0
	for _, p := range s.segments {
		sum += p.darkHours(tolerance)
	}
	return sum
}

// LitHours returns the hours a day that are not dark at all: every segment that is not zero at both ends.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (s Schedule) LitHours() float64 { return quantity.HoursPerDay - s.DarkHours(0) }

// LongestDark returns the longest stretch of darkness, across midnight too.
//
//	tolerance  level that still counts as dark, at least 0
//
// Accuracy: as DarkHours. Errors: none. Source: [Derived].
func (s Schedule) LongestDark(tolerance float64) float64 { return s.longest(tolerance, true) }

// LongestLit returns the longest stretch of light, across midnight too.
//
//	tolerance  level that still counts as dark, at least 0
//
// Accuracy: as DarkHours; a touch of the tolerance that lasts no time does not end a stretch.
// Errors: none. Source: [Derived].
func (s Schedule) LongestLit(tolerance float64) float64 { return s.longest(tolerance, false) }

// longest returns the longest stretch that is all dark, or all lit.
func (s Schedule) longest(tolerance float64, dark bool) float64 {
	longest, run := 0.0, 0.0
	add := func(hours float64, isDark bool) {
		switch {
		case hours == 0:
		case isDark == dark:
			run += hours
			longest = max(longest, run)
		default:
			run = 0
		}
	}
	for range 2 { // twice round the day joins the ends
		for _, p := range s.segments {
			d := p.darkHours(tolerance)
			if p.FromLevel <= tolerance {
				add(d, true)
				add(p.hours()-d, false)
			} else {
				add(p.hours()-d, false)
				add(d, true)
			}
		}
	}
	return min(longest, quantity.HoursPerDay)
}

// DLI returns the daily light integral of a programme whose levels are PPFD.
//
//	DLI = 1e-6 · 3600 · Σ (from + to)/2 · hours
//
//	levels  PPFD  [µmol/(m² s)]
//	DLI           [mol/(m² d)]
//
// Accuracy: exact, the trapezoids of a broken line. Errors: none. Source: [Derived].
func (s Schedule) DLI() float64 {
	return 1e-6 * quantity.SecondsPerHour * quantity.HoursPerDay * s.Mean()
}

// Ramp is a rise or fall between two levels; with no hours it is a step.
type Ramp struct {
	StartHour, Hours float64
	From, To         float64
}

func (r Ramp) sameDirection(other Ramp) bool {
	return (r.To > r.From && other.To > other.From) || (r.To < r.From && other.To < other.From)
}

// moves returns the day as changes that follow each other: segments, and the steps between them.
func (s Schedule) moves() []Ramp {
	n := len(s.segments)
	out := make([]Ramp, 0, 2*n)
	for i, p := range s.segments {
		if before := s.segments[(i+n-1)%n]; before.ToLevel != p.FromLevel {
			out = append(out, Ramp{StartHour: p.StartHour, From: before.ToLevel, To: p.FromLevel})
		}
		out = append(out, Ramp{StartHour: p.StartHour, Hours: p.hours(), From: p.FromLevel, To: p.ToLevel})
	}
	return out
}

// joined returns the moves that are wanted, neighbours in one direction joined, across midnight too.
func joined(moves []Ramp, wanted func(Ramp) bool) []Ramp {
	n := len(moves)
	follows := func(i int) bool {
		a, b := moves[(i+n-1)%n], moves[i%n]
		return wanted(a) && wanted(b) && a.sameDirection(b)
	}
	first := 0
	for first < n && follows(first) {
		first++
	}
	var out []Ramp
	for i := first; i < first+n; i++ {
		switch m := moves[i%n]; {
		case !wanted(m):
		case i > first && follows(i):
			last := &out[len(out)-1]
			last.Hours += m.Hours
			last.To = m.To
		default:
			out = append(out, m)
		}
	}
	return out
}

// Ramps returns every rise and fall that begins or ends in darkness, straight
// pieces that follow each other in one direction joined, across midnight too.
//
//	tolerance  level that still counts as dark, at least 0
//
// Accuracy: exact; a ramp is measured whole, from below the tolerance too. Errors: none. Source: [Derived].
func (s Schedule) Ramps(tolerance float64) []Ramp {
	var out []Ramp
	for _, r := range joined(s.moves(), func(m Ramp) bool { return m.Hours > 0 && m.From != m.To }) {
		if min(r.From, r.To) <= tolerance && max(r.From, r.To) > tolerance {
			out = append(out, r)
		}
	}
	return out
}

// FastChanges returns the steps and the pieces steeper than a rate, those that
// follow each other in one direction joined, across midnight too.
//
//	perHour  levels an hour, at least 0
//
// Accuracy: 1e-9 of the rate. Errors: none. Source: [Derived].
func (s Schedule) FastChanges(perHour float64) []Ramp {
	return joined(s.moves(), func(m Ramp) bool {
		change := math.Abs(m.To - m.From)
		return change > 0 && change > perHour*m.Hours*(1+1e-9)
	})
}

// Step is a change without any time.
type Step struct{ Hour, From, To float64 }

// Steps returns the instant changes, at midnight too.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (s Schedule) Steps() []Step {
	var out []Step
	n := len(s.segments)
	for i, p := range s.segments {
		if before := s.segments[(i+n-1)%n]; before.ToLevel != p.FromLevel {
			out = append(out, Step{Hour: p.StartHour, From: before.ToLevel, To: p.FromLevel})
		}
	}
	return out
}

// Scaled returns the programme with every level multiplied, at most to the greatest level.
//
//	factor  at least 0
//
// Accuracy: exact. Errors: *calc.ConflictError when a level leaves 0 … 10000. Source: [Derived].
func (s Schedule) Scaled(factor float64) (Schedule, error) {
	if peak := s.Peak() * factor; !(factor >= 0 && peak <= maxLevel) {
		return Schedule{}, &calc.ConflictError{
			Params: []string{"channels"},
			Reason: text.Of("light_level_too_high", text.Params{"level": peak, "most": maxLevel}),
		}
	}
	out := s.Segments()
	for i := range out {
		out[i].FromLevel *= factor
		out[i].ToLevel *= factor
	}
	return Schedule{segments: out}, nil
}
