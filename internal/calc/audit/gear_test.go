package audit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
)

// Every prediction of this file was worked by hand and written before the plan was audited. All tanks are bare(): 0.5
// m² of surface, 225 L of water, 300 W of heat at 25.75 °C, which lose 144 W in 21 °C; or twoOutlets(), the same over a
// sump whose return chamber is 150 x 350 mm, 0.0525 m².

func crossing(f FaultReport, loss string) *Crossing {
	for i := range f.Crossings {
		if f.Crossings[i].Loss == loss {
			return &f.Crossings[i]
		}
	}
	return nil
}

// A seam at the bottom lets out 10 L/h of 0.5 m²: with 0.1 L/h of evaporation the water stands 30 mm lower, at the top
// of the heater, after 15/10.1 = 1.5 h. In the warmest room, 28 °C, it is off; in 21 °C it is on for about 0.92 MJ/K ·
// 1 K/156 W = 1.6 h and off for 1.8 h, so that it runs dry at 1.5 h or up to 1.8 h later. The floor is wet long before.
func TestALeakUncoversAHeater(t *testing.T) {
	for kind, breaks := range map[plan.WhenDry]bool{plan.Shatters: true, plan.Burns: true, plan.CutsOut: false} {
		p := bare()
		p.Heaters[0].HeightMM, p.Heaters[0].WhenDry = ptr(-30.0), ptr(kind)
		p.TopOffPumps, p.Reservoirs = nil, nil
		p.Leaks = []plan.Leak{{ID: "seam", Kind: plan.SeamLeak, HeightMM: -3000, FlowLH: 10}}
		f := fault(t, single(t, p), "seam.opens")
		assert.Equal(t, "flooded", f.FirstHarm)
		dry := crossing(f, "heater_dry")
		require.NotNil(t, dry, kind)
		assert.InDelta(t, 1.49, *dry.ComfortH, 0.03, "%s: it stands out of the water", kind)
		if !breaks {
			assert.Nil(t, dry.HarmH)
			assert.NotContains(t, f.Damage, "heater_dry")
			continue
		}
		require.NotNil(t, dry.HarmH, kind)
		assert.GreaterOrEqual(t, *dry.HarmH, *dry.ComfortH)
		assert.Less(t, *dry.HarmH, 3.4)
		assert.Contains(t, f.Damage, "heater_dry")
	}
}

// A heater in the display ends 10 mm under the line, and the display runs 15 mm down when the return stops: it stands
// dry at once and breaks at its next call, within an hour or two. Glass then trips the residual-current device, and
// with it the return and what else hangs there; plastic does not. A heater at 20 mm stays covered. Wrong: the display,
// which gets no top-off any more, loses 0.1 L/h, so that the 5 mm of 0.5 m² last for a day. One at 40 mm stays covered.
func TestADisplayThatRunsBackUncoversAHeater(t *testing.T) {
	build := func(height float64, kind plan.WhenDry) Report {
		p := twoOutlets()
		p.Heaters[0].Place, p.Heaters[0].HeightMM, p.Heaters[0].WhenDry = ptr(plan.InDisplay), &height, &kind
		p.Heaters[0].Supply = ptr("wet")
		p.Pumps[0].Supply, p.Lights[0].Supply, p.TopOffPumps[0].Supply = ptr("wall"), ptr("wall"), ptr("wall")
		p.Sensors = []plan.Sensor{{ID: "watch", Kind: plan.PowerKind, Circuit: ptr("guard")}}
		p.Sensors[0].Circuit = ptr("wet")
		p.Alarms = []plan.Alarm{told("dead", "watch", plan.NoPower, nil, plan.CellularPath)}
		return single(t, p)
	}
	f := fault(t, build(-10, plan.Shatters), "lift.stopped")
	dry := crossing(f, "heater_dry")
	require.NotNil(t, dry)
	assert.Zero(t, *dry.ComfortH)
	require.NotNil(t, dry.HarmH)
	assert.Less(t, *dry.HarmH, 3.0)
	assert.Equal(t, "heater_dry", f.FirstHarm)
	require.NotNil(t, f.Alarm, "the device opens its circuit, which is watched")
	assert.InDelta(t, *dry.HarmH+5.0/60, f.Alarm.RaisedH, 0.01)

	assert.Nil(t, fault(t, build(-10, plan.Burns), "lift.stopped").Alarm, "nothing trips")
	late := crossing(fault(t, build(-20, plan.Shatters), "lift.stopped"), "heater_dry")
	require.NotNil(t, late)
	assert.Greater(t, *late.ComfortH, 20.0)
	assert.Nil(t, crossing(fault(t, build(-40, plan.Shatters), "lift.stopped"), "heater_dry"))
	assert.Contains(t, codes(build(-10, plan.Burns).Findings), "heater_above_drain_back")
	assert.NotContains(t, codes(build(-20, plan.Burns).Findings), "heater_above_drain_back")
}

