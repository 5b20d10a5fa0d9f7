package audit

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/carbonate"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
)

// One fault is another set than itself with the second, and is all that is told where it is enough; a pair is told
// where neither does it alone.
func TestSmallestSetsOfFaults(t *testing.T) {
	loss := func(atH float64) []harm { return []harm{{way: way{"chilled", LossStep}, atH: atH, late: true}} }
	c := newCutSets()
	c.add(loss(5), []int{0}, Usual)
	c.add(loss(3), []int{0, 1}, Usual)
	c.add(loss(4), []int{1, 2}, Usual)
	c.add(loss(6), []int{1, 2}, Coldest)
	sets, rescues := c.list([]Fault{{ID: "a"}, {ID: "b"}, {ID: "c"}}, &room{})
	assert.Empty(t, rescues)
	require.Len(t, sets, 2)
	assert.Equal(t, []string{"a"}, sets[0].Faults)
	assert.InDelta(t, 5, sets[0].AtH, 0)
	assert.Equal(t, []string{"b", "c"}, sets[1].Faults)
	assert.InDelta(t, 4, sets[1].AtH, 0, "the earlier room")
	assert.True(t, c.alone(way{"chilled", LossStep}, []int{2, 0}))
	assert.False(t, c.alone(way{"chilled", LossStep}, []int{1, 2}))
	assert.False(t, c.alone(way{"chilled", HarmStep}, []int{0}))
	c.add(loss(9), []int{4}, Usual)
	assert.True(t, c.alone(way{"chilled", LossStep}, []int{4, 5}), "it is in no pair")
}

// A probe that reads the room's air fails in every way of a probe, but for being out of the water.
func TestAProbeInTheAirIsNotOutOfTheWater(t *testing.T) {
	for _, c := range []struct {
		place plan.Place
		want  []string
	}{
		{plan.InRoom, []string{"reads_high", "reads_low", "no_signal", "frozen_low", "frozen_high"}},
		{plan.InDisplay, []string{"reads_high", "reads_low", "out_of_water", "no_signal", "frozen_low", "frozen_high"}},
	} {
		p := bare()
		p.Sensors = []plan.Sensor{probe("air")}
		p.Sensors[0].Place = &c.place
		var got []string
		for _, f := range allFaults(t, p) {
			if f.Element == "air" {
				got = append(got, f.Mode)
			}
		}
		assert.Equal(t, c.want, got, c.place)
	}
}

// Beyond what the scale of pH can tell the end of the scale is told.
func TestBeyondTheScaleOfPH(t *testing.T) {
	said := func(loss string, lowest, highest float64) string {
		return how(loss, Extremes{Dissolved: &sim.DissolvedPeaks{PHMin: lowest, PHMax: highest}}).Code
	}
	assert.Equal(t, "how_ph_above_all", said("ph_high", 8, carbonate.HighestPH))
	assert.Equal(t, "how_ph_high", said("ph_high", 8, carbonate.HighestPH-0.01))
	assert.Equal(t, "how_ph_below_all", said("ph_low", carbonate.LowestPH, 8))
	assert.Equal(t, "how_ph_low", said("ph_low", carbonate.LowestPH+0.01, 8))
}

// The hours that are told for more and for less demand are those at which a tank with that demand comes to harm.
func TestTheSpreadOfOxygenIsThatOfOtherDemands(t *testing.T) {
	p := bare()
	p.Attendance.LongestAbsenceH = ptr(96.0)
	spread := fault(t, single(t, p), "circulation-pump.stopped").Oxygen
	require.NotNil(t, spread)
	for mgLH, wantH := range map[float64]float64{spread.MostMgLH: *spread.MostH, spread.LeastMgLH: *spread.LeastH} {
		p.Oxygen.DemandMgLH = &mgLH
		x := crossing(fault(t, single(t, p), "circulation-pump.stopped"), "airless")
		require.NotNil(t, x)
		assert.InDelta(t, wantH, *x.HarmH, 0.02*wantH, "%g mg/L an hour", mgLH)
	}
}

