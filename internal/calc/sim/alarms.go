package sim

// Alarms returns when each alarm was first raised by a path that worked, s, or Never.
//
//	injections  the faults that brought the course about
//
// Accuracy: rounding. Errors: none. Source: [Derived].
func (c *Course) Alarms(injections []Injection) []float64 {
	v := c.witness(injections)
	raised := make([]float64, len(c.s.Alarms))
	for i := range c.s.Alarms {
		raised[i] = v.raised(i)
	}
	return raised
}

func (v *witness) raised(i int) float64 {
	a := &v.s.Alarms[i]
	if v.f.alarmDead[i] || a.Path == Network && v.f.networkLost {
		return Never
	}
	var ready timeline
	switch {
	case a.Watch != nil:
		ready = v.watches(a.Watch)
	case a.OnLoss && v.anyLost(a):
		ready = always(true)
	case a.Differ != nil:
		ready = v.differs(a)
	default:
		ready = v.reads(a.Condition, a.OnLoss)
	}
	if a.Circuit >= 0 {
		ready = ready.and(v.live(a.Circuit))
	}
	if a.Path == Network && v.s.NetworkCircuit >= 0 {
		ready = ready.and(v.live(v.s.NetworkCircuit))
	}
	return ready.lasting(a.DelayS, v.EndS)
}

// anyLost tells whether one of several sensors of an alarm gives no signal.
func (v *witness) anyLost(a *Alarm) bool {
	for _, x := range a.Differ {
		if v.f.sensor[x.Sensor].lost {
			return true
		}
	}
	if a.Differ != nil {
		return false
	}
	for _, c := range v.s.Leaves(a.Condition) {
		if c.Sensor >= 0 && v.f.sensor[c.Sensor].lost {
			return true
		}
	}
	return false
}