// The return chamber stands 220 mm deep and its intake at 110 mm, so that a blocked overflow lets it fall by 110 mm in
// a minute: a heater that ends 60 mm under the line stands dry at once, one at 120 mm does not. The own cut-out of a
// heater is tested like any protection: without it the heater breaks only together with the overflow, a pair. Wrong:
// what the whole sump evaporates, some 0.05 L/h, comes out of the chamber, 10 mm of it in 10 h. At 200 mm it stays
// covered.
func TestABlockedOverflowUncoversAHeater(t *testing.T) {
	build := func(height float64, kind plan.WhenDry) Report {
		p := twoOutlets()
		p.Overflows = []plan.Overflow{{ID: "weir"}}
		p.Heaters[0].HeightMM, p.Heaters[0].WhenDry = &height, &kind
		return single(t, p)
	}
	dry := crossing(fault(t, build(-60, plan.Burns), "weir.blocked"), "heater_dry")
	require.NotNil(t, dry)
	assert.Zero(t, *dry.ComfortH)
	assert.NotNil(t, dry.HarmH)
	assert.Greater(t, *crossing(fault(t, build(-120, plan.Burns), "weir.blocked"), "heater_dry").ComfortH, 3.0)
	assert.Nil(t, crossing(fault(t, build(-200, plan.Burns), "weir.blocked"), "heater_dry"))

	r := build(-60, plan.CutsOut)
	assert.Nil(t, crossing(fault(t, r, "weir.blocked"), "heater_dry").HarmH)
	cutOut := fault(t, r, "heater.cut_out_dead")
	assert.Equal(t, Held, cutOut.Verdict)
	assert.True(t, cutOut.Hidden)
	assert.Contains(t, codes(r.Findings), "heater_above_intake")
}

// A heater above the line heats the air from the first hour on: a plan that is wrong with nothing broken.
func TestAHeaterAboveTheWater(t *testing.T) {
	p := bare()
	p.Heaters[0].HeightMM = ptr(5.0)
	r := single(t, p)
	assert.Contains(t, codes(r.Findings), "heater_above_water")
	assert.Contains(t, codes(r.Findings), "nominal_heater_dry")
	assert.False(t, r.Sound())
}

// The lamp goes on at 11 and off at 21, and somebody leaves at 8. Stuck on, it is seen at 22:00 + 5 min, 14.08 h after;
// dead, at 12:00 + 5 min, 4.08 h after. With nothing broken neither alarm stands. A sensor that reports darkness
// whatever there is raises the second alarm, and the first never.
func TestALightSensorSeesALamp(t *testing.T) {
	p := bare()
	p.Sensors = []plan.Sensor{{ID: "eye", Kind: plan.LightKind}}
	hours := func(id string, when plan.When, from, to plan.ClockTime) plan.Alarm {
		a := told(id, "eye", when, nil, plan.CellularPath)
		a.FromAt, a.ToAt = &from, &to
		return a
	}
	p.Alarms = []plan.Alarm{hours("night", plan.Lit, "22:00", "08:00"), hours("noon", plan.Dark, "12:00", "18:00")}
	r := single(t, p)
	for id, at := range map[string]float64{"light.programme_stuck_on": 14 + 5.0/60, "light.dark": 4 + 5.0/60,
		"eye.stuck_dark": 4 + 5.0/60, "eye.stuck_lit": 14 + 5.0/60} {
		f := fault(t, r, id)
		require.NotNil(t, f.Alarm, id)
		assert.InDelta(t, at, f.Alarm.RaisedH, 1e-6, id)
	}
	assert.NotContains(t, codes(r.Findings), "standing_alarm")
}

