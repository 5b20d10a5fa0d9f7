package sim

// mayDraw tells whether something that is dead may still draw power, so that who looks at its power takes it to run.
func (d *Device) mayDraw() bool { return d.Kind != Heater && d.Kind != Light }

// watches returns when there was something to raise an alarm about.
func (v *witness) watches(w *Watch) timeline {
	if w.Device >= 0 && v.f.deviceDead[w.Device] && v.s.Devices[w.Device].mayDraw() {
		return always(false) // nobody can tell whether it draws, so nothing is counted on
	}
	switch runs := v.running(w).without(timeTolerance); w.Kind {
	case RunsLong:
		return runs.longer(w.Seconds, v.EndS)
	case StandsStill:
		return runs.not().longer(w.Seconds, v.EndS)
	default:
		return runs.moreStarts(w.Starts, w.Seconds)
	}
}

// running returns when what is watched ran or called.
func (c *Course) running(w *Watch) timeline {
	if w.Device < 0 {
		return c.commands[w.Control]
	}
	out := always(false)
	for _, x := range c.switched {
		if x.device == w.Device {
			out.set(x.on, x.atS)
		}
	}
	return out
}

// without returns a timeline that has no turn back within some seconds: switches that act on each other at one instant
// leave such traces.
func (t timeline) without(seconds float64) timeline {
	out := always(t.first)
	for _, at := range t.turns {
		if n := len(out.turns); n > 0 && at-out.turns[n-1] <= seconds {
			out.turns = out.turns[:n-1]
		} else if n == 0 && at <= seconds {
			out.first = !out.first // from the start on
		} else {
			out.turns = append(out.turns, at)
		}
	}
	return out
}

// longer returns when it has been yes for more than some seconds, up to the end.
func (t timeline) longer(seconds, end float64) timeline {
	out, yes, since := always(false), t.first, 0.0
	for _, at := range t.turns {
		if yes && at-since > seconds {
			out.set(true, since+seconds)
			out.set(false, at)
		}
		yes, since = !yes, at
	}
	if yes && since+seconds <= end {
		out.set(true, since+seconds)
	}
	return out
}

// moreStarts returns when it has become yes more than n times within the last seconds.
func (t timeline) moreStarts(n int, seconds float64) timeline {
	var starts []float64
	yes := t.first
	for _, at := range t.turns {
		if yes = !yes; yes {
			starts = append(starts, at)
		}
	}
	out := always(false)
	until := 0.0
	for k := n; k < len(starts); k++ {
		if starts[k]-starts[k-n] >= seconds {
			continue
		}
		if out.last() && starts[k] > until {
			out.set(false, until)
		}
		out.set(true, starts[k])
		until = starts[k-n] + seconds
	}
	if out.last() {
		out.set(false, until)
	}
	return out
}