// A guard whose probe drifts so far that it cuts at once shows that before somebody leaves: the tank is as warm as
// ever when they do, and cools only then. Read 3 K too high, 26.5 °C are 23.5.
func TestADriftThatCutsIsSeenAtOnce(t *testing.T) {
	p := guarded()
	p.Room.Coldest = &plan.RoomState{TempC: 15, RHPercent: 50}
	p.Room.Warmest = &plan.RoomState{TempC: 21, RHPercent: 50}
	p.Controls[1].ThresholdC = ptr(26.5)
	f := fault(t, single(t, p), "other.reads_high")
	require.Equal(t, Coldest, f.Room)
	assert.InDelta(t, 25.5, f.Extremes.TempMaxC, 0.6)
	assert.InDelta(t, 23.5, f.Extremes.TempMinC, 0.6)
}

// What feeds each way, of several of a kind.
func TestWhatFeedsAWay(t *testing.T) {
	w := writer{p: plan.Plan{
		Routers: []plan.Router{{ID: "r1", Circuit: ptr("a"), BatteryH: 1}, {ID: "r2", Circuit: ptr("b"), BatteryH: 2}},
		Modems:  []plan.Modem{{ID: "m1", Circuit: ptr("a"), BatteryH: 3}, {ID: "m2", Circuit: ptr("b"), BatteryH: 4}},
		Sirens:  []plan.Siren{{ID: "s1", Circuit: ptr("a"), BatteryH: 5}, {ID: "s2", Circuit: ptr("b"), BatteryH: 6}},
		Power:   plan.Power{NetworkCircuit: ptr("c")},
	}}
	for way, want := range map[string]struct {
		on string
		h  float64
	}{"r1": {"a", 1}, "r2": {"b", 2}, "m1": {"a", 3}, "m2": {"b", 4}, "s1": {"a", 5}, "s2": {"b", 6}, "network": {"c",
		0}} {
		on, h := w.wayFeed(way)
		require.NotNil(t, on, way)
		assert.Equal(t, want.on, *on, way)
		assert.InDelta(t, want.h, h, 0, way)
	}
	on, h := w.wayFeed("audible")
	assert.Nil(t, on)
	assert.Zero(t, h)
}

// A low mark that goes dry only as the intake does, is beyond harm: the intake of guarded() is 50 mm below the line,
// and a mark needs 5 mm more to tell.
func TestAMarkAtTheIntake(t *testing.T) {
	for heightMM, want := range map[float64]bool{-44: false, -45: true, -46: true} {
		p := guarded()
		p.Sensors[2].HeightMM = &heightMM
		w, full := writing(t, p)
		beyond, limit, _ := w.beyondHarm(full.Alarms[2])
		assert.Equal(t, want, beyond, "%g", heightMM)
		assert.InDelta(t, -50, limit, 0)
	}
	p := twoOutlets() // its sump stands 220 mm high, with an intake of half of that
	p.Sump.ReturnIntakeMM = ptr(110.0)
	p.Sensors = []plan.Sensor{{ID: "low", Kind: plan.LevelKind, HeightMM: ptr(-105.0), HysteresisMM: 5}}
	p.Alarms = []plan.Alarm{told("dry", "low", plan.Dry, nil, plan.CellularPath)}
	w, full := writing(t, p)
	beyond, limit, _ := w.beyondHarm(full.Alarms[0])
	assert.True(t, beyond)
	assert.InDelta(t, -110, limit, 0)
}

