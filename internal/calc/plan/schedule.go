package plan

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"saltwright/internal/calc"
	"saltwright/internal/calc/light"
	"saltwright/internal/calc/text"
)

// Corners returns the points of a day, in per cent, in the order of the day.
//
//	on, off and ramp become: 0 at on, 100 at on + ramp, 100 at off - ramp, 0 at off
//
// Accuracy: exact. Errors: none; a schedule with neither points nor times has none. Source: [Derived].
func (s Schedule) Corners() []light.Point {
	if s.OnAt == nil || s.OffAt == nil {
		points := make([]light.Point, 0, len(s.Points))
		for _, p := range s.Points {
			points = append(points, light.Point{Hour: p.At.Hour(), Level: p.Percent})
		}
		return points
	}
	on, off, ramp := s.OnAt.Hour(), s.OffAt.Hour(), s.RampMin/60
	points := []light.Point{
		{Hour: on, Level: 0}, {Hour: on + ramp, Level: 100}, {Hour: off - ramp, Level: 100}, {Hour: off, Level: 0},
	}
	for i := range points {
		points[i].Hour = math.Mod(points[i].Hour+24, 24)
	}
	// Turn the list so that it starts at the earliest hour; equal hours keep their order.
	first := 0
	for i := range points {
		if points[i].Hour < points[(i+len(points)-1)%len(points)].Hour {
			first = i
		}
	}
	return slices.Concat(points[first:], points[:first])
}

// Check refuses a programme that says too little, too much or the impossible.
//
//	path  where the programme stands, for the names in the error
//
// Errors: every conflict found, joined, each a *calc.ConflictError. Source: [Derived].
func (s Schedule) Check(path string) error {
	var found []error
	conflict := func(reason text.Text, params ...string) {
		found = append(found, &calc.ConflictError{Params: params, Reason: reason})
	}
	hour := func(t *ClockTime, path string) float64 {
		if t == nil {
			return 0
		}
		h, ok := t.read()
		if !ok {
			conflict(notATime(*t), path)
		}
		return h
	}
	on, off := hour(s.OnAt, path+".on_at"), hour(s.OffAt, path+".off_at")
	both := s.OnAt != nil && s.OffAt != nil
	switch {
	case len(s.Points) > 0 && (s.OnAt != nil || s.OffAt != nil):
		conflict(text.Of("plan_points_or_times", nil), path+".points", path+".on_at", path+".off_at")
	case len(s.Points) == 0 && !both:
		conflict(text.Of("plan_points_or_both_times", nil), path)
	case both && on == off:
		conflict(text.Of("plan_on_equals_off", nil),
			path+".on_at", path+".off_at")
	case both && 2*s.RampMin/60 > math.Mod(off-on+24, 24):
		conflict(text.Of("plan_ramps_too_long", nil), path+".ramp_min", path+".on_at", path+".off_at")
	}
	var hours []float64
	for i := range s.Points {
		at := func(i int) string { return fmt.Sprintf("%s.points[%d]", path, i) }
		hours = append(hours, hour(&s.Points[i].At, at(i)+".at"))
		if i >= 1 && hours[i] < hours[i-1] {
			conflict(text.Of("plan_points_not_in_order", nil), at(i), at(i-1))
		}
		if i >= 2 && hours[i] == hours[i-2] {
			conflict(text.Of("plan_three_points_at_once", nil), at(i))
		}
	}
	return errors.Join(found...)
}
