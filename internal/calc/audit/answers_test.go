package audit

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
)

// writing is a writer of a completed plan, and the plan.
func writing(t *testing.T, p plan.Plan) (*writer, plan.Plan) {
	t.Helper()
	full, _, err := plan.Complete(p)
	require.NoError(t, err)
	return &writer{p: full}, full
}

// An alarm is moved 0.3 K clear of what the tank does by itself, to a tenth further out, unless that is harm: 29.5 °C
// and 21.5 °C are the limits of a mixed reef.
func TestAQuietAlarmStandsClearOfTheTank(t *testing.T) {
	p := guarded()
	w, full := writing(t, p)
	for _, c := range []struct {
		alarm          int
		lowest, warmer float64
		want           float64 // 0: there is no room
	}{
		{0, 25, 26.02, 26.4}, {0, 25, 29.1, 29.4}, {0, 25, 29.2, 0}, {0, 25, 31, 0},
		{1, 25.31, 26, 25.0}, {1, 21.95, 26, 21.6}, {1, 21.85, 26, 0}, {1, 18, 26, 0},
	} {
		w.rooms = make([]room, 2)
		w.rooms[0].nominal.Extremes.TempMinC, w.rooms[0].nominal.Extremes.TempMaxC = c.lowest, 25.5
		w.rooms[1].nominal.Extremes.TempMinC, w.rooms[1].nominal.Extremes.TempMaxC = 25.4, c.warmer
		change := w.quietAlarm(full.Alarms[c.alarm])
		if c.want == 0 {
			assert.Nil(t, change, "%+v", c)
			continue
		}
		require.NotNil(t, change, "%+v", c)
		after := p.Clone()
		change.Edit(&after)
		assert.InDelta(t, c.want, *after.Alarms[c.alarm].ThresholdC, 1e-9)
		assert.Equal(t, *p.Alarms[1-c.alarm].ThresholdC, *after.Alarms[1-c.alarm].ThresholdC, "the other one stays")
		assert.Equal(t, *p.Controls[1].ThresholdC, *after.Controls[1].ThresholdC)
	}
	assert.Nil(t, w.quietAlarm(full.Alarms[2]), "a float has no temperature")
}

// A guard cuts at 27.5 + 0.3 x 2 = 28.1 °C, one against cold at (21.5 + 24)/2 = 22.75 °C, rounded to 22.8.
func TestWhereAGuardIsMoved(t *testing.T) {
	p := guarded()
	w, full := writing(t, p)
	after := p.Clone()
	w.guardAt(full.Controls[1]).Edit(&after)
	assert.InDelta(t, 28.1, *after.Controls[1].ThresholdC, 1e-9)
	cold := full.Controls[1]
	cold.When = ptr(plan.Below)
	w.guardAt(cold).Edit(&after)
	assert.InDelta(t, 22.8, *after.Controls[1].ThresholdC, 1e-9)
}

// Whoever gets a sensor of its own reads that one wherever it read the shared one, and nobody else does.
func TestASensorOfItsOwn(t *testing.T) {
	p := guarded()
	p.Controls[1].Sensor, p.Controls[1].Sensors = nil, []string{"other", "probe"}
	p.Alarms[0].Sensor, p.Alarms[0].Sensors = "", []string{"probe", "other"}
	w := &writer{p: p}
	after := p.Clone()
	w.ownSensor("cut", "probe").Edit(&after)
	assert.Equal(t, []string{"other", "cut-probe"}, after.Controls[1].Sensors)
	assert.Equal(t, "probe", *after.Controls[0].Sensor)
	assert.Equal(t, []string{"probe", "other"}, after.Alarms[0].Sensors)
	w.ownSensor("hot", "other").Edit(&after)
	assert.Equal(t, []string{"probe", "hot-probe"}, after.Alarms[0].Sensors)
	w.ownSensor("warm", "probe").Edit(&after)
	assert.Equal(t, "warm-probe", *after.Controls[0].Sensor)
	w.ownSensor("cold", "other").Edit(&after)
	assert.Equal(t, []string{"cold-probe", "low"}, []string{after.Alarms[1].Sensor, after.Alarms[2].Sensor})
	assert.Len(t, after.Sensors, len(p.Sensors)+4)
	assert.Equal(t, plan.TemperatureKind, after.Sensors[len(p.Sensors)].Kind)
	same := p.Clone()
	w.ownSensor("warm", "gone").Edit(&same)
	assert.Equal(t, p, same, "there is none to copy")
	first := p.Clone()
	w.ownSensor("warm", p.Sensors[0].ID).Edit(&first)
	assert.Len(t, first.Sensors, len(p.Sensors)+1, "the first of the list, too")

	OwnBattery("dry").Edit(&same)
	p.Alarms[2].OwnBattery = false
	for i := range same.Alarms {
		same.Alarms[i].OwnBattery = false
	}
	OwnBattery("hot").Edit(&same)
	assert.Equal(t, []bool{true, false, false},
		[]bool{same.Alarms[0].OwnBattery, same.Alarms[1].OwnBattery, same.Alarms[2].OwnBattery})
}

