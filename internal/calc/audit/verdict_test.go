package audit

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
	"saltwright/internal/calc/text"
)

// Hands on the tank exactly when harm begins are in time; a minute later they are not. Whatever nobody is called to is
// lost, damage is never a loss, and a run that was cut short is never called safe.
func TestVerdictsByTheHour(t *testing.T) {
	harm := func(loss string, harmH, lossH float64) Crossing {
		c := Crossing{Loss: loss, HarmH: &harmH}
		if lossH > 0 {
			c.LossH = &lossH
		}
		return c
	}
	at := func(h float64) *AlarmReport { return &AlarmReport{ActH: h} }
	for _, c := range []struct {
		name      string
		crossings []Crossing
		alarm     *AlarmReport
		truncated bool
		want      Verdict
		damage    int
	}{
		{"nothing happens", nil, nil, false, Held, 0},
		{"nothing happens, cut short", nil, nil, true, Lost, 0},
		{"harm and nobody", []Crossing{harm("overheated", 10, 0)}, nil, false, Harmed, 0},
		{"loss and nobody", []Crossing{harm("overheated", 10, 20)}, nil, false, Lost, 0},
		{"help as harm begins", []Crossing{harm("overheated", 10, 20)}, at(10), false, Rescued, 0},
		{"help a minute later", []Crossing{harm("overheated", 10, 20)}, at(10 + 1.0/60), false, Harmed, 0},
		{"help as loss begins", []Crossing{harm("overheated", 10, 20)}, at(20), false, Harmed, 0},
		{"help after the loss", []Crossing{harm("overheated", 10, 20)}, at(20.1), false, Lost, 0},
		{"water on the floor", []Crossing{harm("flooded", 1, 0)}, nil, false, Harmed, 1},
		{"water on the floor, caught", []Crossing{harm("flooded", 5, 0)}, at(4), false, Rescued, 0},
	} {
		r := FaultReport{Crossings: c.crossings, Alarm: c.alarm, Truncated: c.truncated, Verdict: Held}
		r.decide()
		assert.Equal(t, c.want, r.Verdict, c.name)
		assert.Len(t, r.Damage, c.damage, c.name)
		if c.alarm != nil {
			assert.InDelta(t, *c.crossings[0].HarmH-c.alarm.ActH, *r.MarginH, 1e-12, c.name)
		}
	}
}

// Of several harms the one that help misses counts before those it beats, one that the fault brings before one that
// comes without it, and then the earlier, the first of two at one instant.
func TestWhichHarmIsTold(t *testing.T) {
	beaten := func(atH *float64) bool { return *atH >= 10 }
	of := func(loss string, h float64, without bool) Crossing {
		return Crossing{Loss: loss, HarmH: &h, WithoutFault: without}
	}
	for _, c := range []struct {
		want string
		list []Crossing
	}{
		{"chilled", []Crossing{of("overheated", 12, false), of("chilled", 5, false)}},
		{"chilled", []Crossing{of("overheated", 12, false), of("chilled", 11, false)}},
		{"overheated", []Crossing{of("overheated", 11, false), of("chilled", 11, false)}},
		{"chilled", []Crossing{of("overheated", 3, true), of("chilled", 5, false)}},
		{"overheated", []Crossing{of("overheated", 9, true), of("chilled", 12, false)}},
		{"", []Crossing{{Loss: "overheated"}}},
		{"chilled", []Crossing{{Loss: "overheated"}, of("chilled", 20, true)}},
	} {
		loss, _ := first(c.list, HarmStep, beaten)
		assert.Equal(t, c.want, loss, "%+v", c.list)
	}
}

// The worse of two ends: verdict, then the earlier hour, then what comes nearer to a limit.
func TestWhichFaultIsWorse(t *testing.T) {
	of := func(v Verdict, endH, nearest float64) FaultReport {
		f := FaultReport{Verdict: v, NearestK: nearest, NearestPSU: math.Inf(1)}
		if endH > 0 {
			f.HarmH, f.LossH = &endH, &endH
		}
		return f
	}
	inOrder := []FaultReport{of(Lost, 5, 0), of(Lost, 9, 0), of(Harmed, 1, 0), of(Rescued, 1, 3), of(Rescued, 1, 4),
		of(Rescued, 0, 0), of(Held, 0, 1), of(Held, 0, 2)}
	for i := range inOrder {
		for k := range inOrder {
			assert.Equal(t, i < k, worse(inOrder[i], inOrder[k]), "%d %d", i, k)
		}
	}
}

