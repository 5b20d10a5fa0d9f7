package audit

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// crewed is reached() by router and modem, each on a circuit of its own, with two persons whom both reach at any hour.
func crewed() plan.Plan {
	p := reached("router", "modem")
	p.Persons = []plan.Person{{ID: "kim", ReachedBy: []string{"router", "modem"}}, {ID: "noor"}}
	return p
}

// found returns the finding of a code, and whether reading the plan with its answer takes it away.
func found(t *testing.T, p plan.Plan, code string) (f Finding, answered bool) {
	t.Helper()
	s, err := Check(p)
	require.NoError(t, err)
	i := slices.IndexFunc(s.Weaknesses, func(f Finding) bool { return f.Code == code })
	require.GreaterOrEqual(t, i, 0, "%s among %v", code, codes(s.Weaknesses))
	return s.Weaknesses[i], s.Weaknesses[i].Change.Code == "change_checked"
}

// reachCodes are what this file is about.
var reachCodes = []string{
	"alarm_reaches_nobody", "no_alarm_reaches_person", "person_answers_nothing", "everybody_by_one_way",
	"everybody_by_one_service", "everybody_by_one_supply", "nobody_at_some_hours", "nobody_in_time",
}

func TestPeopleWhomNothingReaches(t *testing.T) {
	cases := []struct {
		code     string
		spoil    func(p *plan.Plan)
		elements []string
		answered bool // an edit takes it away
		also     []string
	}{
		{"alarm_reaches_nobody", func(p *plan.Plan) {
			p.Alarms = append(p.Alarms, told("bell", "probe", plan.Above, ptr(28.5), ""))
			p.Alarms[1].Paths = []string{"siren"}
		}, []string{"bell"}, true, nil},
		{"no_alarm_reaches_person", func(p *plan.Plan) { p.Persons[0].ReachedBy = []string{"siren"} },
			[]string{"kim"}, true, nil},
		{"person_answers_nothing", func(p *plan.Plan) { p.Persons[0].AnsweredShare = ptr(0.0) },
			[]string{"kim"}, false, nil},
		{"everybody_by_one_way", func(p *plan.Plan) { p.Alarms[0].Paths = []string{"router"} },
			[]string{"router"}, true, nil},
		{"everybody_by_one_way", func(p *plan.Plan) { p.Alarms[0].Paths = []string{"modem"} },
			[]string{"modem"}, true, nil},
		{"everybody_by_one_service", func(p *plan.Plan) {
			p.Modems = append(p.Modems, plan.Modem{ID: "modem-2", Circuit: ptr("b")})
			p.Alarms[0].Paths, p.Persons[0].ReachedBy = []string{"modem", "modem-2"}, nil
		}, []string{"modem", "modem-2"}, true, nil},
		{"everybody_by_one_supply", func(p *plan.Plan) { p.Routers[0].Circuit = ptr("a") }, []string{"a"}, true, nil},
		{"everybody_by_one_supply", func(p *plan.Plan) { // each on its own circuit, behind one device
			p.Power.ResidualCurrentDevices = []plan.ResidualCurrentDevice{{ID: "guard"}}
			for i := range p.Power.Circuits {
				p.Power.Circuits[i].ResidualCurrentDevice = ptr("guard")
			}
		}, []string{"guard"}, true, nil},
		{"everybody_by_one_supply", func(p *plan.Plan) { // the alarm itself, not its ways
			p.Alarms[0].OwnBattery, p.Alarms[0].Circuit = false, ptr("b")
		}, []string{"b"}, true, nil},
		{"nobody_at_some_hours", func(p *plan.Plan) {
			for i, hours := range [][2]plan.ClockTime{{"07:00", "16:00"}, {"14:00", "23:30"}} {
				p.Persons[i].AnswersFrom, p.Persons[i].AnswersUntil = &hours[0], &hours[1]
			}
		}, []string{"kim", "noor"}, true, nil},
		{"nobody_in_time", func(p *plan.Plan) {
			p.Persons[0].ActsWithinH, p.Persons[1].ActsWithinH = ptr(140.0), ptr(120.0)
		}, []string{"noor"}, true, nil},
		{"no_alarm_reaches_person", func(p *plan.Plan) { // of two, the other one is left
			p.Persons[0].ReachedBy, p.Persons[1].ReachedBy = []string{"cellular"}, []string{"network"}
		}, []string{"kim"}, true, []string{"alarm_reaches_nobody"}},
	}
	of := func(p plan.Plan) []string {
		return slices.DeleteFunc(checked(t, p), func(code string) bool { return !slices.Contains(reachCodes, code) })
	}
	assert.Empty(t, of(crewed()))
	for _, c := range cases {
		p := crewed()
		c.spoil(&p)
		f, answered := found(t, p, c.code)
		assert.Equal(t, c.elements, f.Elements, c.code)
		assert.Equal(t, c.answered, answered, "%s: %v", c.code, f.Change)
		for _, code := range c.also {
			assert.Contains(t, of(p), code)
		}
		p.Persons = nil
		if len(p.Routers) > 0 {
			assert.Empty(t, of(p), "a plan that names nobody is read as before")
		}
	}
}

// A battery in a way bridges its supply, and so does a backup that comes in by itself.
func TestABackedWayNeedsNoSupply(t *testing.T) {
	p := crewed()
	p.Routers[0].Circuit = ptr("a")
	require.Contains(t, checked(t, p), "everybody_by_one_supply")
	with := p.Clone()
	with.Modems[0].BatteryH = 4
	assert.NotContains(t, checked(t, with), "everybody_by_one_supply")
	p.Power.Strips = []plan.Strip{{ID: "strip", Supply: "a"}}
	p.Modems[0].Supply = ptr("strip")
	assert.Contains(t, checked(t, p), "everybody_by_one_supply")
	p.Power.Backups = []plan.Backup{{ID: "brick", Kind: plan.Battery, Supplies: []string{"strip"}, Hours: ptr(4.0),
		Starts: plan.ByItself}}
	assert.NotContains(t, checked(t, p), "everybody_by_one_supply")
}

// reached() calls 2.5 h after the circuit has tripped, and the water does harm below 21.5 °C for two hours: from
// 25.8 °C towards 16.6 °C with 11.6 h, 11.6·ln(9.2/4.9) + 2 = 9.3 h. Somebody who acts within 24 h is there at
// 26.5 h, 17 h too late, and every other failure that an alarm tells of is later still or ends better. A second
// person within an hour mends that.
func TestNobodyEverInTime(t *testing.T) {
	p := crewed()
	p.Persons[0].ActsWithinH, p.Persons[1].ActsWithinH = ptr(24.0), ptr(30.0)
	r := single(t, p)
	i := slices.IndexFunc(r.Findings, func(f Finding) bool { return f.Code == "nobody_in_time" })
	require.GreaterOrEqual(t, i, 0, "%v", codes(r.Findings))
	f := r.Findings[i]
	assert.Contains(t, f.Faults, "b.tripped")
	assert.Equal(t, []string{"kim"}, f.Elements)
	late, ok := f.Message.Params["late"].(float64)
	require.True(t, ok)
	assert.InDelta(t, 17, late, 1)
	require.NotNil(t, f.Answer)
	assert.Equal(t, text.Of("remedy_second_person", text.Params{"time": 1.0}), f.Answer.Sentence)
	f.Answer.Edit(&p)
	r = single(t, p)
	assert.NotContains(t, codes(r.Findings), "nobody_in_time")
	assert.Equal(t, Rescued, fault(t, r, "b.tripped").Verdict)
	assert.Equal(t, "second-person", fault(t, r, "b.tripped").Alarm.Person)
}