func TestARouterElsewhere(t *testing.T) {
	p := guarded()
	w, _ := writing(t, p)
	w.routerElsewhere("b", "cold").Edit(&p)
	assert.Equal(t, "a", *p.Power.NetworkCircuit)
	p = guarded()
	p.Power.Circuits = p.Power.Circuits[1:]
	w, _ = writing(t, p)
	w.routerElsewhere("b", "cold").Edit(&p)
	assert.Equal(t, "b", *p.Power.NetworkCircuit, "there is no other circuit")
	assert.Equal(t, plan.CellularPath, p.Alarms[1].Path)
}

// 1.1 K behind what the control holds: a heater above 25.5 °C, a chiller below 27 °C; without a set-point about the
// middle of comfort, 25.8 °C.
func TestADialBehindItsControl(t *testing.T) {
	p := guarded()
	w, full := writing(t, p)
	for _, c := range []struct {
		setpoint *float64
		cools    bool
		want     float64
	}{{ptr(25.5), false, 26.6}, {ptr(27.0), true, 25.9}, {nil, false, 26.9}, {nil, true, 24.7}} {
		control := full.Controls[0]
		control.SetpointC = c.setpoint
		id := "heater"
		if c.cools {
			id = "chiller"
		}
		after := p.Clone()
		w.dialBehind(id, 32, control, c.cools).Edit(&after)
		got, other := after.Heaters[0].ThermostatC, after.Chillers[0].ThermostatC
		if c.cools {
			got, other = other, got
		}
		assert.InDelta(t, c.want, *got, 1e-9, "%+v", c)
		assert.NotEqual(t, *got, *other)
	}
}

// A step of 0.2 K three times as wide is 0.6 K, at least 0.4 and at most 1.5; the step of the one that is named, only.
func TestAWiderStep(t *testing.T) {
	p := guarded()
	p.Heaters = append(
		p.Heaters,
		plan.Heater{ID: "spare", PowerW: 50, ThermostatC: ptr(25.0), ThermostatHysteresisK: 0.3},
	)
	p.Controls[0].HysteresisK = 0.2
	w, _ := writing(t, p)
	for _, c := range []struct {
		id     string
		factor float64
		want   float64
	}{
		{"warm", 3, 0.6}, {"warm", 1.1, 0.4}, {"warm", 20, 1.5}, {"spare", 2, 0.6}, {"chiller", 2, 1.2},
		{"chiller", 0.9, 0}, {"cut", 3, 0}, {"nothing", 3, 0}, {"heater", 1, 0},
	} {
		change := w.wider(c.id, c.factor)
		if c.want == 0 {
			assert.Nil(t, change, c.id)
			continue
		}
		require.NotNil(t, change, c.id)
		after := p.Clone()
		change.Edit(&after)
		steps := map[string][2]float64{
			"warm":    {p.Controls[0].HysteresisK, after.Controls[0].HysteresisK},
			"heater":  {p.Heaters[0].ThermostatHysteresisK, after.Heaters[0].ThermostatHysteresisK},
			"spare":   {p.Heaters[1].ThermostatHysteresisK, after.Heaters[1].ThermostatHysteresisK},
			"chiller": {p.Chillers[0].ThermostatHysteresisK, after.Chillers[0].ThermostatHysteresisK},
		}
		for id, step := range steps {
			if id == c.id {
				assert.InDelta(t, c.want, step[1], 1e-9, id)
			} else {
				assert.Equal(t, step[0], step[1], id)
			}
		}
	}
}

