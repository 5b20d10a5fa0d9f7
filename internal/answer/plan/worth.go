package plan

import (
	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/plan"
)

type planWorth struct {
	Livestock *float64   `json:"livestock,omitempty"`
	Costs     []planCost `json:"costs"`
}

type planCost struct {
	Part plan.Part `json:"part"`
	Cost float64   `json:"cost"`
}

func (w *planWorth) input() *plan.Worth {
	if w == nil {
		return nil
	}
	return &plan.Worth{Livestock: w.Livestock,
		Costs: envelope.Each(w.Costs, func(c planCost) plan.Cost { return plan.Cost(c) })}
}

func newPlanWorth(w *plan.Worth) *planWorth {
	if w == nil {
		return nil
	}
	return &planWorth{w.Livestock, envelope.Each(w.Costs, func(c plan.Cost) planCost { return planCost(c) })}
}
