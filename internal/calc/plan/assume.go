package plan

import (
	"math"

	"saltwright/internal/calc/text"
)

// completion fills a plan and keeps the list of what it assumed.
type completion struct {
	p    *Plan
	list []Assumption
}

// assume fills *field when it is nil and notes it.
func assume[T any](c *completion, field **T, value T, param, unit string, why Why, note text.Text) {
	if *field != nil {
		return
	}
	v := value
	*field = &v
	c.note(param, value, unit, why, note)
}

func (c *completion) note(param string, value any, unit string, why Why, note text.Text) {
	a := Assumption{Param: param, Value: value, Unit: unit, Why: why, Note: note}
	switch why {
	case WhyCommonPractice:
		a.Source = "CommonPractice"
	case WhyDerived:
		a.Source = "Derived"
	}
	switch v := value.(type) {
	case Place:
		a.Value = string(v)
	case float64:
		a.Value = math.Round(v*1e6) / 1e6
	}
	c.list = append(c.list, a)
}