// 420 W hang on a strip of 3.2 A at 100 V: 100 W too much. The lamp of 100 W is just enough, and moves where 100 W are
// just free; the heater of 300 W would do as well and is more.
func TestTheLightestThatIsEnoughMoves(t *testing.T) {
	build := func(wallA *float64, more float64) *writer {
		p := twoOutlets()
		p.Power.VoltageV, p.Power.Circuits[1].BreakerA = ptr(100.0), wallA
		p.Power.Strips[0].RatingA = ptr(3.2)
		p.Pumps[1].PowerW = 25 // on the wall
		p.Lights[0].PowerW += more
		w, _ := writing(t, p)
		return w
	}
	moved := func(change *Change) string {
		p := twoOutlets()
		change.Edit(&p)
		for id, supply := range map[string]*string{"heater": p.Heaters[0].Circuit, "light": p.Lights[0].Circuit,
			"lift": p.Pumps[0].Circuit} {
			if supply != nil && *supply == "wall" {
				return id
			}
		}
		return ""
	}
	require.InDelta(t, 420, build(nil, 0).p.LoadW("board"), 1e-9)
	assert.Equal(t, "light", moved(build(nil, 0).lighter("board", 3.2)))
	assert.Equal(t, "light", moved(build(ptr(1.25), 0).lighter("board", 3.2)), "125 W less the stream pump's 25 W")
	assert.Nil(t, build(ptr(1.2), 0).lighter("board", 3.2), "nothing that is enough finds room")
	assert.Equal(t, "heater", moved(build(nil, 0).lighter("board", 3.1)), "the lamp would not be enough")
}

// What a cooling's set-point moves to: above what the heating reaches by 0.2 K and half its own band, 0.3 K, up to a
// tenth: 26.6 °C. Beyond harm it is not moved at all.
func TestCoolingBeginsAboveHeating(t *testing.T) {
	p := guarded()
	p.Chillers = append(p.Chillers, plan.Chiller{ID: "second", CoolingW: 100, ThermostatC: ptr(25.0),
		ThermostatHysteresisK: 0.6})
	p.Controls = append(p.Controls, plan.Control{ID: "cool", Kind: plan.Cooling, Sensor: ptr("other"),
		SetpointC: ptr(26.0), HysteresisK: 0.6, Outputs: []string{"chiller"}})
	w, _ := writing(t, p)
	after := p.Clone()
	w.coolsLater(workingBand{device: "second", by: "second", low: 24.7, high: 25.3}, 26.1).Edit(&after)
	assert.InDelta(t, 26.6, *after.Chillers[1].ThermostatC, 1e-9)
	assert.InDelta(t, 27.2, *after.Chillers[0].ThermostatC, 1e-9, "another device stays")
	after = p.Clone()
	w.coolsLater(workingBand{device: "chiller", by: "cool", low: 25.7, high: 26.3}, 26.1).Edit(&after)
	assert.InDelta(t, 26.6, *after.Controls[2].SetpointC, 1e-9)
	assert.InDelta(t, 25.5, *after.Controls[0].SetpointC, 1e-9)
	assert.InDelta(t, 26.6, *after.Chillers[0].ThermostatC, 1e-9, "its own dial would keep it from cooling")
	assert.InDelta(t, 25.0, *after.Chillers[1].ThermostatC, 1e-9)
	after = p.Clone()
	after.Chillers[0].ThermostatC = ptr(26.0)
	w.coolsLater(workingBand{device: "chiller", by: "cool", low: 25.7, high: 26.3}, 26.1).Edit(&after)
	assert.InDelta(t, 26.0, *after.Chillers[0].ThermostatC, 1e-9, "below that it lets it cool anyway")
	assert.NotNil(t, w.coolsLater(workingBand{low: 26, high: 26}, 29.3), "29.5, the limit itself")
	assert.Nil(t, w.coolsLater(workingBand{low: 26, high: 26}, 29.4))
}

