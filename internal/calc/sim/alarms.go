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
	ready := v.reads(a.Condition, a.OnLoss)
	if a.Circuit >= 0 {
		ready = ready.and(v.live(a.Circuit))
	}
	if a.Path == Network && v.s.NetworkCircuit >= 0 {
		ready = ready.and(v.live(v.s.NetworkCircuit))
	}
	return ready.lasting(a.DelayS, v.EndS)
}