// A return of 1200 L/h carries 1360 W/K. The sump heats what the display loses, some 110 W of 144 W and the lamp's 30 W
// less: 0.1 K between them. Clogged to a tenth it carries 136 W/K, and the display stands 0.7 K lower for the same
// sump: still within comfort of 24 °C. A vane that only knows standing water does not see it; one that wants half does.
func TestACloggedReturn(t *testing.T) {
	build := func(low *float64) Report {
		p := twoOutlets()
		p.Pumps[0].CloggedShare = ptr(0.1)
		p.Sensors = []plan.Sensor{{ID: "vane", Kind: plan.FlowKind, LowFlowShare: low}}
		p.Alarms = []plan.Alarm{told("still", "vane", plan.NoFlow, nil, plan.CellularPath)}
		return single(t, p)
	}
	blind, seeing := fault(t, build(nil), "lift.clogged"), fault(t, build(ptr(0.5)), "lift.clogged")
	assert.Nil(t, blind.Alarm)
	require.NotNil(t, seeing.Alarm)
	assert.InDelta(t, 5.0/60, seeing.Alarm.RaisedH, 1e-6)
	usual := build(nil)
	i := 1
	require.Equal(t, Usual, usual.Nominal[i].Room)
	t.Logf("coldest display: %.2f without, %.2f with", usual.Nominal[i].Extremes.TempMinC, blind.Extremes.TempMinC)
	assert.Equal(t, Held, blind.Verdict)
	assert.True(t, blind.Hidden)
}

// newSkimmer is a skimmer whose full cup runs onto the floor, with the values that a document leaves out.
func newSkimmer(id string, cupL, skimmateLDay float64) plan.Skimmer {
	return plan.Skimmer{ID: id, PowerW: 10, HeatShare: 1, CupL: cupL, SkimmateLDay: skimmateLDay, WetTimes: 10,
		FullCup: plan.CupSpills}
}

// A cup of 2 L at 0.2 L/d lasts 240 h. Ten times as wet it is full after 24 h; with a stop the skimmer then stands, and
// nothing is harmed. Onto the floor, 2 L/d run on: one litre, the harm limit, 12 h later, at 36 h. Nominally 0.6 L go
// in the 72 h of an absence, and the whole 2 L of an absence of 14 days: the floor is wet after 240 h.
func TestACupThatFills(t *testing.T) {
	build := func(full plan.FullCup) plan.Plan {
		p := bare()
		x := newSkimmer("skimmer", 2, 0.2)
		x.FullCup = full
		p.Skimmers = []plan.Skimmer{x}
		return p
	}
	wet := func(p plan.Plan, id string) FaultReport { return fault(t, single(t, p), id) }
	stops := wet(build(plan.CupStops), "skimmer.foams_wet")
	assert.Nil(t, crossing(stops, "flooded"))
	assert.Contains(t, textCodes(stops), "stepped_in")
	floor := wet(build(plan.CupSpills), "skimmer.foams_wet")
	assert.Equal(t, "flooded", floor.FirstHarm)
	assert.InDelta(t, 36, *floor.HarmH, 1e-6)
	assert.InDelta(t, 72*2.0/24-2, floor.Extremes.SpilledL, 1e-6)
	assert.Nil(t, crossing(wet(build(plan.CupReturns), "skimmer.foams_wet"), "flooded"))

	assert.NotContains(t, codes(single(t, build(plan.CupSpills)).Findings), "cup_fills_while_away")
	away := build(plan.CupSpills)
	away.Attendance.LongestAbsenceH = ptr(336.0)
	away.Reservoirs[0].VolumeL = 60
	r := single(t, away)
	assert.Contains(t, codes(r.Findings), "cup_fills_while_away")
	n := r.Nominal[1]
	for _, c := range n.Crossings {
		if c.Loss == "flooded" {
			assert.InDelta(t, 240, *c.ComfortH, 0.2)
		}
	}
	assert.InDelta(t, 14*0.2-2, n.Extremes.SpilledL, 1e-6)
}

func textCodes(f FaultReport) []string {
	var out []string
	for _, s := range f.StoppedBy {
		out = append(out, s.Code)
	}
	return out
}

// 40 L/d onto the floor are 40 L/d of salt water that top-off replaces with fresh: 225 L fall to 30 psu, the low harm
// limit of a mixed reef, after 225·ln(35/30) = 34.7 L, 20.8 h, less the cup's filling, which dilutes just the same. The
// reservoir of 25 L ends it before: 35·exp(-25/225), a little more by what evaporates.
func TestWetFoamAndTopOffDilute(t *testing.T) {
	p := bare()
	x := newSkimmer("skimmer", 2, 2)
	x.WetTimes = 20
	p.Skimmers = []plan.Skimmer{x}
	f := fault(t, single(t, p), "skimmer.foams_wet")
	assert.Equal(t, "flooded", f.FirstHarm)
	assert.Greater(t, f.Extremes.SalinityMin, 35*0.8948)
	assert.InDelta(t, 31.7, f.Extremes.SalinityMin, 0.5)
	p.Reservoirs[0].VolumeL = 200
	f = fault(t, single(t, p), "skimmer.foams_wet")
	low := crossing(f, "diluted")
	require.NotNil(t, low)
	require.NotNil(t, low.HarmH, "the same with a reservoir that lasts")
}

