package heat

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"

	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
)

// Every headline fits where it is shown, with the longest numbers that it may have, and speaks the reader's units only.
func TestHeadlinesAreShortInBothSystems(t *testing.T) {
	const degrees, watts, kilowattHours = 33.3, 1234567.0, 1234567.0
	for _, headline := range []text.Text{
		text.Of("balance_needs_heating", text.Params{"water": degrees, "room": degrees, "power": watts}),
		text.Of("balance_needs_cooling", text.Params{"water": degrees, "room": degrees, "power": watts}),
		text.Of("balance_needs_nothing", text.Params{"water": degrees, "room": degrees}),
		text.Of("chiller_advice", text.Params{"power": watts, "room": degrees, "setpoint": degrees}),
		text.Of("chiller_not_needed", text.Params{"room": degrees, "setpoint": degrees}),
		text.Of("fan_not_needed", text.Params{"water": degrees}),
		text.Of("fan_holds", text.Params{"water": degrees}),
		text.Of("fan_cannot_hold", text.Params{"water": degrees, "wet_bulb": degrees}),
		text.Of("fan_is_too_weak", text.Params{"water": degrees, "power": watts}),
		text.Of("year_too_warm", text.Params{"water": degrees, "month": "september", "high": degrees}),
		text.Of("year_takes_heating_and_cooling", text.Params{"heating": kilowattHours, "cooling": kilowattHours}),
		text.Of("year_takes_heating", text.Params{"heating": kilowattHours, "water": degrees}),
		text.Of("year_takes_no_heating", text.Params{"water": degrees}),
		text.Of("year_cools_some_weeks", text.Params{"heating": kilowattHours}),
		text.Of("calibration_of_both", text.Params{"dry": 4.99, "evaporation": 9.99}),
		text.Of("calibration_of_heat", text.Params{"loss": 4.99}),
		text.Of("calibration_of_evaporation", text.Params{"evaporation": 9.99}),
	} {
		for system, foreign := range map[catalogue.Units]string{catalogue.Metric: "°F", catalogue.US: "°C"} {
			said := catalogue.Reader{Units: system}.Speaker().Say(headline)
			assert.LessOrEqual(t, utf8.RuneCountInString(said), 140, said)
			assert.False(t, strings.Contains(said, foreign), said)
		}
	}
}
