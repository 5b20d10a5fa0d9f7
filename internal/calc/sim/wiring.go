package sim

import "slices"

func (s *System) wired() *wiring {
	if s.wiring != nil {
		return s.wiring
	}
	w := &wiring{
		fromControl: make([][]int, len(s.Controls)), ontoControl: make([][]int, len(s.Controls)),
		ontoDevice: make([][]int, len(s.Devices)),
	}
	for j, r := range s.Relays {
		w.fromControl[r.Control] = append(w.fromControl[r.Control], j)
		if r.Device >= 0 {
			w.ontoDevice[r.Device] = append(w.ontoDevice[r.Device], j)
		}
		if r.Target >= 0 {
			w.ontoControl[r.Target] = append(w.ontoControl[r.Target], j)
		}
	}
	w.rated = s.ratedCircuits()
	w.watchedControl, w.watchedDevice = s.watched()
	w.anyWatched = slices.Contains(w.watchedControl, true)
	acts := make([]bool, len(s.Comparators))
	for i, d := range s.Devices {
		if d.Kind == Light {
			w.lamps = append(w.lamps, i)
		}
		if d.Thermostat >= 0 {
			acts[d.Thermostat] = true
		}
		if d.Dry.Covered > 0 {
			acts[d.Dry.Covered-1] = true
		}
		if d.Skim.Wet > 0 {
			acts[d.Skim.Wet-1] = true
		}
		w.mayBreak = w.mayBreak || d.Dry.Opens > 0
		w.starts = w.starts || d.Starts != Starting{}
	}
	for i, c := range s.Controls {
		if c.RunLimitS > 0 {
			w.limited = append(w.limited, i)
		}
		if c.reads() {
			for _, x := range s.Leaves(c.Condition) {
				if x.Kind == ComparatorTrue {
					acts[x.Index] = true
				}
			}
		}
	}
	for i, yes := range acts {
		if yes {
			w.switching = append(w.switching, i)
		}
	}
	return w
}

func (s *System) ratedCircuits() []rated {
	var out []rated
	for k, c := range s.Circuits {
		if c.RatingW == 0 {
			continue
		}
		x := rated{circuit: k, ratingW: c.RatingW, atOnceW: c.AtOnceW}
		for i := range s.Devices {
			if s.hangsOn(s.Devices[i].Circuit, k) {
				x.devices = append(x.devices, i)
			}
		}
		out = append(out, x)
	}
	return out
}

// hangsOn tells whether a circuit is another one or hangs on it.
func (s *System) hangsOn(circuit, other int) bool {
	for circuit != other {
		if s.Circuits[circuit].Feeder == 0 {
			return false
		}
		circuit = s.Circuits[circuit].Feeder - 1
	}
	return true
}

// watched lists by element whether an alarm has an eye on it.
func (s *System) watched() (controls, devices []bool) {
	controls, devices = make([]bool, len(s.Controls)), make([]bool, len(s.Devices))
	for _, a := range s.Alarms {
		if a.Watch == nil {
			continue
		}
		if a.Watch.Device >= 0 {
			devices[a.Watch.Device] = true
		} else {
			controls[a.Watch.Control] = true
		}
	}
	return controls, devices
}

// Leaves returns the conditions that a condition looks at: itself, or those of a vote.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (s *System) Leaves(condition int) []*Condition {
	c := &s.Conditions[condition]
	if c.Kind != Vote {
		return []*Condition{c}
	}
	out := make([]*Condition, len(c.Of))
	for k, i := range c.Of {
		out[k] = &s.Conditions[i]
	}
	return out
}

// mayBreak tells whether a circuit may open because a heater breaks.
func (s *System) mayBreak(circuit int) bool {
	for i := range s.Devices {
		if s.Devices[i].Dry.Opens == circuit+1 {
			return true
		}
	}
	return false
}
