package audit

import "saltwright/internal/calc/plan"

// ordinaryElements is a household's plan; up to it an event costs about the same.
const ordinaryElements = 30

// ChemicalTimes is how much longer an event takes where what is dissolved is followed, since pH is found by bracketing:
// three to four times, measured.
const ChemicalTimes = 4

// Work weighs the events of a run by the size of the plan: each event asks every element anew.
//
//	events  of runs of p, 0 or more
//
// Returns events of an ordinary plan that take as long, a few microseconds each. Accuracy: within a factor of
// two from 30 to 184 elements, measured. Errors: none. Source: [Derived].
func Work(events int, p plan.Plan) int {
	return events * weight(p) / ordinaryElements * chemical(p)
}

// Events is how many events of runs of p are so much work.
//
// Accuracy: as Work. Errors: none. Source: [Derived].
func Events(work int, p plan.Plan) int { return work * ordinaryElements / weight(p) / chemical(p) }

func chemical(p plan.Plan) int {
	if p.Chemistry == nil && len(p.DosingPumps)+len(p.ChangePumps)+len(p.CarbonDioxide) == 0 {
		return 1
	}
	return ChemicalTimes
}

func weight(p plan.Plan) int { return max(ordinaryElements, plan.Elements(p)) }
