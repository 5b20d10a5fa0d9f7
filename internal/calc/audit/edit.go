package audit

import (
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// Change is one thing to do, and what it means in the plan as it was sent.
type Change struct {
	Code     string
	Sentence text.Text
	Edit     func(p *plan.Plan) // p is a clone of the plan as sent, which other changes may have edited before
}
