package audit

import (
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// writer gathers findings.
type writer struct {
	p     plan.Plan
	rooms []room
	list  []Finding
}

func (w *writer) add(f Finding) { w.list = append(w.list, f) }

// tried names where to ask what cures a harm or a loss: an audit says what is wrong, and proposes nothing that has not
// been audited itself.
func tried() text.Text { return text.Of("change_tried", nil) }
