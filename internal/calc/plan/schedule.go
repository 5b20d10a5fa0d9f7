package plan

import (
	"math"
	"slices"

	"saltwright/internal/calc/light"
)

// Corners returns the points of a day, in per cent, in the order of the day.
//
//	on, off and ramp become: 0 at on, 100 at on + ramp, 100 at off - ramp, 0 at off
//
// Accuracy: exact. Errors: none; a schedule with neither points nor times has none. Source: [Derived].
func (s Schedule) Corners() []light.Point {
	if s.OnHour == nil || s.OffHour == nil {
		points := make([]light.Point, 0, len(s.Points))
		for _, p := range s.Points {
			points = append(points, light.Point{Hour: math.Mod(p.Hour, 24), Level: p.Percent})
		}
		return points
	}
	on, off, ramp := *s.OnHour, *s.OffHour, s.RampMin/60
	points := []light.Point{{Hour: on, Level: 0}, {Hour: on + ramp, Level: 100}, {Hour: off - ramp, Level: 100}, {Hour: off, Level: 0}}
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
