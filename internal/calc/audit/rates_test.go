package audit

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/reference"
)

// Every default rate that is not judged alone stands in failure_rates.csv: the sum of the modes named lies within low
// to high of its row, or within a factor of three of its one figure, which is how far the table says to trust it.
func TestRatesRestOnTheTable(t *testing.T) {
	rows := map[string]reference.Row{}
	for _, row := range reference.Load(t, "failure_rates.csv") {
		rows[row["group"]+" | "+row["item"]+" | "+row["mode"]] = row
	}
	for _, c := range []struct{ sort, names, row string }{
		{"heater", "element_open", "heater | heating element | burns out (no heat)"},
		{"heater", "element_shorted", "heater | heating element or its seal | short to water, trips the protection"},
		{"heater", "thermostat_welded", "switching | heater thermostat | stuck closed (welded)"},
		{"heater", "thermostat_open", "switching | heater thermostat | stuck open or dead"},
		{"chiller", "stopped", "pump | pump or fan | failure"},
		{"fan", "stopped", "pump | fan | fails to run"},
		{"return pump", "stopped", "pump | small pump in salt water, cleaned | stops"},
		{"circulation pump", "stopped", "pump | small pump in salt water, cleaned | stops"},
		{"top-off pump", "stopped", "pump | small pump in salt water, cleaned | stops"},
		{"reservoir", "break_blocked", "hydraulic | siphon break (drilled hole) | blocked when needed"},
		{"temperature sensor", "reads_high reads_low",
			"sensor | temperature probe in salt water | off by more than 1 K and nobody knows"},
		{"temperature sensor", "reads_high reads_low no_signal frozen_low frozen_high",
			"sensor | temperature element | all failures"},
		{"level sensor", "stuck_wet stuck_dry",
			"level | float switch in salt water with growth | stuck in either position"},
		{"leak sensor", "stuck_wet stuck_dry",
			"level | optical or capacitive level switch in salt water | wrong reading"},
		{"flow sensor", "stuck_flowing stuck_still", "level | level element | all failures"},
		{"control", "hung_on hung_off", "controller | controllers, solid state | all failures"},
		{"supervisor", "blind cuts_falsely", "controller | controllers, solid state | all failures"},
		{"output", "output_open", "controller | solid-state device, low power | all failures"},
		{"circuit", "tripped", "protection | residual-current device | nuisance trip"},
		{"alarm", "silent",
			"controller | small controller with power supply and radio | hangs or dies until restarted"},
		{"network", "lost", "network | home internet, developed countries | interruption of 10 min or more"},
	} {
		row, ok := rows[c.row]
		require.True(t, ok, c.row)
		sum := 0.0
		for _, name := range strings.Fields(c.names) {
			found := false
			for _, m := range modes {
				if m.sort == c.sort && m.name == name {
					sum, found = sum+m.perYear, true
				}
			}
			require.True(t, found, "%s %s", c.sort, name)
		}
		low, high := row.F(t, "typical")/3, row.F(t, "typical")*3
		if row.Has("low") && row.Has("high") {
			low, high = row.F(t, "low"), row.F(t, "high")
		}
		assert.GreaterOrEqual(t, sum, low*(1-1e-9), "%s %s", c.sort, c.names)
		assert.LessOrEqual(t, sum, high*(1+1e-9), "%s %s", c.sort, c.names)
	}
	for _, m := range modes {
		assert.NotEmpty(t, m.basis, "%s %s", m.sort, m.name)
	}
}

// The shares of common causes lie within the rows of the table.
func TestSharesOfCommonCausesRestOnTheTable(t *testing.T) {
	for _, row := range reference.Load(t, "failure_rates.csv") {
		switch row["item"] {
		case "beta, equal parts bought together in one sump":
			assert.InDelta(t, row.F(t, "typical"), betaEqual, 0)
		case "beta, parts of different make, place and supply":
			assert.InDelta(t, row.F(t, "typical"), betaUnlike, 0)
		}
	}
}
