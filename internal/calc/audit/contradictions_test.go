package audit

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// guarded is bare() with a control, a guard and alarms that contradict nothing.
func guarded() plan.Plan {
	p := bare()
	p.Power.Circuits = []plan.Circuit{{ID: "a", GroundFault: true}, {ID: "b", GroundFault: true}}
	p.Heaters[0].ThermostatC = ptr(26.6)
	p.Chillers = []plan.Chiller{{ID: "chiller", CoolingW: 300, ThermostatC: ptr(27.2), ThermostatHysteresisK: 0.6}}
	p.Sensors = []plan.Sensor{probe("probe"), probe("other"),
		{ID: "low", Kind: plan.LevelKind, HeightMM: ptr(-20.0), HysteresisMM: 5}}
	p.Controls = []plan.Control{heatBy("warm", "probe", "heater"), {ID: "cut", Kind: plan.Supervisor,
		Sensor: ptr("other"), When: ptr(plan.Above), ThresholdC: ptr(28.0), Outputs: []string{"warm"},
		OnSensorLoss: plan.OffWithoutSensor}}
	p.Alarms = []plan.Alarm{
		told("hot", "other", plan.Above, ptr(28.3), plan.CellularPath),
		told("cold", "other", plan.Below, ptr(23.5), plan.NetworkPath),
		told("dry", "low", plan.Dry, nil, plan.CellularPath),
	}
	p.Power.NetworkCircuit = ptr("b")
	return p
}

// Each contradiction by itself, found without a simulation, and nothing found where there is none.
func TestContradictions(t *testing.T) {
	cases := []struct {
		name     string
		spoil    func(*plan.Plan)
		code     string // of the finding; empty: none
		message  string
		severity Severity
		elements []string
	}{
		{"nothing", func(*plan.Plan) {}, "", "", "", nil},
		{"heats past the cooling", func(p *plan.Plan) { p.Heaters[0].ThermostatC, p.Controls = ptr(27.0), nil },
			"heats_against_cooling", "heats_past_cooling", Weak, []string{"heater", "chiller"}},
		{"cools past the heating", func(p *plan.Plan) {
			p.Controls[0].HysteresisK = 0.2
			p.Chillers[0].ThermostatC, p.Chillers[0].ThermostatHysteresisK = ptr(26.4), 2
		}, "heats_against_cooling", "cools_past_heating", Weak, []string{"warm", "heater", "chiller"}},
		{"bands that only overlap", func(p *plan.Plan) { p.Chillers[0].ThermostatC = ptr(25.9) },
			"bands_overlap", "bands_overlap", Note, []string{"warm", "heater", "chiller"}},
		{"bands that meet", func(p *plan.Plan) { p.Chillers[0].ThermostatC = ptr(26.0) }, "", "", "", nil},
		{"a guard beyond harm", func(p *plan.Plan) { p.Controls[1].ThresholdC = ptr(29.5) },
			"guard_beyond_harm", "guard_beyond_harm", Weak, []string{"cut"}},
		{"a guard just short of it", func(p *plan.Plan) { p.Controls[1].ThresholdC = ptr(29.4) }, "", "", "", nil},
		{"a guard against cold beyond harm", func(p *plan.Plan) {
			p.Controls[1].When, p.Controls[1].ThresholdC = ptr(plan.Below), ptr(21.5)
			p.Controls[1].Outputs = []string{"chiller"}
		}, "guard_beyond_harm", "guard_beyond_harm", Weak, []string{"cut"}},
		{"a guard within the band", func(p *plan.Plan) { p.Controls[1].ThresholdC = ptr(25.7) },
			"guard_cuts_daily", "guard_cuts_daily", Weak, []string{"cut", "warm", "heater"}},
		{"an alarm beyond heat", func(p *plan.Plan) { p.Alarms[0].ThresholdC = ptr(29.5) },
			"alarm_beyond_harm", "alarm_beyond_heat", Weak, []string{"hot"}},
		{"an alarm beyond cold", func(p *plan.Plan) { p.Alarms[1].ThresholdC = ptr(21.5) },
			"alarm_beyond_harm", "alarm_beyond_cold", Weak, []string{"cold"}},
		{"an alarm below the intake", func(p *plan.Plan) { p.Sensors[2].HeightMM = ptr(-46.0) },
			"alarm_beyond_harm", "alarm_beyond_intake", Weak, []string{"dry"}},
		{"a second control by the probe", func(p *plan.Plan) {
			p.Heaters = append(p.Heaters, plan.Heater{ID: "spare", PowerW: 100})
			p.Controls = append(p.Controls, heatBy("again", "probe", "spare"))
		}, "controls_share_sensor", "controls_share_sensor", Weak, []string{"warm", "again", "probe"}},
		{"cooling by the probe", func(p *plan.Plan) {
			p.Controls = append(p.Controls, plan.Control{ID: "cool", Kind: plan.Cooling, Sensor: ptr("probe"),
				SetpointC: ptr(27.0), HysteresisK: 0.4, Outputs: []string{"chiller"}})
		}, "cooling_shares_sensor", "cooling_shares_sensor", Note, []string{"warm", "cool", "probe"}},
		{"the guard by the probe", func(p *plan.Plan) { p.Controls[1].Sensor = ptr("probe") },
			"shared_sensor", "supervisor_shares_sensor", Weak, []string{"cut", "warm", "probe"}},
		{"a dial as far as it goes", func(p *plan.Plan) { p.Heaters[0].ThermostatC = ptr(32.0) },
			"dial_beyond_harm", "heater_dial_beyond_harm", Weak, []string{"heater", "warm"}},
		{"alarms on the heater's circuit", func(p *plan.Plan) {
			p.Alarms[1].OwnBattery, p.Alarms[1].Circuit, p.Heaters[0].Circuit = false, ptr("b"), ptr("b")
		}, "alarms_on_failing_circuit", "alarms_on_failing_circuit", Weak, []string{"b", "cold"}},
		{"the router on the heater's circuit", func(p *plan.Plan) { p.Heaters[0].Circuit = ptr("b") },
			"router_on_failing_circuit", "router_on_failing_circuit", Weak, []string{"b", "cold"}},
		{"another alarm tells of it", func(p *plan.Plan) {
			p.Heaters[0].Circuit = ptr("b")
			p.Sensors = append(p.Sensors, plan.Sensor{ID: "watch", Kind: plan.PowerKind, Circuit: ptr("b")})
			p.Alarms = append(p.Alarms, told("dead", "watch", plan.NoPower, nil, plan.CellularPath))
		}, "", "", "", nil},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p := guarded()
			c.spoil(&p)
			s, err := Check(p)
			require.NoError(t, err)
			found := slices.DeleteFunc(slices.Clone(s.Weaknesses), func(f Finding) bool {
				return f.Code == "weather_left_out"
			})
			if c.code == "" {
				assert.Empty(t, found)
				return
			}
			require.Len(t, found, 1, "%v", codes(found))
			assert.Equal(t, c.code, found[0].Code)
			assert.Equal(t, c.message, found[0].Message.Code)
			assert.Equal(t, c.severity, found[0].Severity)
			assert.Equal(t, c.elements, found[0].Elements)
			assert.Contains(t, codes(single(t, p).Findings), c.code, "the audit says it, too")
		})
	}
}