func TestReportsCount(t *testing.T) {
	h := func(x float64) *float64 { return &x }
	r := Report{Faults: []FaultReport{
		{Verdict: Held, Hidden: true}, {Verdict: Harmed, HarmH: h(3)}, {Verdict: Lost, HarmH: h(1), LossH: h(9)},
		{Verdict: Lost, HarmH: h(1), LossH: h(7)}, {Verdict: Rescued, HarmH: h(0.5), MarginH: h(1)}, {Verdict: Lost},
	}}
	assert.Equal(t, []int{1, 1, 3, 1, 1},
		[]int{r.Count(Held), r.Count(Harmed), r.Count(Lost), r.Count(Rescued), r.HiddenCount()})
	assert.Same(t, &r.Faults[3], r.Worst())
	assert.False(t, r.Sound())
	r.Faults = r.Faults[:1]
	assert.True(t, r.Sound())
	assert.Nil(t, r.Worst())
	r.Faults = append(r.Faults, FaultReport{Verdict: Harmed, HarmH: h(3)})
	assert.False(t, r.Sound(), "harm alone is not sound either")
	assert.False(t, (&FaultReport{Verdict: Harmed, MarginH: h(0.1)}).Thin())
	assert.False(t, (&FaultReport{Verdict: Rescued, MarginH: h(thinMarginH)}).Thin())
	assert.True(t, (&FaultReport{Verdict: Rescued, MarginH: h(thinMarginH - 0.1)}).Thin())
}

// The tank loses 144 W at 25.75 °C in 21 °C (gear_test.go), 30 W/K: 225 L of 4.09 kJ/(L K) take 8.5 h. An event of a
// plan of twice 30 elements weighs twice as much, one of fewer as much as one of 30.
func TestWhatATankIsLike(t *testing.T) {
	r := single(t, bare())
	assert.InDelta(t, 225, r.Tank.DisplayL, 1e-9)
	assert.InEpsilon(t, 144/4.75, r.Tank.HeatLossWK, 0.1)
	assert.InEpsilon(t, 225*4090/3600/r.Tank.HeatLossWK, r.Tank.TimeConstantH, 0.01)
	p := bare()
	assert.Equal(t, 1000, Work(1000, p))
	for len(p.Sensors) < 60-plan.Elements(bare()) {
		p.Sensors = append(p.Sensors, probe("probe-"+string(rune('a'+len(p.Sensors)))))
	}
	assert.Equal(t, 60, plan.Elements(p))
	assert.Equal(t, 2000, Work(1000, p))

	sump := twoOutlets()
	r = single(t, sump)
	assert.InEpsilon(t, (r.Tank.DisplayL+r.Tank.SumpL)*4090/3600/r.Tank.HeatLossWK, r.Tank.TimeConstantH, 0.01)
	assert.Positive(t, r.Tank.SumpL)
}

// How late help is, is from the end of the verdict: 24 h of response after an alarm, less the hours until loss.
func TestHowLateHelpIs(t *testing.T) {
	p := bare()
	p.Sensors = []plan.Sensor{probe("probe")}
	p.Alarms = []plan.Alarm{told("warm", "probe", plan.Above, ptr(28.5), plan.CellularPath)}
	p.Attendance.ResponseH = ptr(40.0)
	f := fault(t, single(t, p), "heater.thermostat_welded")
	require.Len(t, f.NoHelp, 1)
	assert.Equal(t, TooLate, f.NoHelp[0].Why)
	assert.InDelta(t, f.Alarm.RaisedH+40-*f.EndsH(), *f.NoHelp[0].LateH, 1e-9)
	assert.InDelta(t, f.Alarm.RaisedH, *f.NoHelp[0].RaisedH, 1e-9)
	assert.Equal(t, text.Params{"alarm": "warm", "time": f.Alarm.RaisedH, "late": *f.NoHelp[0].LateH},
		f.NoHelp[0].Sentence().Params)
}

