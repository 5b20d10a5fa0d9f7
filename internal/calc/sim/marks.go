package sim

import "sort"

// MarkKind names something that stepped in during a run.
type MarkKind uint8

// The marks.
const (
	ReservoirRanEmpty  MarkKind = iota // Index is a reservoir
	RunLimitReached                    // Index is a control
	CutoutTripped                      // Index is a control
	ThermostatTookOver                 // Index is a device: its own thermostat opened under closed relays
	FlowStopped                        // the return flow stopped
	CircuitDied                        // Index is a circuit
	StoodDry                           // Index is a device
	CupFilled                          // Index is a device
)

// Mark is the first time something of its kind and index happened.
type Mark struct {
	Kind  MarkKind
	Index int
	AtS   float64
}

// Marks returns what stepped in, in the order of time.
//
//	injections  the faults that brought the course about
//
// Accuracy: rounding. Errors: none. Source: [Derived].
func (c *Course) Marks(injections []Injection) []Mark {
	v := c.witness(injections)
	var out []Mark
	add := func(kind MarkKind, index int, at float64) {
		if at != Never {
			out = append(out, Mark{kind, index, at})
		}
	}
	for i, at := range c.emptied {
		add(ReservoirRanEmpty, i, at)
	}
	for i := range c.s.Circuits {
		add(CircuitDied, i, v.live(i).not().lasting(0, c.EndS))
	}
	if c.start.flowing {
		add(FlowStopped, 0, c.flow.not().lasting(0, c.EndS))
	}
	for i := range c.s.Controls {
		k := &c.s.Controls[i]
		switch {
		case v.f.control[i] != 0: // it hangs
		case k.Kind == Cutout:
			add(CutoutTripped, i, v.reads(k.Condition, !k.OnLoss).and(v.powered(i)).lasting(0, c.EndS))
		case k.RunLimitS > 0:
			add(RunLimitReached, i, v.reads(k.Condition, k.OnLoss).and(v.powered(i)).lasting(k.RunLimitS, c.EndS))
		}
	}
	for i := range c.s.Devices {
		add(StoodDry, i, c.bare(i))
	}
	for i, at := range c.cupFull {
		add(CupFilled, i, at)
	}
	for i, at := range v.tookOver() {
		add(ThermostatTookOver, i, at)
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].AtS < out[b].AtS-timeTolerance })
	return out
}

// tookOver returns for each device when its own thermostat first opened while relays called for it.
func (v *witness) tookOver() []float64 {
	out := make([]float64, len(v.s.Devices))
	for i := range out {
		out[i] = Never
	}
	for _, x := range v.switched {
		if x.called && !x.on && out[x.device] == Never && len(v.w.ontoDevice[x.device]) > 0 {
			out[x.device] = x.atS
		}
	}
	return out
}