// Of two heaters that reach into the cooling's band the one that reaches further is named.
func TestTheFurthestHeatingIsNamed(t *testing.T) {
	p := guarded()
	p.Controls, p.Alarms = nil, nil
	p.Heaters = []plan.Heater{
		{ID: "least", PowerW: 100, ThermostatC: ptr(27.0), ThermostatHysteresisK: 0.4},
		{ID: "high", PowerW: 100, ThermostatC: ptr(27.4), ThermostatHysteresisK: 0.4},
		{ID: "middle", PowerW: 100, ThermostatC: ptr(27.2), ThermostatHysteresisK: 0.4},
	}
	s, err := Check(p)
	require.NoError(t, err)
	i := indexOf(s.Weaknesses, "heats_against_cooling")
	require.GreaterOrEqual(t, i, 0)
	assert.Equal(t, []string{"high", "chiller"}, s.Weaknesses[i].Elements)
}

// A guard against cold at the lower edge of the cooling's band cuts it every day; just below it does not.
func TestAGuardAtTheEdgeOfCooling(t *testing.T) {
	for at, daily := range map[float64]bool{26.9: true, 26.8: false} {
		p := guarded()
		p.Controls[1].When, p.Controls[1].ThresholdC = ptr(plan.Below), &at
		p.Controls[1].Outputs = []string{"chiller"}
		p.Chillers[0].ThermostatHysteresisK, p.Chillers[0].ThermostatC = 0.5, ptr(27.15)
		s, err := Check(p)
		require.NoError(t, err)
		assert.Equal(t, daily, indexOf(s.Weaknesses, "guard_cuts_daily") >= 0, "%g", at)
	}
}

func allFaults(t *testing.T, p plan.Plan) []Fault {
	t.Helper()
	full, _, err := plan.Complete(p)
	require.NoError(t, err)
	s, err := sim.Compile(full, full.Room.Usual)
	require.NoError(t, err)
	list := append(faultsOf(full, s), boxFaults(full, s)...)
	return append(list, commonCauses(full, s, list)...)
}

func named(t *testing.T, list []Fault, id string) Fault {
	t.Helper()
	i := slices.IndexFunc(list, func(f Fault) bool { return f.ID == id })
	require.GreaterOrEqual(t, i, 0, "no fault %s", id)
	return list[i]
}

// A box that froze idle holds every control off, a guard uncut, and tells nothing; frozen calling, one of them on.
func TestWhatAFrozenBoxHolds(t *testing.T) {
	p := guarded()
	p.Controls = append(p.Controls, plan.Control{ID: "cool", Kind: plan.Cooling, Sensor: ptr("other"),
		SetpointC: ptr(27.0), HysteresisK: 0.4, Outputs: []string{"chiller"}, OnSensorLoss: plan.OffWithoutSensor})
	p.Boxes = []plan.Box{{ID: "box", Holds: []string{"warm", "cut", "cool", "hot"}, DeadOutputs: plan.DeadOpen,
		AfterRestart: plan.ByControls}}
	list := allFaults(t, p)
	held := func(id string) map[sim.Fault]int {
		out := map[sim.Fault]int{}
		for _, in := range named(t, list, id).injections {
			out[in.Fault]++
		}
		return out
	}
	assert.Equal(t, map[sim.Fault]int{sim.ControlOff: 2, sim.ControlOn: 1, sim.AlarmDead: 1}, held("box.frozen_idle"))
	for _, id := range []string{"warm", "cool"} {
		assert.Equal(t, map[sim.Fault]int{sim.ControlOff: 1, sim.ControlOn: 2, sim.AlarmDead: 1},
			held("box.frozen_calling."+id))
	}
	p.Controls = append(p.Controls, plan.Control{ID: "timer", Kind: plan.Timer, Outputs: []string{"light"},
		Schedule: &plan.Schedule{OnAt: ptr(plan.ClockTime("10:00")), OffAt: ptr(plan.ClockTime("22:00"))}})
	p.Boxes[0].Holds = append(p.Boxes[0].Holds, "timer")
	isMidnight := func(f Fault) bool { return f.ID == "box.clock_at_midnight" }
	assert.True(t, slices.ContainsFunc(allFaults(t, p), isMidnight))
	p.Attendance.LeavesAt = "00:00"
	assert.False(t, slices.ContainsFunc(allFaults(t, p), isMidnight), "it is midnight")
}