// Everything that somebody must set by hand is in the hand-over, once.
func TestEverySettingIsHandedOver(t *testing.T) {
	p := guarded()
	p.DosingPumps = dosing(0.05).DosingPumps
	p.Heaters[0].HeightMM, p.Heaters[0].WhenDry = ptr(-20.0), ptr(plan.CutsOut)
	p.Sensors = append(p.Sensors, plan.Sensor{ID: "ph", Kind: plan.PHKind},
		plan.Sensor{ID: "salt", Kind: plan.ConductivityKind})
	p.Controls = append(p.Controls, plan.Control{ID: "ph-cut", Kind: plan.Supervisor, Sensor: ptr("ph"),
		When: ptr(plan.Above), ThresholdPH: ptr(8.6), Outputs: []string{"doser"}, OnSensorLoss: plan.OffWithoutSensor},
		plan.Control{ID: "salt-cut", Kind: plan.Supervisor, Sensor: ptr("salt"), When: ptr(plan.Below),
			ThresholdPSU: ptr(33.6), Outputs: []string{"pump"}, OnSensorLoss: plan.OffWithoutSensor})
	p.Alarms = append(p.Alarms, plan.Alarm{ID: "often", Watches: "heater", When: plan.StartsOften, Starts: ptr(30),
		WithinH: ptr(2.0), Path: plan.CellularPath, OwnBattery: true})
	h, err := Hand(context.Background(), p)
	require.NoError(t, err)
	got := map[string]float64{}
	for _, s := range h.Settings {
		key := s.Element + " " + s.What.Code
		assert.NotContains(t, got, key)
		got[key] = s.Value
	}
	for key, want := range map[string]float64{
		"ph-cut setting_cuts_at_ph": 8.6, "salt-cut setting_cuts_at_salinity": 33.6, "cut setting_cuts_at": 28,
		"warm setting_setpoint": 25.5, "often setting_most_starts": 30, "often setting_watched_hours": 2,
		"heater setting_under_water": 20, "heater setting_own_thermostat": 26.6, "chiller setting_own_thermostat": 27.2,
		"doser setting_run_seconds": 5,
	} {
		assert.Contains(t, got, key)
		assert.InDelta(t, want, got[key], 1e-12, key)
	}
	assert.NotContains(t, got, "sump setting_water_line")
	for _, missing := range []string{"cut setting_cuts_at_ph", "ph-cut setting_cuts_at", "hot setting_most_starts",
		"cut setting_setpoint", "salt-cut setting_cuts_at_ph"} {
		assert.NotContains(t, got, missing)
	}
	beats := map[string]Threshold{}
	for _, x := range h.Thresholds {
		beats[x.Alarm] = x
	}
	assert.Equal(t, "heater", beats["often"].Sensor, "what it watches")
	assert.Equal(t, "other", beats["hot"].Sensor)
	for _, x := range h.Thresholds {
		for _, id := range x.Beats {
			f := fault(t, h.Report, id)
			assert.Equal(t, Rescued, f.Verdict)
			assert.Equal(t, x.Alarm, f.Alarm.ID)
			assert.LessOrEqual(t, *x.TightestH, *f.MarginH)
		}
	}
	count := 0
	for _, f := range h.Report.Faults {
		if f.Verdict == Rescued {
			count++
			assert.Contains(t, beats[f.Alarm.ID].Beats, f.Fault.ID)
		}
	}
	assert.Positive(t, count, "so that this says something")
	with := twoOutlets()
	h, err = Hand(context.Background(), with)
	require.NoError(t, err)
	found := false
	for _, s := range h.Settings {
		found = found || s.Element == "sump" && s.What.Code == "setting_water_line"
	}
	assert.True(t, found)
}

// How the water ends is told by its peak; without any oxygen left there is no peak to tell.
func TestHowAnAirlessTankIsTold(t *testing.T) {
	assert.Equal(t, "how_out_of_oxygen", how("airless", Extremes{}).Code)
	left := how("airless", Extremes{OxygenMinMgL: 0.1})
	assert.Equal(t, "how_airless", left.Code)
	assert.Equal(t, text.Params{"least": 0.1}, left.Params)
	assert.Equal(t, text.Params{"fall": 30.0}, how("run_dry", Extremes{LevelMinMM: -30}).Params)
	assert.True(t, others("others_as_close", 0).IsZero())
	assert.Equal(t, text.Params{"count": 1}, others("others_as_close", 1).Params)
}

