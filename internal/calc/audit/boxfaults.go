package audit

import (
	"slices"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/sim"
	"saltwright/internal/calc/text"
)

// clockWrongS is how far a clock is taken to be wrong: day for night, s; common practice, no source.
const clockWrongS = 12 * quantity.SecondsPerHour

// boxFaults returns the faults of a plan's boxes.
func boxFaults(p plan.Plan, s *sim.System) []Fault {
	b := &faultList{p: p, s: s}
	for _, x := range p.Boxes {
		b.box(x)
	}
	return b.list
}

// box adds the faults of a box. What it does as it freezes, or dies with its outputs as they are, depends on the
// instant: so it is tried with nothing that regulates calling, and with each that does, timers calling with it; where
// nothing regulates, with timers that call.
func (b *faultList) box(x plan.Box) {
	controls, alarms := b.held(x)
	var timers, regulators []int
	for _, i := range controls {
		switch b.s.Controls[i].Kind {
		case sim.Timer:
			timers = append(timers, i)
		case sim.Regulator:
			regulators = append(regulators, i)
		}
	}
	if len(regulators) == 0 { // what only timers drive is on when one of them is
		regulators = timers
	}
	midnight := quantity.SecondsPerDay - b.s.StartSecond
	single := func(name string, applies bool, hours float64, injections []sim.Injection) {
		n := len(b.list)
		b.add("box", x.ID, func(m mode) (sim.Injection, bool) {
			return sim.Injection{Fault: m.fault, Value: hours}, m.name == name && applies && len(injections) > 0
		}, element(x.ID))
		if len(b.list) > n {
			b.list[n].injections = injections
		}
	}
	single("dead", x.DeadOutputs != plan.DeadLast, 0, append(b.deadOutputs(x, controls), dead(alarms)...))
	single("frozen_idle", true, 0, append(b.frozen(controls, -1), dead(alarms)...))
	for _, i := range regulators {
		n := len(b.list)
		single("frozen_calling", true, 0, append(b.frozen(controls, i), dead(alarms)...))
		f, id := &b.list[n], b.s.Controls[i].ID
		f.ID, f.Mode, f.Output = f.ID+"."+id, f.Mode+"."+id, id
		f.Sentence = text.Of("fault_box_frozen_calling", text.Params{"element": x.ID, "output": id})
	}
	single("restarted", x.AfterRestart == plan.AllOff, 0, each(sim.ControlOff, controls, 0))
	single("clock_wrong", true, clockWrongS/secondsPerHour, each(sim.ClockWrong, timers, clockWrongS))
	single("clock_at_midnight", b.s.StartSecond > 0, 0, each(sim.ClockWrong, timers, midnight))
}

// held returns the numbers of the controls and alarms that a box holds.
func (b *faultList) held(x plan.Box) (controls, alarms []int) {
	for i, k := range b.s.Controls {
		if slices.Contains(x.Holds, k.ID) {
			controls = append(controls, i)
		}
	}
	for i, a := range b.s.Alarms {
		if slices.Contains(x.Holds, a.ID) {
			alarms = append(alarms, i)
		}
	}
	return controls, alarms
}

func each(what sim.Fault, list []int, value float64) []sim.Injection {
	var out []sim.Injection
	for _, i := range list {
		out = append(out, sim.Injection{Fault: what, Index: i, Value: value})
	}
	return out
}

func dead(alarms []int) []sim.Injection { return each(sim.AlarmDead, alarms, 0) }

func (b *faultList) deadOutputs(x plan.Box, controls []int) []sim.Injection {
	if x.DeadOutputs == plan.DeadOpen {
		return each(sim.ControlOff, controls, 0)
	}
	var closed []int
	for j, r := range b.s.Relays {
		if slices.Contains(controls, r.Control) {
			closed = append(closed, j)
		}
	}
	return each(sim.RelayClosed, closed, 0)
}

// frozen holds what a box drives: a supervisor that has not cut, and of what regulates the one that calls, timers with
// it; -1: none.
func (b *faultList) frozen(controls []int, calls int) []sim.Injection {
	var out []sim.Injection
	for _, i := range controls {
		kind, what := b.s.Controls[i].Kind, sim.ControlOff
		if kind == sim.Cutout || i == calls || kind == sim.Timer && calls >= 0 {
			what = sim.ControlOn
		}
		out = append(out, sim.Injection{Fault: what, Index: i})
	}
	return out
}
