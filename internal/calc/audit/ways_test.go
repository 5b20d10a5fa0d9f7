package audit

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// A doser by itself has no other container that somebody could take.
func TestASingleContainerIsNotMistaken(t *testing.T) {
	p := bare()
	p.DosingPumps = clockwork().DosingPumps[:1]
	for _, f := range allFaults(t, p) {
		assert.NotEqual(t, "doser.wrong_container", f.ID)
	}
}

// A circuit that feeds the heater, an alarm of the cold, and the router of another: both are told of.
func TestACircuitThatSilencesTwoAlarms(t *testing.T) {
	p := guarded()
	p.Heaters[0].Circuit = ptr("b")
	p.Alarms = append(p.Alarms, told("colder", "other", plan.Below, ptr(23.0), plan.CellularPath))
	p.Alarms[3].OwnBattery, p.Alarms[3].Circuit = false, ptr("b")
	w, _ := writing(t, p)
	w.failingCircuits()
	require.Len(t, w.list, 2)
	assert.Equal(t, []string{"b", "colder"}, w.list[0].Elements)
	assert.Equal(t, "alarms_on_failing_circuit", w.list[0].Code)
	assert.Equal(t, []string{"b", "cold"}, w.list[1].Elements)
	assert.Equal(t, "router_on_failing_circuit", w.list[1].Code)
}

// A battery goes to the way that is meant, and to the alarms that travel by it.
func TestABatteryForOneWay(t *testing.T) {
	for _, way := range []string{"r2", "m2", "s2"} {
		p := plan.Plan{Power: plan.Power{LongestOutageH: 8},
			Routers: []plan.Router{{ID: "r1", Circuit: ptr("a")}, {ID: "r2", Circuit: ptr("a")}},
			Modems:  []plan.Modem{{ID: "m1", Circuit: ptr("a")}, {ID: "m2", Circuit: ptr("a")}},
			Sirens:  []plan.Siren{{ID: "s1", Circuit: ptr("a")}, {ID: "s2", Circuit: ptr("a")}},
			Alarms: []plan.Alarm{{ID: "first", Paths: []string{"r1", "m1", "s1"}}, {ID: "second",
				Paths: []string{way}}},
		}
		w := writer{p: p.Clone()}
		w.batteryOfWay(way).Edit(&p)
		got := map[string]float64{"r1": p.Routers[0].BatteryH, "r2": p.Routers[1].BatteryH, "m1": p.Modems[0].BatteryH,
			"m2": p.Modems[1].BatteryH, "s1": p.Sirens[0].BatteryH, "s2": p.Sirens[1].BatteryH}
		want := map[string]float64{"r1": 0, "r2": 0, "m1": 0, "m2": 0, "s1": 0, "s2": 0}
		want[way] = 8
		assert.Equal(t, want, got, way)
		assert.False(t, p.Alarms[0].OwnBattery)
		assert.True(t, p.Alarms[1].OwnBattery)
	}
}

// Whoever comes besides does so within an hour; whom the attendance speaks of is named first, where nobody is.
func TestSomebodyElse(t *testing.T) {
	change := AnotherPerson("x", text.Of("y", nil), []string{"modem"}, nil, nil)
	p := plan.Plan{}
	change.Edit(&p)
	require.Len(t, p.Persons, 2)
	assert.Equal(t, plan.Person{ID: "keeper"}, p.Persons[0])
	assert.Equal(t, plan.Person{ID: "second-person", ReachedBy: []string{"modem"}, ActsWithinH: ptr(1.0)}, p.Persons[1])
	p = plan.Plan{Persons: []plan.Person{{ID: "kim"}}}
	change.Edit(&p)
	require.Len(t, p.Persons, 2)
	assert.Equal(t, "kim", p.Persons[0].ID)
}

// Of two who come equally soon the first is named.
func TestTheFirstOfTheQuickest(t *testing.T) {
	person := func(id string, withinH float64) plan.Person { return plan.Person{ID: id, ActsWithinH: &withinH} }
	w := writer{p: plan.Plan{Attendance: plan.Attendance{LongestAbsenceH: ptr(72.0)}}}
	w.neverInTime([]reaching{{person: person("slow", 90)}, {person: person("kim", 80)}, {person: person("noor", 80)}})
	require.Len(t, w.list, 1)
	assert.Equal(t, []string{"kim"}, w.list[0].Elements)
	w.list = nil
	w.neverInTime([]reaching{{person: person("slow", 90)}, {person: person("kim", 71)}})
	assert.Empty(t, w.list)
	w.neverInTime([]reaching{{person: person("kim", 72)}})
	assert.Len(t, w.list, 1, "as soon as everybody is back anyway")
}

