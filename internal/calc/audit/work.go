package audit

import "saltwright/internal/calc/plan"

// ordinaryElements is a household's plan; up to it an event costs about the same.
const ordinaryElements = 30

// Work weighs the events of a run by the size of the plan: each event asks every element anew.
//
//	events  of runs of p, 0 or more
//
// Returns events of an ordinary plan that take as long, a few microseconds each. Accuracy: within a factor of
// two from 30 to 184 elements, measured. Errors: none. Source: [Derived].
func Work(events int, p plan.Plan) int {
	return events * weight(p) / ordinaryElements
}

// Events is how many events of runs of p are so much work.
//
// Accuracy: as Work. Errors: none. Source: [Derived].
func Events(work int, p plan.Plan) int { return work * ordinaryElements / weight(p) }

func weight(p plan.Plan) int { return max(ordinaryElements, plan.Elements(p)) }