// A heater's own dial past harm regulates by itself only where no control does: then it is refused.
func TestADialIsRefusedOnlyWithoutAControl(t *testing.T) {
	p := guarded()
	p.Heaters[0].ThermostatC = ptr(32.0)
	_, err := Check(p)
	require.NoError(t, err)
	p.Controls = nil
	_, err = Check(p)
	require.ErrorContains(t, err, "plan_setpoint_beyond_harm")
	p = guarded()
	p.Heaters[0].ThermostatC = ptr(20.0)
	_, err = Check(p)
	assert.ErrorContains(t, err, "plan_setpoint_beyond_harm", "turned down it heats never, control or not")
}

// Why no alarm brings help, each word of the list by a fault that ends so.
func TestWhyNoAlarmHelps(t *testing.T) {
	with := func(change func(*plan.Plan), id string) []NoHelp {
		p := bare()
		p.Power.Circuits = []plan.Circuit{{ID: "a"}, {ID: "b"}}
		p.Sensors = []plan.Sensor{probe("probe"), probe("other")}
		p.Controls = []plan.Control{heatBy("warm", "probe", "heater")}
		p.Heaters[0].ThermostatC = nil
		p.Alarms = []plan.Alarm{told("hot", "other", plan.Above, ptr(28.5), plan.CellularPath)}
		change(&p)
		return fault(t, single(t, p), id).NoHelp
	}
	alarm := func(why WhyNoHelp) []NoHelp { return []NoHelp{{Why: why, Alarms: []string{"hot"}}} }
	welded := "warm.output_welded.heater"
	assert.Equal(t, alarm(OnlyInRoom), with(func(p *plan.Plan) { p.Alarms[0].Path = plan.AudiblePath }, welded))
	assert.Equal(t, alarm(SensorLies), with(func(p *plan.Plan) { p.Alarms[0].Sensor = "probe" }, "probe.frozen_low"))
	assert.Equal(t, alarm(TooShort), with(func(p *plan.Plan) { p.Alarms[0].DelayMin = 60 * 72 }, welded))
	assert.Equal(t, alarm(NotReached), with(func(p *plan.Plan) { p.Alarms[0].ThresholdC = ptr(45.0) }, welded))
	assert.Equal(t, alarm(StandsAnyway), with(func(p *plan.Plan) { p.Alarms[0].ThresholdC = ptr(24.5) }, welded))
	assert.Equal(t, []NoHelp{{Why: NoAlarmAtAll}}, with(func(p *plan.Plan) { p.Alarms = nil }, welded))
	cold := func(p *plan.Plan) {
		p.Alarms[0] = told("hot", "other", plan.Below, ptr(24.0), plan.NetworkPath)
		p.Heaters[0].Circuit, p.Power.NetworkCircuit = ptr("b"), ptr("b")
	}
	assert.Equal(t, alarm(NetworkDown), with(cold, "b.tripped"))
	assert.Equal(t, alarm(NoPower), with(func(p *plan.Plan) {
		cold(p)
		p.Alarms[0].OwnBattery, p.Alarms[0].Circuit = false, ptr("b")
	}, "b.tripped"))

	late := with(func(p *plan.Plan) { p.Attendance.ResponseH = ptr(20.0) }, welded)
	require.Len(t, late, 1)
	assert.Equal(t, TooLate, late[0].Why)
	assert.InDelta(t, 14, 20+*late[0].RaisedH-*late[0].LateH, 1, "loss, as worked out for a buzzer")
	assert.Equal(t, "alarm_too_late", late[0].Sentence().Code)
	assert.Equal(t, text.Params{"alarm": "hot", "why": "only_in_room"}, alarm(OnlyInRoom)[0].Sentence().Params)
	assert.Nil(t, with(func(p *plan.Plan) { p.Attendance.ResponseH = ptr(1.0) }, welded), "it is rescued")
}