// The return stops and 7.5 L run down: over 0.21 m² and a chamber of 0.0525 m² the sump rises by 20 mm in the chamber
// and then by (7.5 - 1.05)/0.21 = 30.7 mm: 50.7 mm. A skimmer that foams wet above 40 mm does, one above 60 mm does
// not: 30 L or 3 L in three days, less the cup. Wrong: what it skims lowers the sump. Down to 39 mm there are 2.5 L,
// which go with 0.05 L/h of evaporation in 5.3 h, 2.2 L of them as foam; 2.8 L follow in the rest: 5.0 - 0.5 L.
func TestASumpThatRisesWetsASkimmer(t *testing.T) {
	build := func(above float64) FaultReport {
		p := twoOutlets()
		x := newSkimmer("skimmer", 0.5, 1)
		x.WetAboveMM, x.Place = &above, ptr(plan.InSump)
		x.Supply = ptr("wall")
		p.Skimmers = []plan.Skimmer{x}
		return fault(t, single(t, p), "lift.stopped")
	}
	wet, dry := build(40), build(60)
	assert.InDelta(t, 50.7, wet.Extremes.LevelMaxMM, 0.1)
	assert.InDelta(t, 4.5, wet.Extremes.SpilledL, 0.2)
	assert.InDelta(t, 3-0.5, dry.Extremes.SpilledL, 0.05)
}

// Every part that a plan may name besides heaters, pumps, lights and reservoirs has a test of the month, which says
// what to do and what to see, and the settings that somebody needs on paper.
func TestEveryNewPartIsTriedMonthly(t *testing.T) {
	p := twoOutlets()
	p.Heaters[0].HeightMM, p.Heaters[0].WhenDry = ptr(-150.0), ptr(plan.CutsOut)
	p.Pumps[0].CloggedShare = ptr(0.3)
	p.Overflows = []plan.Overflow{{ID: "weir"}}
	p.ReturnLines = []plan.ReturnLine{{ID: "line", NozzleDepthMM: 60, SiphonHole: true}}
	p.Leaks = []plan.Leak{{ID: "seam", Kind: plan.SeamLeak, FlowLH: 5}}
	p.RoomDevices = []plan.RoomDevice{{ID: "radiator", Kind: plan.RoomHeating, WithoutC: 14, Supply: ptr("wall")}}
	p.Power.Backups = []plan.Backup{{ID: "brick", Kind: plan.Battery, Supplies: []string{"wall"}, Hours: ptr(4.0),
		Starts: plan.ByItself}}
	x := newSkimmer("skimmer", 3, 0.2)
	x.FullCup = plan.CupStops
	p.Skimmers = []plan.Skimmer{x}
	p.Sensors = []plan.Sensor{probe("probe"), {ID: "eye", Kind: plan.LightKind}}
	p.Controls = []plan.Control{heatBy("warm", "probe", "coil")}
	p.Contactors = []plan.Contactor{{ID: "coil", Outputs: []string{"heater"}}}
	p.Boxes = []plan.Box{{ID: "brain", Holds: []string{"warm"}, DeadOutputs: plan.DeadOpen}}
	night := told("night", "eye", plan.Lit, nil, plan.CellularPath)
	night.FromAt, night.ToAt = ptr(plan.ClockTime("22:00")), ptr(plan.ClockTime("07:00"))
	p.Alarms = []plan.Alarm{night, {ID: "long", Watches: "heater", When: plan.RunsLong, RunsMin: ptr(600.0),
		Path: plan.CellularPath, OwnBattery: true}}
	h := handOver(single(t, p))
	tried := map[string]int{}
	for _, trial := range h.Monthly {
		assert.NotEmpty(t, trial.Do.Code)
		assert.NotEmpty(t, trial.Expect.Code)
		tried[trial.Element]++
	}
	for _, id := range []string{"heater", "lift", "weir", "line", "seam", "radiator", "brick", "skimmer", "eye", "coil",
		"brain", "night", "long", "guard", "board"} {
		assert.Positive(t, tried[id], id)
	}
	said := map[string]string{}
	for _, s := range h.Settings {
		said[s.Element] += s.What.Code + " "
	}
	assert.Contains(t, said["heater"], "setting_under_water")
	assert.Contains(t, said["skimmer"], "setting_cup_lasts")
	assert.Equal(t, night.FromAt, h.Thresholds[0].FromAt)
}