// Frozen just outside of the band 25.3 ... 25.7 °C the control that reads the probe calls, or never does.
func TestAFrozenProbeReadsBeyondTheBand(t *testing.T) {
	list := allFaults(t, controlled(0.4))
	assert.Less(t, named(t, list, "probe.frozen_low").injections[0].Value, 25.3)
	assert.Greater(t, named(t, list, "probe.frozen_low").injections[0].Value, 25.0)
	assert.Greater(t, named(t, list, "probe.frozen_high").injections[0].Value, 25.7)
	assert.Less(t, named(t, list, "probe.frozen_high").injections[0].Value, 26.0)
}

// Whoever fills the wrong can takes the next solution that is another one: not its own, no gas and no new water.
func TestTheWrongContainer(t *testing.T) {
	p := dosing(1)
	with := func(id string, meq, calcium float64) {
		x := p.DosingPumps[0]
		x.ID, x.Container = id, plan.Container{
			VolumeL:        1,
			AlkalinityMeqL: meq,
			CalciumMgL:     calcium,
			Form:           plan.CarbonateForm,
		}
		p.DosingPumps = append(p.DosingPumps, x)
	}
	with("same", 2000, 0)
	with("calcium", 0, 20000)
	with("weak", 500, 0)
	p.ChangePumps = []plan.ChangePump{
		{ID: "out", Role: plan.Drain, FlowLH: 30, Doses: p.DosingPumps[0].Doses, InletMM: ptr(-20.0)},
		{
			ID:        "in",
			Role:      plan.NewWater,
			FlowLH:    30,
			Doses:     p.DosingPumps[0].Doses,
			Container: &plan.FreshSeaWater{VolumeL: 20},
		},
	}
	list := allFaults(t, p)
	for id, other := range map[string]string{
		"doser": "calcium", "same": "calcium", "calcium": "weak", "weak": "doser",
	} {
		f := named(t, list, id+".wrong_container")
		assert.Equal(t, other, f.Sentence.Params["other"], id)
	}
}

// An alarm or a guard at the limit of harm itself is too late; a hundredth inside it is not.
func TestThresholdsOfPHAndSalinity(t *testing.T) {
	p := dosing(1)
	w, full := writing(t, p)
	l := full.Limits
	for _, c := range []struct {
		when    plan.When
		pH, psu *float64
		beyond  bool
	}{
		{plan.Above, l.HarmHighPH, nil, true}, {plan.Above, ptr(*l.HarmHighPH - 0.01), nil, false},
		{plan.Below, l.HarmLowPH, nil, true}, {plan.Below, ptr(*l.HarmLowPH + 0.01), nil, false},
		{plan.Above, nil, l.HarmHighPSU, true}, {plan.Above, nil, ptr(*l.HarmHighPSU - 0.01), false},
		{plan.Below, nil, l.HarmLowPSU, true}, {plan.Below, nil, ptr(*l.HarmLowPSU + 0.01), false},
	} {
		beyond, limit, code := w.chemicalBeyondHarm(c.when, c.pH, c.psu)
		assert.Equal(t, c.beyond, beyond, "%+v", c)
		if c.pH != nil {
			assert.Equal(t, "alarm_beyond_ph", code)
			assert.InDelta(t, *c.pH, limit, 0.011)
		} else {
			assert.Equal(t, "alarm_beyond_salinity", code)
			assert.InDelta(t, *c.psu, limit, 0.011)
		}
	}
}

// A canister of lime water must last as long as its water evaporates: 72 h are three days of it.
func TestLimeWaterLastsAsTopOff(t *testing.T) {
	p := bare()
	p.Reservoirs[0].LimeShare = ptr(0.5)
	full, _, err := plan.Complete(p)
	require.NoError(t, err)
	list, err := containersOf(full)
	require.NoError(t, err)
	require.Len(t, list, 1)
	assert.InDelta(t, 3*full.EvaporationLD(), list[0].SmallestL, 1e-9)
}

