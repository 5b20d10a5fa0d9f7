package power

import (
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"

	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
)

// Every headline fits where it is shown, with the longest numbers that it may have.
func TestHeadlinesAreShortInBothSystems(t *testing.T) {
	const hours = 9.99
	for _, headline := range []text.Text{
		text.Of("outage_harmless", text.Params{"time": hours}),
		text.Of("outage_oxygen_first", text.Params{"time": hours}),
		text.Of("outage_cold_first", text.Params{"time": hours}),
		text.Of("outage_heat_first", text.Params{"time": hours}),
		text.Of("budget_overloaded", text.Params{"count": 1}),
		text.Of("budget_overloaded", text.Params{"count": 20}),
		text.Of("budget_weak", text.Params{"count": 1}),
		text.Of("budget_weak", text.Params{"count": 200}),
		text.Of("budget_sound", nil),
	} {
		for _, system := range []catalogue.Units{catalogue.Metric, catalogue.US} {
			said := catalogue.Reader{Units: system}.Speaker().Say(headline)
			assert.LessOrEqual(t, utf8.RuneCountInString(said), 140, said)
		}
	}
}
