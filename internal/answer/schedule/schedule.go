// Package schedule is a daily programme of light as requests describe it.
package schedule

import (
	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/plan"
)

// Point is a corner of a daily programme.
type Point struct {
	At      plan.ClockTime `json:"at"`
	Percent float64        `json:"percent"`
}

// Schedule is a daily programme: either points, or on, off and ramp.
type Schedule struct {
	Points  []Point         `json:"points"`
	OnAt    *plan.ClockTime `json:"on_at,omitempty"`
	OffAt   *plan.ClockTime `json:"off_at,omitempty"`
	RampMin float64         `json:"ramp_min"`
}

// Input returns the programme as a plan has it; nil for none.
func (s *Schedule) Input() *plan.Schedule {
	if s == nil {
		return nil
	}
	points := envelope.Each(s.Points, func(p Point) plan.Point { return plan.Point(p) })
	return &plan.Schedule{Points: points, OnAt: s.OnAt, OffAt: s.OffAt, RampMin: s.RampMin}
}

// Of returns a plan's programme as documents have it; it undoes Input.
func Of(s *plan.Schedule) *Schedule {
	if s == nil {
		return nil
	}
	points := envelope.Each(s.Points, func(p plan.Point) Point { return Point(p) })
	return &Schedule{Points: points, OnAt: s.OnAt, OffAt: s.OffAt, RampMin: s.RampMin}
}
