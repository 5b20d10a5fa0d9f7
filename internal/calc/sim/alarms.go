package sim

// Silence is why an alarm was not raised by a path that worked.
type Silence uint8

// The reasons, in the order in which they are looked for.
const (
	NotSilent        Silence = iota // it was raised
	AlarmBroken                     // it is the part that failed
	SensorLies                      // the water would have raised it, but its sensor's fault hid that
	TooShort                        // what it watches for never lasted its delay
	ThresholdNotMet                 // what it watches for never came
	AlarmWithoutFeed                // its circuit was dead
	BatteryFlat                     // its circuit's backup had run out
	NetworkDown                     // the home network, or the power of its router, was gone
	WayDown                         // the same of a modem or a siren
)

// Silent is an alarm that was not raised.
type Silent struct {
	Why Silence
	AtS float64 // when it would have been but for that, or Never
}

// Silences returns for each alarm why it was not raised.
//
//	injections  the faults that brought the course about
//
// Accuracy: rounding. Errors: none. Source: [Derived].
func (c *Course) Silences(injections []Injection) []Silent {
	v := c.witness(injections)
	out := make([]Silent, len(c.s.Alarms))
	for i := range c.s.Alarms {
		out[i] = v.silent(i)
	}
	return out
}

func (v *witness) silent(i int) Silent {
	a := &v.s.Alarms[i]
	reading := v.reason(a)
	reads := reading.lasting(a.DelayS, v.EndS)
	switch {
	case v.f.alarmDead[i]:
		return Silent{AlarmBroken, reads}
	case reads == Never:
		well := *v
		well.f.sensor = make([]sensorFault, len(v.s.Sensors))
		truth := well.reason(a)
		if at := truth.lasting(a.DelayS, v.EndS); at != Never {
			return Silent{SensorLies, at}
		}
		if reading.lasting(0, v.EndS) != Never {
			return Silent{TooShort, Never}
		}
		return Silent{ThresholdNotMet, Never}
	case a.Circuit >= 0:
		fed := reading.and(v.live(a.Circuit))
		if fed.lasting(a.DelayS, v.EndS) != Never {
			break
		}
		if v.s.Circuits[a.Circuit].BackupS > 0 && !v.f.circuitLost[a.Circuit] {
			return Silent{BatteryFlat, reads}
		}
		return Silent{AlarmWithoutFeed, reads}
	}
	if v.raised(i) == Never {
		for _, way := range a.Ways {
			if v.s.Ways[way].Kind == Network {
				return Silent{NetworkDown, reads}
			}
		}
		return Silent{WayDown, reads}
	}
	return Silent{NotSilent, reads}
}

// Alarms returns when each alarm was first raised by a way that worked, s, or Never.
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
	first := Never
	for _, at := range v.raisedBy(i) {
		first = sooner(first, at)
	}
	return first
}

// Calls returns for each alarm when it was first raised by each of its ways, s, or Never.
//
//	injections  the faults that brought the course about
//
// Accuracy: rounding. Errors: none. Source: [Derived].
func (c *Course) Calls(injections []Injection) [][]float64 {
	v := c.witness(injections)
	out := make([][]float64, len(c.s.Alarms))
	for i := range c.s.Alarms {
		out[i] = v.raisedBy(i)
	}
	return out
}

// raisedBy returns when an alarm was first raised by each of its ways that worked.
func (v *witness) raisedBy(i int) []float64 {
	a := &v.s.Alarms[i]
	out := make([]float64, len(a.Ways))
	for k := range out {
		out[k] = Never
	}
	if v.f.alarmDead[i] {
		return out
	}
	ready := v.reason(a)
	if a.Circuit >= 0 {
		ready = ready.and(v.live(a.Circuit))
	}
	for k, way := range a.Ways {
		if !v.f.wayDead[way] {
			out[k] = ready.and(v.carries(way)).lasting(a.DelayS, v.EndS)
		}
	}
	return out
}

// carries returns when a way had power.
func (v *witness) carries(way int) timeline {
	w := &v.s.Ways[way]
	if w.Circuit < 0 {
		return always(true)
	}
	live := v.live(w.Circuit)
	if w.BatteryS == 0 {
		return live
	}
	return live.carried([][2]float64{{0, w.BatteryS}})
}

// reason returns when there is reason to raise an alarm.
func (v *witness) reason(a *Alarm) timeline {
	switch {
	case a.Watch != nil:
		return v.watches(a.Watch)
	case a.OnLoss && v.anyLost(a):
		return always(true)
	case a.Differ != nil:
		return v.differs(a)
	}
	if a.Hours != nil {
		return v.reads(a.Condition, a.OnLoss).and(v.daily(a.Hours))
	}
	return v.reads(a.Condition, a.OnLoss)
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
