package audit

import (
	"slices"

	"saltwright/internal/calc/plan"
)

// writer gathers findings.
type writer struct {
	p     plan.Plan
	rooms []room
	list  []Finding
}

// add keeps a finding. One that names no change waits for whoever tries some: an audit says what is wrong, and proposes
// nothing that has not been audited itself.
func (w *writer) add(f Finding) { w.list = append(w.list, f) }

// heard is the sensor that an alarm reads, the first of several; none where it watches what runs.
func (w *writer) heard(a plan.Alarm) plan.Sensor {
	for _, x := range w.p.Sensors {
		if len(a.Reads()) > 0 && x.ID == a.Reads()[0] {
			return x
		}
	}
	return plan.Sensor{}
}

func elementsOnce(ids ...string) []string {
	var out []string
	for _, id := range ids {
		if !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	return out
}
