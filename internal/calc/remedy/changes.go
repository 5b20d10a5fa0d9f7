package remedy

import (
	"math"
	"slices"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// Change is one thing to do, and what it means in the plan as it was sent.
type Change = audit.Change

// candidates collects changes that may help.
type candidates struct {
	report  audit.Report
	p       plan.Plan // completed
	sent    plan.Plan // its lists are the beginnings of the completed plan's
	losses  map[string]bool
	unsound map[string]bool // faults
	list    []Change
}

func (c *candidates) add(code string, sentence text.Text, edit func(p *plan.Plan)) {
	same := func(x Change) bool { return x.Sentence.String() == sentence.String() }
	if !slices.ContainsFunc(c.list, same) {
		c.list = append(c.list, Change{Code: code, Sentence: sentence, Edit: edit})
	}
}

// take adds a change that the audit knows how to make.
func (c *candidates) take(x Change) { c.add(x.Code, x.Sentence, x.Edit) }

// answers adds what answers the findings of the audit.
func (c *candidates) answers() {
	for _, f := range c.report.Findings {
		if f.Answer != nil && f.Answer.Code != "ground_fault" { // that one protects people
			c.take(*f.Answer)
		}
	}
}

func (c *candidates) has(losses ...string) bool {
	return slices.ContainsFunc(losses, func(l string) bool { return c.losses[l] })
}

// given returns the first elements of a completed plan's list: those that the plan as sent names.
func given[E any](completed, sent []E) []E { return completed[:len(sent)] }

// otherCircuit is a circuit that does not feed the first heater, as far as the plan names one.
func (c *candidates) otherCircuit() *string {
	if len(c.p.Heaters) == 0 {
		return nil
	}
	for _, x := range given(c.p.Power.Circuits, c.sent.Power.Circuits) {
		if x.ID != *c.p.Heaters[0].Circuit {
			return &x.ID
		}
	}
	return nil
}

// addSensor adds a sensor under a free id, and returns that.
func addSensor(p *plan.Plan, s plan.Sensor) string {
	s.ID = plan.FreeID(*p, s.ID)
	p.Sensors = append(p.Sensors, s)
	return s.ID
}

// addSupervisor adds a control under a free id that cuts its outputs on a reading of a sensor.
func addSupervisor(p *plan.Plan, id, sensor string, when plan.When, outputs []string) *plan.Control {
	k := plan.NewControl(plan.FreeID(*p, id), plan.Supervisor, outputs...)
	k.Sensor, k.When = &sensor, &when
	p.Controls = append(p.Controls, k)
	return &p.Controls[len(p.Controls)-1]
}

// ids returns the ids of a list's elements.
func ids[E any](list []E, id func(E) string) []string {
	var out []string
	for _, e := range list {
		out = append(out, id(e))
	}
	return out
}

func tenth(x float64) float64 { return math.Round(10*x) / 10 }
