package audit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
)

// reached is bare() with the heater and what alarms travel by on one circuit, pump and lamp on the other, and a cold
// alarm with a battery of its own. With the circuit tripped the water of the coldest room falls from 25.3 °C towards
// 16.6 °C with 11.6 h (flawed_test.go): 24 °C after 11.6·ln(8.7/7.4) = 1.9 h, the alarm 5 minutes later, 18 °C after
// 21 h and loss two days after that. People act within 4 h. Wrong by half an hour: the heater lets the water begin near
// 25.8 °C, in the middle of its band, which gives 11.6·ln(9.2/7.4) = 2.5 h.
func reached(paths ...string) plan.Plan {
	p := bare()
	p.Attendance.LongestAbsenceH = ptr(120.0)
	p.Power.Circuits = []plan.Circuit{{ID: "a"}, {ID: "b"}}
	p.Heaters[0].Circuit = ptr("b")
	p.Sensors = []plan.Sensor{probe("probe")}
	cold := told("cold", "probe", plan.Below, ptr(24.0), "")
	cold.Paths = paths
	p.Alarms = []plan.Alarm{cold}
	p.Routers = []plan.Router{{ID: "router", Circuit: ptr("b")}}
	p.Modems = []plan.Modem{{ID: "modem", Supply: ptr("a")}}
	p.Sirens = []plan.Siren{{ID: "siren", Circuit: ptr("a")}}
	return p
}

func TestAlarmsTravelByTheirWays(t *testing.T) {
	of := func(p plan.Plan) FaultReport { return fault(t, single(t, p), "b.tripped") }
	why := func(p plan.Plan) WhyNoHelp {
		f := of(p)
		require.Equal(t, Lost, f.Verdict)
		require.Len(t, f.NoHelp, 1)
		return f.NoHelp[0].Why
	}
	assert.Equal(t, NetworkDown, why(reached("router")), "it hangs on the circuit that is dead")
	p := reached("router")
	p.Routers[0].BatteryH = 1
	assert.Equal(t, NetworkDown, why(p), "its battery is flat before the alarm")
	p.Routers[0].BatteryH = 4
	f := of(p)
	assert.Equal(t, Rescued, f.Verdict)
	assert.InDelta(t, 2.5, f.Alarm.RaisedH, 0.2)
	assert.InDelta(t, 4, f.Alarm.ActH-f.Alarm.RaisedH, 1e-9)

	assert.Equal(t, Rescued, of(reached("router", "modem")).Verdict, "each way is enough")
	p = reached("modem")
	p.Modems[0].Supply = ptr("b")
	assert.Equal(t, WayDown, why(p))
	assert.Equal(t, OnlyInRoom, why(reached("siren")), "heard where nobody is")
}

func TestPersonsAreReachedByTheirWays(t *testing.T) {
	with := func(persons ...plan.Person) FaultReport {
		p := reached("modem", "siren")
		p.Persons = persons
		return fault(t, single(t, p), "b.tripped")
	}
	f := with(plan.Person{ID: "kim", ActsWithinH: ptr(9.0)}, plan.Person{ID: "noor", ActsWithinH: ptr(3.0)})
	require.NotNil(t, f.Alarm)
	assert.Equal(t, "noor", f.Alarm.Person, "who acts first")
	assert.InDelta(t, 3, f.Alarm.ActH-f.Alarm.RaisedH, 1e-9)

	f = with(plan.Person{ID: "kim", ReachedBy: []string{"router"}})
	assert.Equal(t, Lost, f.Verdict)
	assert.Equal(t, []NoHelp{{Why: NobodyCalled, Alarms: []string{"cold"}}}, f.NoHelp)
	f = with(plan.Person{ID: "kim", AnsweredShare: ptr(0.0)})
	assert.Equal(t, Lost, f.Verdict, "nobody answers")
	f = with(plan.Person{ID: "neighbour", ReachedBy: []string{"siren"}})
	assert.Equal(t, "neighbour", f.Alarm.Person, "within hearing")

	day := plan.Person{ID: "kim", AnswersFrom: ptr(plan.ClockTime("08:00")), AnswersUntil: ptr(plan.ClockTime("20:00"))}
	f = with(day)
	assert.InDelta(t, 16, f.Alarm.ActH-f.Alarm.RaisedH, 1e-5, "twelve hours asleep, four on the way")
}

// What fails of ways and people does nothing to the water: alone it is held and hidden, and with what an alarm would
// have saved it loses the tank.
func TestWaysAndPersonsFail(t *testing.T) {
	p := reached("modem")
	p.Persons = []plan.Person{{ID: "kim"}}
	c, err := pairs(t.Context(), p, maxPairEvents)
	require.NoError(t, err)
	for _, id := range []string{"modem.dead", "modem.lapsed", "kim.unreachable"} {
		f := fault(t, c.Report, id)
		assert.Equal(t, Held, f.Verdict, id)
		assert.True(t, f.Hidden, id)
		found := false
		for _, s := range c.CutSets {
			for _, other := range s.Faults {
				with := len(s.Faults) == 2 && (s.Faults[0] == "b.tripped" || s.Faults[1] == "b.tripped")
				found = found || with && other == id
			}
		}
		assert.True(t, found, "%s with b.tripped", id)
	}
	assert.False(t, fault(t, c.Report, "router.dead").Hidden)

	p.Routers[0].OutagesPerYear, p.Routers[0].OutageH = ptr(5.0), ptr(7.0)
	f := fault(t, single(t, p), "router.line_lost").Fault
	assert.Equal(t, []float64{5, 7}, []float64{f.PerYear, f.LastsH})
}