// Of two loads that are equally enough the first moves.
func TestTheFirstOfEqualLoadsMoves(t *testing.T) {
	p := bare()
	p.Power = plan.Power{LongestOutageH: 8, VoltageV: ptr(230.0), Circuits: []plan.Circuit{{ID: "a",
		BreakerA: ptr(10.0)},
		{ID: "b", BreakerA: ptr(10.0)}}}
	p.Heaters = nil
	for _, id := range []string{"first", "second", "third"} {
		p.Heaters = append(p.Heaters, plan.Heater{ID: id, PowerW: 900, ThermostatHysteresisK: 1, Circuit: ptr("a"),
			ThermostatC: ptr(25.5)})
	}
	p.Lights[0].Circuit, p.TopOffPumps[0].Circuit = ptr("b"), ptr("b")
	w, _ := writing(t, p) // 2700 W on 2300 W
	w.supply()
	i := indexOf(w.list, "supply_overloaded")
	require.GreaterOrEqual(t, i, 0)
	require.NotNil(t, w.list[i].Answer)
	assert.Equal(t, "first", w.list[i].Answer.Sentence.Params["id"])
}

// What holds guards is taken out of its own box, and of no other.
func TestOnlyTheBoxThatHoldsThemIsEmptied(t *testing.T) {
	p := guarded()
	p.Boxes = []plan.Box{{ID: "one", Holds: []string{"warm", "cut"}, Circuit: ptr("a")},
		{ID: "two", Holds: []string{"hot", "cold"}, Circuit: ptr("b")}}
	w, _ := writing(t, p)
	w.unboxed(p.Boxes[0], []string{"cut", "hot"}).Edit(&p)
	assert.Equal(t, []string{"warm"}, p.Boxes[0].Holds)
	assert.Equal(t, []string{"hot", "cold"}, p.Boxes[1].Holds)
}

// A glimpse of a plan that cannot be followed, or for which nobody waits any more, says so.
func TestAGlimpseTellsWhatWentWrong(t *testing.T) {
	gone, leave := context.WithCancel(context.Background())
	leave()
	_, _, err := Glimpse(gone, bare(), MaxEvents, []RoomName{Usual}, []string{"heater.element_open"})
	assert.ErrorIs(t, err, context.Canceled)
	p := bare()
	p.Heaters[0].Circuit = ptr("nowhere")
	_, _, err = Glimpse(context.Background(), p, MaxEvents, []RoomName{Usual}, []string{"heater.element_open"})
	assert.Error(t, err)
	_, err = Begin(gone, bare(), MaxEvents, func(string) bool { return true })
	assert.ErrorIs(t, err, context.Canceled)
	_, err = Begin(context.Background(), p, MaxEvents, func(string) bool { return true })
	assert.Error(t, err)
}

// Cooling has a step that can be widened, and a device is switched by its control of either kind.
func TestCoolingHasAStep(t *testing.T) {
	p := guarded()
	p.Fans = []plan.Fan{{ID: "fan", AirSpeedMS: 1}}
	p.Controls = append(p.Controls, plan.Control{ID: "cool", Kind: plan.Cooling, Sensor: ptr("other"),
		SetpointC: ptr(27.0), HysteresisK: 0.4, Outputs: []string{"fan"}, OnSensorLoss: plan.OffWithoutSensor})
	w, _ := writing(t, p)
	assert.Equal(t, "cool", w.switches("fan"))
	assert.Equal(t, "chiller", w.switches("chiller"), "its own thermostat")
	wider := w.wider("cool", 2)
	require.NotNil(t, wider)
	wider.Edit(&p)
	assert.InDelta(t, 0.8, p.Controls[2].HysteresisK, 1e-9)
	assert.Nil(t, w.wider("cut", 2), "a guard has none")
}

// What guards leaves its box for a sensor and a circuit of its own, if there is one.
func TestGuardsLeaveTheirBox(t *testing.T) {
	for _, c := range []struct {
		circuit  *string
		circuits int
		want     string // of the guard's own
	}{{ptr("a"), 2, "b"}, {nil, 2, "a"}, {ptr("a"), 1, "a"}} {
		p := guarded()
		p.Power.Circuits, p.Power.NetworkCircuit = p.Power.Circuits[:c.circuits], ptr("a")
		p.Alarms[0].Circuit = ptr("a")
		p.Boxes = []plan.Box{{ID: "one", Holds: []string{"warm", "hot", "other"}, Circuit: c.circuit}}
		w := writer{p: p}
		w.unboxed(p.Boxes[0], []string{"hot"}).Edit(&p)
		on := p.Alarms[0].Circuit
		if p.Alarms[0].Supply != nil {
			on = p.Alarms[0].Supply
		}
		assert.Equal(t, c.want, *on, "%+v", c)
		assert.Equal(t, "hot-probe", p.Alarms[0].Sensor)
	}
}

