package plan

import (
	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/remedy"
	"saltwright/internal/calc/text"
)

type remedyWorth struct {
	Code         string      `json:"code"`
	Sentence     text.Text   `json:"sentence"`
	SavesPerYear float64     `json:"saves_per_year"`
	Cost         *float64    `json:"cost,omitempty"`
	PaysBackY    *float64    `json:"pays_back_years,omitempty"`
	Unpriced     []plan.Part `json:"unpriced"`
}

// mostNext is how many single changes an answer lists.
const mostNext = 10

// newRemedyWorths returns the changes that save most for their cost.
func newRemedyWorths(r remedy.Result) []remedyWorth {
	list := r.Worths()
	return envelope.Each(list[:min(len(list), mostNext)], func(w remedy.Worth) remedyWorth {
		c := r.Changes(w.Set)[0]
		return remedyWorth{c.Code, c.Sentence, w.SavesPerYear, w.Cost, w.PaysBackY(), envelope.List(w.Unpriced)}
	})
}

// bestValue says which change saves most for its cost; nothing where no cost is known.
func bestValue(list []remedyWorth) []text.Text {
	if len(list) == 0 || list[0].Cost == nil {
		return nil
	}
	w := list[0]
	return []text.Text{text.Of("remedy_best_value",
		text.Params{"change": w.Sentence, "saves": w.SavesPerYear, "cost": *w.Cost})}
}