// A pair can end badly because the alarm itself is the second part that failed.
func TestABrokenAlarmIsNamed(t *testing.T) {
	p := bare()
	p.Sensors = []plan.Sensor{probe("probe")}
	p.Alarms = []plan.Alarm{told("hot", "probe", plan.Above, ptr(28.5), plan.CellularPath)}
	st, err := newStudy(context.Background(), p)
	require.NoError(t, err)
	silent := slices.IndexFunc(st.faults, func(f Fault) bool { return f.ID == "hot.silent" })
	welded := slices.IndexFunc(st.faults, func(f Fault) bool { return f.ID == "heater.thermostat_welded" })
	set := []int{welded, silent}
	g := st.alike([][]int{set})[0]
	course, err := st.follow(context.Background(), 2, g)
	require.NoError(t, err)
	rm, injections := &st.rooms[2], st.injections(set, 2)
	r := FaultReport{Verdict: Lost, LossH: ptr(15.0)}
	r.sayWhyNoHelp(rm, course, injections, course.Calls(injections))
	assert.Equal(t, []NoHelp{{Why: AlarmBroken, Alarms: []string{"hot"}}}, r.NoHelp)
}

// What shorts on one circuit trips it: five faults with one cause are one finding.
func TestFaultsOfOneCauseAreOneFinding(t *testing.T) {
	p := bare()
	p.Power.Circuits = []plan.Circuit{{ID: "a"}, {ID: "b"}}
	p.Heaters = nil
	for _, id := range []string{"one", "two", "three", "four"} {
		p.Heaters = append(p.Heaters, plan.Heater{ID: id, PowerW: 75, ThermostatC: ptr(25.5),
			ThermostatHysteresisK: 1, Circuit: ptr("b")})
	}
	var found []Finding
	for _, f := range single(t, p).Findings {
		if slices.Contains(f.Faults, "b.tripped") {
			found = append(found, f)
		}
	}
	require.Len(t, found, 1)
	assert.Equal(t, []string{"b"}, found[0].Elements)
	assert.ElementsMatch(t, []string{"one.element_shorted", "two.element_shorted", "three.element_shorted",
		"four.element_shorted", "b.tripped"}, found[0].Faults)
}
