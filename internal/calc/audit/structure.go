package audit

import (
	"slices"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// Structure is what a plan shows before anything is simulated.
type Structure struct {
	Plan        plan.Plan // completed
	Assumptions []plan.Assumption
	Containers  []Container
	Weaknesses  []Finding // shared protections, contradictions, and what endangers people
}

// Check reads a plan without simulating it: references, geometry, common causes,
// numbers that contradict each other. Where one change takes a weakness away it is told: it has been read, not audited.
//
// Accuracy: every assumed value is stated. Errors: the plan's conflicts (joined *calc.ConflictError).
// Source: [IEC61025] (common causes).
func Check(in plan.Plan) (Structure, error) {
	p, assumptions, err := plan.Complete(in)
	if err != nil {
		return Structure{}, err
	}
	containers, err := containersOf(p)
	if err != nil {
		return Structure{}, err
	}
	return Structure{p, assumptions, containers, answered(in, weaknessesOf(p, containers), containers)}, nil
}

func weaknessesOf(p plan.Plan, containers []Container) []Finding {
	w := writer{p: p}
	w.commonCauses()
	w.contradictions()
	w.sharedBoxes()
	w.siphons()
	w.heaters()
	w.skimmers()
	w.containers(containers)
	w.supply()
	w.reach()
	w.people()
	return w.list
}

// mostChecked is for how many weaknesses a check tries an answer.
const mostChecked = 10

// answered makes each answer in the plan as sent and reads it again: what takes its weakness away and brings no other
// is told, with no more than that.
func answered(sent plan.Plan, list []Finding, containers []Container) []Finding {
	tried := 0
	for i := range list {
		f := &list[i]
		if f.Change.IsZero() {
			f.Change = text.Of("change_audit_next", nil)
		}
		if f.Answer == nil || tried == mostChecked {
			continue
		}
		tried++
		edited := sent.Clone()
		f.Answer.Edit(&edited)
		p, _, err := plan.Complete(edited)
		if err != nil {
			continue
		}
		held := containers
		if f.Answer.Code == "smaller_container" || f.Answer.Code == "larger_container" {
			if held, err = containersOf(p); err != nil {
				continue
			}
		}
		if takenAway(*f, list, weaknessesOf(p, held)) {
			f.Change = text.Of("change_checked", text.Params{"change": f.Answer.Sentence})
		}
	}
	return list
}

// takenAway tells whether a finding is gone and no other has come.
func takenAway(f Finding, before, after []Finding) bool {
	for _, x := range after {
		was := slices.ContainsFunc(before, func(b Finding) bool { return b.same(x) })
		if x.same(f) || !was && x.Severity != Note {
			return false
		}
	}
	return true
}

// same tells whether two findings, perhaps of two plans, find the same.
func (f Finding) same(o Finding) bool {
	return f.Code == o.Code && slices.Equal(f.Elements, o.Elements)
}
