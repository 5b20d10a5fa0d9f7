package audit

import (
	"maps"
	"math"
	"slices"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
	"saltwright/internal/calc/text"
)

// Fault is one way in which one element of the plan fails.
type Fault struct {
	ID      string // element.mode, or element.mode.output
	Element string // id in the plan, or "mains" or "network"; empty for a common cause
	// heater, chiller, fan, pump, top_off_pump, reservoir, light, sensor, control, circuit, mains, network, alarm,
	// residual_current_device, strip, backup, overflow, return_line,
	// room_device, leak, contactor, box, skimmer, dosing_pump, change_pump, carbon_dioxide, router, modem, siren,
	// person
	Kind     string
	Mode     string
	Sentence text.Text // what happens, to be read after "if"
	PerYear  float64   // how often it usually comes about, 1/year; 0 for a common cause
	Basis    string    // of that, a key of the bibliography
	Contact  bool      // that rate follows from the starts of a contact
	Stated   bool      // the plan states that rate
	LastsH   float64   // it passes by itself after so long on the average, h; 0: it stays until somebody comes
	Output   string    // id of what the output that fails drives; empty for none

	// Members are the faults that come at once from one cause, and Beta the share of their rates that does; none: it
	// comes by itself.
	Members []string
	Beta    float64

	injections []sim.Injection
	noticed    bool   // a look at the tank shows it at once
	likeness   string // sort and mode: faults of one likeness happen to like parts
	elements   []string
	try        *test
}

// Elements returns the ids of the elements that fail.
//
// Errors: none. Source: [Derived].
func (f Fault) Elements() []string { return f.elements }

// breaks tells whether something of the fault is this.
func (f Fault) breaks(what sim.Fault) bool {
	return slices.ContainsFunc(f.injections, func(in sim.Injection) bool { return in.Fault == what })
}

// injectionsIn returns what to inject in a room: a probe out of the water reads that room.
func (f Fault) injectionsIn(s *sim.System) []sim.Injection {
	list := slices.Clone(f.injections)
	for i := range list {
		if f.knowsRoom() {
			list[i].Value = s.RoomTempC
		}
	}
	return list
}

// knowsRoom tells whether what to inject differs by room.
func (f Fault) knowsRoom() bool { return f.Mode == outOfWater }

type faultList struct {
	p    plan.Plan
	s    *sim.System
	list []Fault
}

// add adds the modes of a sort of element that apply to one of them.
//
//	injection  what to inject for a mode, and whether it applies
//	named      what the sentence names, besides what is injected
func (b *faultList) add(sort, element string, injection func(mode) (sim.Injection, bool), named text.Params) {
	for _, m := range modes {
		if m.sort != sort {
			continue
		}
		in, applies := injection(m)
		if !applies {
			continue
		}
		params := maps.Clone(named)
		if m.injected != "" {
			params[m.injected] = math.Abs(in.Value)
		}
		b.list = append(b.list, Fault{
			ID: element + "." + m.name, Element: element, Kind: m.kind, Mode: m.name,
			Sentence: text.Of(m.sentence, params),
			PerYear:  m.perYear, Basis: m.basis, injections: []sim.Injection{in}, noticed: m.noticed, try: m.try,
			likeness: m.sort + "." + m.name, elements: []string{element},
		})
	}
}

// element is what most sentences name.
func element(id string) text.Params { return text.Params{"element": id} }

// at injects each mode of an element by its own number.
func at(i int) func(mode) (sim.Injection, bool) {
	return func(m mode) (sim.Injection, bool) { return sim.Injection{Fault: m.fault, Index: i}, true }
}
