package audit

import "saltwright/internal/calc/plan"

// Structure is what a plan shows before anything is simulated.
type Structure struct {
	Plan        plan.Plan // completed
	Assumptions []plan.Assumption
	Containers  []Container
	Weaknesses  []Finding // shared protections, contradictions, and what endangers people
}

// Check reads a plan without simulating it: references, geometry, common causes,
// numbers that contradict each other.
//
// Accuracy: every assumed value is stated. Errors: the plan's conflicts (joined *calc.ConflictError).
// Source: [IEC61025] (common causes).
func Check(in plan.Plan) (Structure, error) {
	p, assumptions, err := plan.Complete(in)
	if err != nil {
		return Structure{}, err
	}
	w := writer{p: p}
	w.commonCauses()
	w.contradictions()
	w.sharedBoxes()
	w.siphons()
	containers, err := containersOf(p)
	if err != nil {
		return Structure{}, err
	}
	w.containers(containers)
	w.supply()
	w.people()
	return Structure{p, assumptions, containers, w.list}, nil
}