// An answer about one of several reservoirs or heaters leaves the others as they are.
func TestAnAnswerIsAboutOneOfSeveral(t *testing.T) {
	p := bare()
	p.Reservoirs = append(p.Reservoirs, plan.Reservoir{ID: "barrel", VolumeL: 50, UsableShare: 1})
	p.Heaters = append(p.Heaters, plan.Heater{ID: "second", PowerW: 100})
	lineEndsAbove("barrel").Edit(&p)
	SiphonBreak("barrel").Edit(&p)
	lower := LowerHeater("second", -120)
	assert.InDelta(t, 120, lower.Sentence.Params["depth"], 0)
	lower.Edit(&p)
	assert.Nil(t, p.Reservoirs[0].LineEndAboveWaterMM)
	assert.False(t, p.Reservoirs[0].SiphonBreak)
	assert.InDelta(t, 20, *p.Reservoirs[1].LineEndAboveWaterMM, 0)
	assert.True(t, p.Reservoirs[1].SiphonBreak)
	assert.Nil(t, p.Heaters[0].HeightMM)
	assert.InDelta(t, -120, *p.Heaters[1].HeightMM, 0)
}

// A load moves to the first circuit, too, where the second is the one that is overloaded.
func TestALoadMovesToTheFirstCircuit(t *testing.T) {
	p := bare()
	p.Power = plan.Power{LongestOutageH: 8, VoltageV: ptr(230.0), Circuits: []plan.Circuit{{ID: "a",
		BreakerA: ptr(10.0)},
		{ID: "b", BreakerA: ptr(4.0)}}}
	p.Heaters = []plan.Heater{{ID: "heater", PowerW: 1000, ThermostatHysteresisK: 1, Circuit: ptr("b"),
		ThermostatC: ptr(25.5)}}
	w, _ := writing(t, p)
	change := w.lighter("b", 4)
	require.NotNil(t, change)
	assert.Equal(t, "a", change.Sentence.Params["to"])
}

// What a box does: restarted it stays off where it is built so, its clock is wrong by half a day, and with nothing that
// regulates it freezes with its timers on, or off.
func TestHowABoxFails(t *testing.T) {
	p := guarded()
	p.Controls = append(p.Controls, plan.Control{ID: "sun", Kind: plan.Timer, Outputs: []string{"light"},
		Schedule: &plan.Schedule{OnAt: ptr(plan.ClockTime("10:00")), OffAt: ptr(plan.ClockTime("22:00"))}})
	ids := func(holds []string, restart plan.AfterRestart) (out []string) {
		p.Boxes = []plan.Box{{ID: "box", Holds: holds, AfterRestart: restart, DeadOutputs: plan.DeadOpen}}
		for _, f := range allFaults(t, p) {
			if f.Element == "box" {
				out = append(out, f.ID)
			}
		}
		return out
	}
	assert.Contains(t, ids([]string{"warm", "sun"}, plan.AllOff), "box.restarted")
	assert.NotContains(t, ids([]string{"warm", "sun"}, plan.AsBefore), "box.restarted")
	assert.Contains(t, ids([]string{"sun"}, plan.AsBefore), "box.frozen_calling.sun")
	list := allFaults(t, p)
	assert.InDelta(t, 12, named(t, list, "box.clock_wrong").Sentence.Params["time"], 1e-9)
	s := func(id string) []sim.Fault {
		var out []sim.Fault
		for _, in := range named(t, list, id).injections {
			out = append(out, in.Fault)
		}
		return out
	}
	assert.Equal(t, []sim.Fault{sim.ControlOff}, s("box.frozen_idle"))
	assert.Equal(t, []sim.Fault{sim.ControlOn}, s("box.frozen_calling.sun"))
	ids([]string{"warm", "sun"}, plan.AsBefore)
	list = allFaults(t, p)
	assert.Equal(t, []sim.Fault{sim.ControlOff, sim.ControlOff}, s("box.frozen_idle"))
	assert.Equal(t, []sim.Fault{sim.ControlOn, sim.ControlOn}, s("box.frozen_calling.warm"), "timers call with it")
}

