package remedy

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
)

// An alarm on how long a heater runs needs no probe: it tells of a control that hangs.
// A second overflow carries what a blocked one does not.
func TestNewElementsHelpWhereNothingElseWatches(t *testing.T) {
	p := quiet()
	p.Heaters[0].PowerW, p.Heaters[0].ThermostatC = 300, nil
	p.Attendance.ResponseH = new(1.0)
	r := find(t, p)
	then := cure(t, r, "running_alarm", "heat.hung_on")
	assert.Equal(t, audit.Rescued, then.Verdict)
	assert.Equal(t, "long-run-heater", then.Alarm.ID)

	p = quiet()
	p.Pumps = []plan.Pump{plan.NewPump("return", plan.ReturnRole, 2000, 20)}
	p.Overflows = []plan.Overflow{{ID: "weir"}}
	r = find(t, p)
	assert.Equal(t, audit.Held, cure(t, r, "second_overflow", "weir.blocked").Verdict)
}