// Verdicts from good to bad, and a plan that is sound with nothing broken and with everything.
func TestVerdictsAreInOrder(t *testing.T) {
	for i, a := range Verdicts {
		for k, b := range Verdicts {
			assert.Equal(t, i < k, a.Better(b), "%s %s", a, b)
		}
	}
	comfort := []NominalReport{{Crossings: []Crossing{{Loss: "chilled", ComfortH: ptr(1.0)}}}}
	assert.True(t, Report{Nominal: comfort}.Sound())
	harm := []NominalReport{{Crossings: []Crossing{{Loss: "chilled", HarmH: ptr(1.0)}}}}
	assert.False(t, Report{Nominal: harm}.Sound())
	assert.False(t, Report{Nominal: []NominalReport{{Truncated: true}}}.Sound())
	assert.False(t, Report{Faults: []FaultReport{ended("a", "x", 3), {Verdict: Harmed}}}.Sound())
	r := Report{Faults: []FaultReport{ended("a", "x", 3), ended("b", "x", 5), ended("c", "x", 3)}}
	assert.Equal(t, "a", r.Worst().Fault.ID, "the soonest, and the first of two at one instant")
}

// What stands still when a circuit trips, by what shows it: what hangs on it, and what a control on it drives; a guard
// on it lets go.
func TestWhatACircuitFeeds(t *testing.T) {
	on := ptr("a")
	p := plan.Plan{
		Heaters: []plan.Heater{{ID: "heater", Circuit: on}, {ID: "second", Circuit: ptr("b")}, {ID: "third",
			Circuit: ptr("b")}},
		Chillers:    []plan.Chiller{{ID: "chiller", Circuit: on}},
		Fans:        []plan.Fan{{ID: "fan", Circuit: on}},
		Pumps:       []plan.Pump{{ID: "lift", Role: plan.ReturnRole, Circuit: on}, {ID: "stream", Circuit: on}},
		TopOffPumps: []plan.TopOffPump{{ID: "pump", Circuit: on}},
		Controls: []plan.Control{{ID: "warm", Kind: plan.Heating, Circuit: on, Outputs: []string{"second"}},
			{ID: "cut", Kind: plan.Supervisor, Circuit: on, Outputs: []string{"third"}}},
	}
	assert.Equal(t, []fedPart{{[]string{"heater", "second"}, plan.Below}, {[]string{"chiller", "fan"}, plan.Above},
		{[]string{"lift"}, plan.NoFlow}, {[]string{"pump"}, plan.Dry}}, (&writer{p: p}).fedBy("a"))
	assert.Empty(t, (&writer{p: p}).fedBy("c"))
}

// An alarm that another circuit is dead tells nothing of the one that the heater hangs on.
func TestAWatchOnAnotherCircuitTellsNothing(t *testing.T) {
	for circuit, want := range map[string]int{"a": 1, "b": 0} {
		p := guarded()
		p.Heaters[0].Circuit = ptr("b")
		p.Sensors = append(p.Sensors, plan.Sensor{ID: "watch", Kind: plan.PowerKind, Circuit: &circuit})
		p.Alarms = append(p.Alarms, told("dead", "watch", plan.NoPower, nil, plan.CellularPath))
		w, _ := writing(t, p)
		w.failingCircuits()
		assert.Len(t, w.list, want, circuit)
	}
}

// What drives nothing acts through itself.
func TestWhatDrivesNothingActsThroughItself(t *testing.T) {
	w := writer{p: plan.Plan{Controls: []plan.Control{{ID: "idle", Kind: plan.Heating, Sensor: ptr("probe")}},
		Contactors: []plan.Contactor{{ID: "empty"}}}}
	for _, id := range []string{"idle", "probe", "empty"} {
		assert.Equal(t, id, w.subject(FaultReport{Fault: Fault{Element: id}}), id)
	}
}

