// Package schedule is a daily programme of light as requests describe it.
package schedule

import (
	"fmt"

	"saltwright/internal/calc/light"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
)

type Point struct {
	At      string  `json:"at"`
	Percent float64 `json:"percent"`
}

type Schedule struct {
	Points  []Point `json:"points"`
	OnAt    *string `json:"on_at,omitempty"`
	OffAt   *string `json:"off_at,omitempty"`
	RampMin float64 `json:"ramp_min"`
}

// hourOf turns a time of day that the contract's pattern has let through into hours.
func Hour(clock string) (float64, error) {
	var h, m int
	if _, err := fmt.Sscanf(clock, "%d:%d", &h, &m); err != nil {
		return 0, fmt.Errorf("time of day %q: %w", clock, err)
	}
	return float64(h) + float64(m)/quantity.MinutesPerHour, nil
}

func (s *Schedule) Input() (*plan.Schedule, error) {
	if s == nil {
		return nil, nil
	}
	out := &plan.Schedule{RampMin: s.RampMin}
	for _, clock := range []struct {
		from *string
		to   **float64
	}{{s.OnAt, &out.OnHour}, {s.OffAt, &out.OffHour}} {
		if clock.from == nil {
			continue
		}
		h, err := Hour(*clock.from)
		if err != nil {
			return nil, err
		}
		*clock.to = &h
	}
	for _, p := range s.Points {
		h, err := Hour(p.At)
		if err != nil {
			return nil, err
		}
		out.Points = append(out.Points, plan.Point{Hour: h, Percent: p.Percent})
	}
	return out, nil
}

func Of(s *plan.Schedule) *Schedule {
	if s == nil {
		return nil
	}
	out := &Schedule{RampMin: s.RampMin, Points: []Point{}}
	clock := func(h *float64) *string {
		if h == nil {
			return nil
		}
		v := light.Clock(*h)
		return &v
	}
	out.OnAt, out.OffAt = clock(s.OnHour), clock(s.OffHour)
	for _, p := range s.Points {
		out.Points = append(out.Points, Point{At: light.Clock(p.Hour), Percent: p.Percent})
	}
	return out
}
