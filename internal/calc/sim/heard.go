package sim

import (
	"math"
	"sort"
)

// Turns is how a yes or no went during a run.
type Turns struct {
	First bool      // at the start
	AtS   []float64 // when it changed, ascending
	Cut   bool      // it changed more often than is kept
}

// mostTurns are kept of one run: an alarm that is called so often is looked at in runs of its own.
const mostTurns = 256

func (t *Turns) note(yes bool, at float64, first bool) {
	switch {
	case first:
		t.First = yes
	case t.Cut || yes == (t.First != (len(t.AtS)%2 == 1)):
	case len(t.AtS) == mostTurns:
		t.Cut = true
	default:
		t.AtS = append(t.AtS, at)
	}
}

// Applied is the faults of sensors that moved comparators during a run.
type Applied struct{ sensor []sensorFault }

// Applied returns what a run with this effect applied to its comparators.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (e Effect) Applied() Applied { return Applied{e.f.sensor} }

// Heard returns when each alarm is raised in a run with these injections, taken from a run in which the water went the
// same way, and whether that run tells: what a sensor of shifted reading would have said may not be known, nor what a
// condition did that changed without end.
//
//	out      the run, with
//	applied  what moved its comparators
//
// Accuracy: rounding. Errors: none. Source: [Derived].
func Heard(s *System, out *Outcome, applied Applied, injections []Injection) (alarms []AlarmOutcome, known bool) {
	f := newFaultState(s, injections)
	alarms = make([]AlarmOutcome, len(s.Alarms))
	for i := range s.Alarms {
		a := &s.Alarms[i]
		alarms[i].RaisedS = Never
		if f.alarmDead[i] || a.Path == Network && f.networkLost {
			continue
		}
		course, ok := f.course(s, out, applied, i)
		if !ok {
			return nil, false
		}
		alarms[i].RaisedS = f.raised(s, a, course, out.EndS)
	}
	return alarms, true
}

// course returns when an alarm's condition called it, circuits left aside.
func (f *faultState) course(s *System, out *Outcome, applied Applied, i int) (Turns, bool) {
	a := &s.Alarms[i]
	c := &s.Conditions[a.Condition]
	course := out.Called[i]
	if c.Kind == PowerPresent { // circuits are known without the run
		course = f.powered(s, c.Index)
	}
	if c.Sensor >= 0 {
		x := f.sensor[c.Sensor]
		was := applied.sensor[c.Sensor]
		switch {
		case x.lost:
			return Turns{First: a.OnLoss}, true
		case x.forced != 0:
			course = Turns{First: x.forced > 0}
		case c.Kind != ComparatorTrue || x.fixed == was.fixed && x.value == was.value && x.offset == was.offset:
		default:
			said, known := s.Comparators[c.Index].reads(x, out.Peaks)
			if !known || was != (sensorFault{}) {
				return Turns{}, false
			}
			course = Turns{First: said}
		}
	}
	course.First = course.First != c.Negate
	return course, !course.Cut
}

// reads returns what a comparator of temperature says all through a run of these peaks when its sensor has a fault, if that is known.
func (c Comparator) reads(f sensorFault, p Peaks) (yes, known bool) {
	if f.fixed {
		return c.Says(f.value)
	}
	return c.SaysWithin(p, f.offset)
}

// SaysWithin returns what the comparator says all through a run of these peaks if its sensor reads so much too high, and
// whether that is known. Only temperatures are.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (c Comparator) SaysWithin(p Peaks, offset float64) (yes, known bool) {
	least, most := p.TempMinC, p.TempMaxC
	switch c.Quantity {
	case DisplayTemp:
	case SumpTemp:
		least, most = p.SumpTempMinC, p.SumpTempMaxC
	default:
		return false, false
	}
	const margin = 1e-6 // K: no nearer than this to a threshold
	low := math.Min(c.Low, c.High-deadBand(c.Quantity))
	yes = least+offset >= c.High+margin
	return yes, yes || most+offset <= low-margin
}

// powered returns when a circuit is live.
func (f *faultState) powered(s *System, circuit int) Turns {
	backup := s.Circuits[circuit].BackupS
	switch {
	case f.circuitLost[circuit]:
		return Turns{}
	case !f.mainsLost || backup >= s.OutageS:
		return Turns{First: true}
	case backup > 0:
		return Turns{First: true, AtS: []float64{backup, s.OutageS}}
	}
	return Turns{AtS: []float64{s.OutageS}}
}

// raised returns when a call has first lasted for the alarm's delay with its circuit, and its network's, live.
func (f *faultState) raised(s *System, a *Alarm, call Turns, end float64) float64 {
	var few [3]Turns // most of the time neither list leaves the stack
	var some [32]float64
	all := append(few[:0], call)
	if a.Circuit >= 0 {
		all = append(all, f.powered(s, a.Circuit))
	}
	if a.Path == Network && s.NetworkCircuit >= 0 {
		all = append(all, f.powered(s, s.NetworkCircuit))
	}
	all[0] = call.alignedWith(all[1:])
	call = all[0]
	instants := append(some[:0], 0)
	for _, t := range all {
		instants = append(instants, t.AtS...)
	}
	sort.Float64s(instants)
	pending, since := false, 0.0
	for n, at := range instants {
		until, last := end, true
		if n+1 < len(instants) && instants[n+1] < end {
			until, last = instants[n+1], false
		}
		ready := at <= end
		for _, t := range all[1:] {
			ready = ready && t.at(at)
		}
		if ready && a.DelayS == 0 && s.Conditions[a.Condition].Kind == ComparatorTrue && call.before(at) {
			return at // power is back before the water has moved
		}
		ready = ready && call.at(at)
		if ready && !pending {
			since = at
		}
		pending = ready
		if due := since + a.DelayS; ready && (due < until-timeTolerance || due <= at || last && due <= end+timeTolerance) {
			return math.Max(at, math.Min(due, end))
		}
	}
	return Never
}

// alignedWith moves changes that rounding alone tells from others' to these: in a run they are one event.
func (t Turns) alignedWith(others []Turns) Turns {
	own := false
	for i, at := range t.AtS {
		for _, o := range others {
			for _, other := range o.AtS {
				if at == other || math.Abs(at-other) > timeTolerance {
					continue
				}
				if !own {
					t.AtS, own = append([]float64(nil), t.AtS...), true
				}
				t.AtS[i] = other
			}
		}
	}
	return t
}

// before tells what it was up to an instant, changes at it left out.
func (t Turns) before(instant float64) bool {
	return t.First != (sort.SearchFloat64s(t.AtS, instant)%2 == 1)
}

// at tells what it was from an instant on, changes at it included.
func (t Turns) at(instant float64) bool {
	n := sort.SearchFloat64s(t.AtS, instant)
	for n < len(t.AtS) && t.AtS[n] <= instant {
		n++
	}
	return t.First != (n%2 == 1)
}