// Water runs back only through a line that ends under water, out of a can that stands lower, without a check valve.
func TestWhereALineRunsBack(t *testing.T) {
	for _, c := range []struct {
		endMM, bottomMM  float64
		valve, airBreak  bool
		siphons, runBack bool
	}{
		{-20, -600, false, false, false, true}, {-20, -600, true, false, false, false},
		{20, -600, false, false, false, false}, {-20, 200, false, false, true, false},
		{-20, 200, false, true, false, false}, {-20, -600, false, true, false, false},
	} {
		p := bare()
		x := &p.Reservoirs[0]
		x.LineEndAboveWaterMM, x.BottomAboveWaterMM = &c.endMM, &c.bottomMM
		x.CheckValve, x.SiphonBreak = c.valve, c.airBreak
		s, err := Check(p)
		require.NoError(t, err)
		assert.Equal(t, c.siphons, indexOf(s.Weaknesses, "reservoir_siphons") >= 0, "%+v", c)
		assert.Equal(t, c.runBack, indexOf(s.Weaknesses, "line_runs_back") >= 0, "%+v", c)
	}
}

// Weather is a note while either end is left out, and says which; with both in it there is none.
func TestWhatWeatherIsLeftOut(t *testing.T) {
	for _, c := range []struct{ cold, heat bool }{{false, false}, {true, false}, {false, true}, {true, true}} {
		p := bare()
		p.Room.ColdestWithoutHeating, p.Room.WarmestInHeatWave = c.cold, c.heat
		s, err := Check(p)
		require.NoError(t, err)
		assert.Equal(t, !(c.cold && c.heat), indexOf(s.Weaknesses, "weather_left_out") >= 0, "%+v", c)
	}
}

// A box that regulates and guards is one box too few; one that only regulates, or only guards, is not.
func TestWhatABoxSharesIsTold(t *testing.T) {
	for _, c := range []struct {
		holds  []string
		shared []string
	}{
		{[]string{"warm", "cut"}, []string{"box", "cut"}}, {[]string{"warm", "hot"}, []string{"box", "hot"}},
		{[]string{"warm"}, nil}, {[]string{"cut", "hot"}, nil},
	} {
		p := guarded()
		p.Boxes = []plan.Box{{ID: "box", Holds: c.holds, DeadOutputs: plan.DeadOpen, AfterRestart: plan.ByControls}}
		s, err := Check(p)
		require.NoError(t, err)
		i := indexOf(s.Weaknesses, "shared_box")
		if c.shared == nil {
			assert.Less(t, i, 0, c.holds)
			continue
		}
		require.GreaterOrEqual(t, i, 0, c.holds)
		assert.Equal(t, c.shared, s.Weaknesses[i].Elements)
	}
}

// Ways that a plan names fail one by one; mains, network and a mobile path without a name stay one fault each.
func TestEveryWayFailsOnce(t *testing.T) {
	p := reached("modem", "router")
	count := map[string]int{}
	for _, f := range allFaults(t, p) {
		count[f.ID]++
	}
	for _, id := range []string{"router.dead", "modem.dead", "siren.silent"} {
		assert.LessOrEqual(t, count[id], 1, id)
	}
	assert.Equal(t, 1, count["router.dead"])
	assert.Equal(t, 1, count["modem.dead"])
	assert.Zero(t, count["network.lost"], "the router is the network")
	assert.Equal(t, 1, func() int {
		n := 0
		for _, f := range allFaults(t, bare()) {
			if f.breaks(sim.WayDead) {
				n++
			}
		}
		return n
	}(), "only the network")
}

// An event of a plan whose dissolved matter is followed takes longer, so that fewer of them are followed.
func TestDissolvedMatterCountsTwice(t *testing.T) {
	assert.Equal(t, 600_000, mostEvents(plan.Plan{}))
	assert.Equal(t, 300_000, mostEvents(plan.Plan{Chemistry: &plan.Chemistry{}}))
}