// Of two bands of a heater the lower one decides, of two of a cooler the higher; the control where they end alike.
func TestWhichOfTwoBandsDecides(t *testing.T) {
	for _, c := range []struct {
		kind        plan.ControlKind
		thermostatC float64 // with 0.5 K between on and off, as the control at 25.5 °C
		by          string
		low, high   float64
	}{
		{plan.Heating, 25, "device", 24.75, 25.25}, {plan.Heating, 26, "warm", 25.25, 25.75},
		{plan.Heating, 25.5, "warm", 25.25, 25.75}, {plan.Cooling, 25, "warm", 25.25, 25.75},
		{plan.Cooling, 26, "device", 25.75, 26.25}, {plan.Cooling, 25.5, "warm", 25.25, 25.75},
	} {
		k := heatBy("warm", "probe", "device")
		k.Kind, k.HysteresisK = c.kind, 0.5
		w := writer{p: plan.Plan{Controls: []plan.Control{k}}}
		band, ok := w.bandOf("device", c.kind, &c.thermostatC, 0.5)
		assert.True(t, ok)
		assert.Equal(t, workingBand{"device", c.by, c.low, c.high}, band, "%+v", c)
	}
}

// Heating up to 25.75 °C and cooling from there do not overlap; of two heaters that reach equally far the first is
// named.
func TestBandsThatMeet(t *testing.T) {
	heater := func(id string) plan.Heater {
		return plan.Heater{ID: id, ThermostatC: ptr(25.5), ThermostatHysteresisK: 0.5}
	}
	p := plan.Plan{Heaters: []plan.Heater{heater("first"), heater("second")},
		Chillers: []plan.Chiller{{ID: "chiller", ThermostatC: ptr(26.0), ThermostatHysteresisK: 0.5}},
		Limits:   plan.Limits{HarmHighC: ptr(29.5)}}
	w := writer{p: p}
	w.overlaps()
	assert.Empty(t, w.list)
	p.Chillers[0].ThermostatC = ptr(25.75)
	w.overlaps()
	require.Len(t, w.list, 1)
	assert.Equal(t, []string{"first", "chiller"}, w.list[0].Elements)
}

// What fails together: three equal heaters once, whatever their number, and what does the same to a heater, through a
// contactor, too, apart from what it does to a lamp.
func TestWhatDoesTheSameJob(t *testing.T) {
	p := guarded()
	p.Heaters = append(p.Heaters, p.Heaters[0], p.Heaters[0])
	p.Heaters[1].ID, p.Heaters[2].ID = "second", "third"
	p.Contactors = []plan.Contactor{{ID: "relay", Outputs: []string{"heater", "second"}}}
	p.Controls[0].Outputs = []string{"relay", "third"}
	p.Controls = append(p.Controls, plan.Control{ID: "sun", Kind: plan.Timer, Outputs: []string{"light"},
		Schedule: &plan.Schedule{OnAt: ptr(plan.ClockTime("10:00")), OffAt: ptr(plan.ClockTime("22:00"))}})
	list := allFaults(t, p)
	seen := map[string]int{}
	for _, f := range list {
		if len(f.Members) > 0 {
			seen[f.ID]++
		}
	}
	for id, n := range seen {
		assert.Equal(t, 1, n, id)
	}
	assert.Len(t, named(t, list, "common.heater.element_open").Members, 3)
	full, _, err := plan.Complete(p)
	require.NoError(t, err)
	s, err := sim.Compile(full, full.Room.Usual)
	require.NoError(t, err)
	g := grouping{full, s}
	for id, want := range map[string]string{
		"warm.hung_on": "controls on onto heater", "warm.hung_off": "controls off onto heater",
		"sun.hung_on": "controls on onto light", "sun.output_open.light": "contacts open onto light",
		"warm.output_welded.relay": "contacts closed onto heater",
		"warm.output_open.third":   "contacts open onto heater",
		"heater.thermostat_welded": "contacts closed onto heater", "mains.lost": "",
	} {
		assert.Equal(t, want, g.job(named(t, list, id)), id)
	}
}