// 25 L on a quarter of a square metre stand 100 mm high: above the end of the line water runs by itself, and through an
// end under water it runs back.
func TestWhereALineEnds(t *testing.T) {
	for _, c := range []struct {
		bottomMM, endMM float64
		code            string
		params          text.Params
	}{
		{-90, 20, "", nil}, {-80, 20, "", nil}, {-70, 20, "reservoir_siphons", text.Params{"reservoir": "can",
			"above": 10.0}},
		{-120, 0, "", nil}, {-140, -20, "line_runs_back", text.Params{"reservoir": "can", "under": 20.0}},
		{-110, -20, "reservoir_siphons", text.Params{"reservoir": "can", "above": 10.0}},
	} {
		w := writer{p: plan.Plan{Reservoirs: []plan.Reservoir{{ID: "can", VolumeL: 25, LengthMM: ptr(500.0),
			WidthMM: ptr(500.0), BottomAboveWaterMM: &c.bottomMM, LineEndAboveWaterMM: &c.endMM}}}}
		w.siphons()
		if c.code == "" {
			assert.Empty(t, w.list, "%+v", c)
			continue
		}
		require.Len(t, w.list, 1, "%+v", c)
		assert.Equal(t, c.code, w.list[0].Code)
		assert.Equal(t, c.params, w.list[0].Message.Params)
	}
}

// A backup that waits for a hand is told of, one that starts by itself is not; and a device behind which all alarms
// hang, as far as they have no battery of their own.
func TestWhatWaitsAndWhatHangsTogether(t *testing.T) {
	for _, c := range []struct {
		name string
		edit func(p *plan.Plan)
		want []string
	}{
		{"both on the wall", func(*plan.Plan) {}, nil},
		{"both behind the device", func(p *plan.Plan) {
			p.Alarms[0].Circuit, p.Alarms[1].Circuit = ptr("wet"), ptr("wet")
		}, []string{"alarms_behind_one_device"}},
		{"one of them", func(p *plan.Plan) { p.Alarms[0].Circuit = ptr("wet") }, nil},
		{"with a battery", func(p *plan.Plan) {
			p.Alarms[0].Circuit, p.Alarms[1].Circuit, p.Alarms[1].OwnBattery = ptr("wet"), nil, true
		}, nil},
		{"no alarm", func(p *plan.Plan) { p.Alarms = nil }, nil},
		{"a backup by hand", func(p *plan.Plan) {
			p.Power.Backups = []plan.Backup{{ID: "engine", Starts: plan.ByHand}, {ID: "battery", Starts: plan.ByItself}}
		}, []string{"backup_waits_for_a_hand"}},
	} {
		p := twoOutlets()
		p.Alarms = []plan.Alarm{{ID: "first", Circuit: ptr("wall")}, {ID: "second", Circuit: ptr("wall")}}
		p.Power.VoltageV = ptr(230.0)
		c.edit(&p)
		w := writer{p: p}
		w.supply()
		assert.Equal(t, c.want, codes(w.list), c.name)
		if len(p.Power.Backups) > 0 {
			assert.Equal(t, []string{"engine"}, w.list[0].Elements)
		}
	}
}

// A sensor that only an alarm reads is a protection: the first of all conditions, and one of two that are compared.
func TestSensorsOfAlarmsProtect(t *testing.T) {
	for _, alarm := range []plan.Alarm{
		told("hot", "probe", plan.Above, ptr(28.0), plan.CellularPath),
		{ID: "apart", Sensors: []string{"probe", "other"}, When: plan.Differ, DifferK: ptr(1.0), DelayMin: 30,
			Path: plan.CellularPath, OwnBattery: true},
	} {
		p := bare()
		p.TopOffPumps, p.Reservoirs, p.Lights = nil, nil, nil
		p.Heaters[0].ThermostatC = ptr(25.5)
		p.Sensors = []plan.Sensor{probe("probe"), probe("other"), probe("unread")}
		p.Alarms = []plan.Alarm{alarm}
		st, err := newCombining(context.Background(), p)
		require.NoError(t, err)
		protects := map[string]bool{}
		for _, f := range st.faults {
			protects[f.ID] = st.protects(f)
		}
		assert.True(t, protects["probe.no_signal"], alarm.ID)
		assert.Equal(t, alarm.DifferK != nil, protects["other.no_signal"], alarm.ID)
		assert.False(t, protects["unread.no_signal"], alarm.ID)
		assert.False(t, protects["heater.element_open"], alarm.ID)
	}
}