// All that does one job fails together, by what it does: contacts that open with contacts that open, a control that
// hangs on with one that hangs on. Persons who are reached in the same way are lost in one.
func TestWhatFailsTogether(t *testing.T) {
	p := guarded()
	p.Heaters = append(p.Heaters, plan.Heater{ID: "spare", PowerW: 100})
	p.Controls = append(p.Controls, heatBy("again", "other", "spare"))
	p.Modems = []plan.Modem{{ID: "modem"}}
	p.Alarms[0].Path, p.Alarms[0].Paths = "", []string{"modem"}
	p.Persons = []plan.Person{{ID: "kim", ReachedBy: []string{"modem"}}, {ID: "lee", ReachedBy: []string{"modem"}},
		{ID: "max", ReachedBy: []string{"modem", "network"}}}
	list := allFaults(t, p)
	members := map[string]Fault{}
	for _, f := range list {
		if len(f.Members) > 0 {
			members[f.Members[0]+"+"+f.Members[1]+map[bool]string{true: "+more"}[len(f.Members) > 2]] = f
		}
	}
	assert.Contains(t, members, "warm.hung_on+again.hung_on")
	assert.Contains(t, members, "warm.hung_off+again.hung_off")
	two, all := members["kim.unreachable+lee.unreachable"], members["kim.unreachable+lee.unreachable+more"]
	assert.InDelta(t, betaEqual, two.Beta, 0)
	assert.InDelta(t, betaUnlike, all.Beta, 0)
	assert.Equal(t, "common.kim.unreachable", two.ID)
	assert.Equal(t, "common.kim.unreachable.and-unlike", all.ID)
}

// How long a fault is told, with an end at 10 h: 1.05 times that, and past help where it comes within four times that.
func TestHowLongAFaultIsTold(t *testing.T) {
	of := func(endH, actH *float64) FaultReport {
		f := FaultReport{}
		if endH != nil {
			f.HarmH, f.FirstHarm, f.Verdict = endH, "overheated", Harmed
		}
		if actH != nil {
			f.Alarm = &AlarmReport{ActH: *actH}
		}
		return f
	}
	const away = 200.0
	assert.InDelta(t, away, toldHours(of(nil, nil), away), 0)
	assert.InDelta(t, pastTheEnd*100, toldHours(of(nil, ptr(100.0)), away), 1e-9)
	assert.InDelta(t, max(pastTheEnd*10, leastDrawnH), toldHours(of(ptr(10.0), nil), away), 1e-9)
	assert.InDelta(t, 42, toldHours(of(ptr(10.0), ptr(40.0)), away), 1e-9, "four times as late is still told")
	assert.InDelta(t, max(pastTheEnd*10, leastDrawnH), toldHours(of(ptr(10.0), ptr(40.1)), away), 1e-9)
	assert.InDelta(t, 30, toldHours(of(ptr(10.0), ptr(40.0)), 30), 1e-9, "nothing beyond the absence")
}

// A chronicle of what is held ends as somebody comes back; one of what is lost tells by how much help is late.
func TestAChronicleEnds(t *testing.T) {
	held := chronicle(t, bare(), single(t, bare()).Faults[0].Fault.ID)
	require.NotNil(t, held, "the first of the list is told, too")
	p := bare()
	p.Sensors = []plan.Sensor{probe("probe")}
	p.Alarms = []plan.Alarm{told("warm", "probe", plan.Above, ptr(28.5), plan.CellularPath)}
	for response, late := range map[float64]bool{1: false, 30: true} {
		p.Attendance.ResponseH = &response
		c := chronicle(t, p, "heater.thermostat_welded")
		help := c.first(HelpMoment)
		require.NotNil(t, help, response)
		require.NotNil(t, c.first(AlarmReaches))
		assert.InDelta(t, c.first(AlarmReaches).AtH+response, help.AtH, 1e-9)
		assert.Equal(t, map[bool]string{false: "moment_help", true: "moment_help_late"}[late], help.Said.Code)
		if late {
			assert.InDelta(t, help.AtH-*c.Fault.EndsH(), help.Said.Params["late"], 1e-9)
		}
	}
	c := chronicle(t, p, "light.dark")
	end := c.first(AbsenceEnds)
	require.NotNil(t, end)
	assert.InDelta(t, 72, end.AtH, 1e-9)
	p.Alarms[0].Path = plan.AudiblePath
	unheard := chronicle(t, p, "heater.thermostat_welded").first(AlarmUnheard)
	require.NotNil(t, unheard)
	assert.Equal(t, OnlyInRoom, unheard.Why)
}
