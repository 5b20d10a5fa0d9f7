package sim

import (
	"saltwright/internal/calc/quantity"
)

// newStarting takes whatever runs at the start of a run to have run before.
func newStarting(s *System) []starting {
	out := make([]starting, len(s.Devices))
	for i := range out {
		out[i].onAt = Never
	}
	return out
}

// ready tells whether a device has power, which comes to it some time after its circuit is back.
func (x *starting) ready(how *Starting, live bool, now float64) bool {
	switch {
	case !live:
		x.dead, x.waits = true, false
		return false
	case x.dead:
		x.dead, x.waits, x.backAt = false, true, now+how.AfterS
	}
	if x.waits && now >= x.backAt-timeTolerance {
		x.waits = false
	}
	return !x.waits
}

// startLoad is what hangs on a circuit and runs, with what has just started at what it draws at first, W. It only falls
// until something else starts.
func (x *rated) startLoad(r *run) float64 {
	sum := 0.0
	for _, i := range x.devices {
		if !r.on[i] {
			continue
		}
		d, s := &r.s.Devices[i], &r.starting[i]
		switch {
		case s.onAt != Never && r.t-s.onAt < d.Starts.ForS-timeTolerance:
			sum += d.ElectricW * max(1, d.Starts.Times)
		case d.Kind != Light || r.gives(i):
			sum += d.ElectricW
		}
	}
	return sum
}

// starts is what a plan says of a device's start.
func (c *compiler) starts(id string) Starting {
	x := c.p.Power.StartOf(id)
	if x.InrushTimes <= 1 && x.BackAfterMin == nil {
		return Starting{}
	}
	return Starting{Times: x.InrushTimes, ForS: x.InrushS, AfterS: backS(x.BackAfterMin)}
}

// backS is how long after its supply something comes back, s.
func backS(minutes *float64) float64 {
	if minutes == nil {
		return 0
	}
	return *minutes * quantity.SecondsPerMinute
}