// A cooler's own thermostat turned past harm is turned to below its control, a heater's to above.
func TestDialsStepInBehindTheirControl(t *testing.T) {
	p := guarded()
	p.Heaters[0].ThermostatC, p.Chillers[0].ThermostatC = ptr(30.0), ptr(21.0)
	p.Controls = append(p.Controls, plan.Control{ID: "cool", Kind: plan.Cooling, Sensor: ptr("other"),
		SetpointC: ptr(27.0), HysteresisK: 0.4, Outputs: []string{"chiller"}, OnSensorLoss: plan.OffWithoutSensor})
	w, _ := writing(t, p)
	w.dials()
	require.Len(t, w.list, 2)
	for _, f := range w.list {
		assert.Equal(t, "dial_beyond_harm", f.Code)
		f.Answer.Edit(&p)
	}
	assert.InDelta(t, 25.5+1.1, *p.Heaters[0].ThermostatC, 1e-9)
	assert.InDelta(t, 27-1.1, *p.Chillers[0].ThermostatC, 1e-9)
}

// A dial at harm's limit is past it; one short of it, or none, is not.
func TestDialsAtTheLimit(t *testing.T) {
	for _, c := range []struct {
		heaterC, chillerC *float64
		want              []string
	}{
		{ptr(29.5), ptr(21.5), []string{"heater", "chiller"}}, {ptr(29.4), ptr(21.6), nil}, {nil, nil, nil},
	} {
		p := guarded()
		p.Controls = append(p.Controls, plan.Control{ID: "cool", Kind: plan.Cooling, Sensor: ptr("other"),
			SetpointC: ptr(27.0), HysteresisK: 0.4, Outputs: []string{"chiller"}, OnSensorLoss: plan.OffWithoutSensor})
		p.Heaters[0].ThermostatC, p.Chillers[0].ThermostatC = c.heaterC, c.chillerC
		w, _ := writing(t, p)
		w.dials()
		var got []string
		for _, f := range w.list {
			got = append(got, f.Elements[0])
		}
		assert.Equal(t, c.want, got)
	}
}

// An alarm that rings beyond harm is moved to 0.2 K outside of comfort.
func TestAnAlarmIsMovedOutsideOfComfort(t *testing.T) {
	p := guarded()
	w, full := writing(t, p)
	w.soonerAlarm(full.Alarms[0]).Edit(&p)
	w.soonerAlarm(full.Alarms[1]).Edit(&p)
	assert.InDelta(t, 15, w.soonerAlarm(full.Alarms[2]).Sentence.Params["to"], 0, "a mark is told below the line")
	assert.InDelta(t, *full.Limits.ComfortHighC+0.2, *p.Alarms[0].ThresholdC, 1e-9)
	assert.InDelta(t, *full.Limits.ComfortLowC-0.2, *p.Alarms[1].ThresholdC, 1e-9)
}

// When an alarm is first raised, by any of its ways.
func TestTheFirstOfSeveralWays(t *testing.T) {
	assert.Equal(t, []float64{3, 4, 4, sim.Never, sim.Never, 2}, firstOf([][]float64{{5, 3}, {sim.Never, 4},
		{4, sim.Never}, {sim.Never, sim.Never}, nil, {2, 7}}))
}
