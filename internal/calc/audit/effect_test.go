package audit

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
)

// broad draws a plan of elements of every kind: two circuits, one perhaps on a battery, sump or none, chiller, fan,
// timer, siphon, run limit, supervisors over controls and devices, sensors and alarms of every kind.
func broad(r *rand.Rand) plan.Plan {
	p := small(r)
	yes := func() bool { return r.IntN(2) == 0 }
	circuit := func() *string { return ptr([]string{"one", "two"}[r.IntN(2)]) }
	p.Power = plan.Power{Circuits: []plan.Circuit{{ID: "one"}, {ID: "two"}}, NetworkCircuit: circuit(),
		LongestOutageH: 8}
	if yes() {
		p.Power.Circuits[0].BackupH = []float64{2, 24}[r.IntN(2)]
	}
	for i := range p.Heaters {
		p.Heaters[i].Circuit = circuit()
	}
	for i := range p.Controls {
		p.Controls[i].Circuit = circuit()
	}
	for i := range p.Alarms {
		p.Alarms[i].Circuit = circuit()
	}
	p.TopOffPumps[0].Circuit, p.Lights[0].Circuit = circuit(), circuit()
	p.Pumps = []plan.Pump{{ID: "stream", Role: plan.CirculationRole, FlowLH: 2000, PowerW: 10, HeatShare: 1,
		Circuit: circuit()}}
	if yes() {
		p.Sump = &plan.Sump{LengthMM: 600, WidthMM: 350, HeightMM: 400, WaterLevelMM: 220, WallMM: 10,
			Material: "glass",
			Lid:      "open"}
		p.Pumps = append(p.Pumps, plan.Pump{ID: "lift", Role: plan.ReturnRole, FlowLH: 1200, PowerW: 20, HeatShare: 1,
			Circuit: circuit()})
	}
	if yes() {
		p.Reservoirs[0].WaterAboveOutletMM = 150
	}
	p.Reservoirs[0].VolumeL = []float64{4, 25, 60}[r.IntN(3)]
	if yes() {
		p.Chillers = []plan.Chiller{{ID: "chiller", CoolingW: 300, ThermostatC: ptr(27.2), ThermostatHysteresisK: 0.6,
			Circuit: circuit()}}
	}
	if yes() {
		p.Fans = []plan.Fan{{ID: "fan", AirSpeedMS: 1, Circuit: circuit()}}
		p.Controls = append(p.Controls, plan.Control{ID: "breeze", Kind: plan.Cooling, Sensor: ptr("probe"),
			SetpointC: ptr(26.8), HysteresisK: 0.4,
			Outputs: []string{"fan"}, OnSensorLoss: []plan.SensorLoss{"on", "off"}[r.IntN(2)], Circuit: circuit()})
	}
	if yes() {
		p.Controls = append(p.Controls, plan.Control{ID: "day", Kind: plan.Timer, Outputs: []string{"light"},
			Schedule: &plan.Schedule{OnAt: ptr(plan.ClockTime("10:00")), OffAt: ptr(plan.ClockTime("20:30"))},
			Circuit:  circuit()})
	}
	for i := range p.Controls {
		if p.Controls[i].ID == "fill" && yes() {
			p.Controls[i].RunLimitMin = ptr([]float64{15, 60}[r.IntN(2)])
		}
	}
	p.Sensors = append(p.Sensors,
		plan.Sensor{ID: "high", Kind: plan.LevelKind, HeightMM: ptr(20.0)},
		plan.Sensor{ID: "low", Kind: plan.LevelKind,
			HeightMM: ptr(-25.0)},
		plan.Sensor{ID: "strip", Kind: plan.LeakKind}, plan.Sensor{ID: "watch", Kind: plan.PowerKind,
			Circuit: circuit()},
	)
	if yes() {
		p.Controls = append(p.Controls, plan.Control{ID: "spare", Kind: plan.Supervisor, Sensor: ptr("high"),
			When: ptr(plan.Wet), Outputs: []string{"pump"},
			OnSensorLoss: []plan.SensorLoss{"on", "off"}[r.IntN(2)], Latching: yes(), Circuit: circuit()})
	}
	if yes() {
		p.Controls = append(p.Controls, plan.Control{ID: "second-cut", Kind: plan.Supervisor, Sensor: ptr("probe"),
			When: ptr(plan.Above), ThresholdC: ptr(27.5), Outputs: []string{"heater"},
			OnSensorLoss: "on", Latching: yes(), Circuit: circuit()})
	}
	alarm := func(sensor string, when plan.When) {
		p.Alarms = append(p.Alarms, plan.Alarm{ID: "tell-" + sensor, Sensor: sensor, When: when,
			DelayMin: []float64{0, 10,
				240}[r.IntN(3)],
			Path: []plan.AlarmPath{plan.NetworkPath,
				plan.CellularPath}[r.IntN(2)], OwnBattery: yes(), OnSensorLoss: yes(), Circuit: circuit()})
	}
	alarm("high", plan.Wet)
	alarm("low", plan.Dry)
	alarm("strip", plan.Wet)
	alarm("watch", plan.NoPower)
	if yes() {
		p.Controls = append(p.Controls, plan.Control{ID: "morning", Kind: plan.Timer,
			Outputs:  []string{"light", "pump"},
			Schedule: &plan.Schedule{OnAt: ptr(plan.ClockTime("06:00")), OffAt: ptr(plan.ClockTime("15:00"))},
			Circuit:  circuit()})
	}
	if yes() {
		feeds := []string{"heater", "stream"}
		p.Contactors = []plan.Contactor{{ID: "contactor", Outputs: feeds[r.IntN(2):], Circuit: circuit()}}
		for i, k := range p.Controls {
			if k.ID == "warm" || k.ID == "second-cut" {
				p.Controls[i].Outputs = []string{"contactor"}
			}
		}
	}
	if yes() {
		p.Sensors = append(p.Sensors, plan.Sensor{ID: "probe-2", Kind: plan.TemperatureKind},
			plan.Sensor{ID: "probe-3", Kind: plan.TemperatureKind}, plan.Sensor{ID: "low-2", Kind: plan.LevelKind,
				HeightMM: ptr(-25.0)})
		rule := []plan.Rule{plan.All, plan.Any, plan.Middle, plan.Lowest, plan.Highest}[r.IntN(5)]
		for i, k := range p.Controls {
			if k.ID == "warm" || k.ID == "second-cut" || k.ID == "breeze" {
				p.Controls[i].Sensor, p.Controls[i].Rule = nil, rule
				p.Controls[i].Sensors = []string{"probe", "probe-2", "probe-3"}
			}
		}
		p.Alarms = append(p.Alarms,
			plan.Alarm{ID: "apart", When: plan.Differ, Sensors: []string{"probe", "probe-2", "probe-3"},
				DifferK: ptr(1.0), Path: plan.CellularPath, OwnBattery: true, OnSensorLoss: yes()},
			plan.Alarm{ID: "floats-apart", When: plan.Differ, Sensors: []string{"low", "low-2"},
				DelayMin: 30, Path: plan.CellularPath, OwnBattery: true},
			plan.Alarm{ID: "middle-cold", When: plan.Below, Sensors: []string{"probe", "probe-2", "probe-3"},
				Rule: rule, ThresholdC: ptr(24.2), Path: plan.CellularPath, OwnBattery: true, OnSensorLoss: yes()})
	}
	if yes() {
		p.Boxes = []plan.Box{{ID: "box", Circuit: circuit(),
			DeadOutputs: []plan.DeadOutputs{"open", "closed", "last"}[r.IntN(3)]}}
		holds := []string{}
		for i, k := range p.Controls {
			if yes() {
				holds = append(holds, k.ID)
				p.Controls[i].Circuit = nil
			}
		}
		p.Boxes[0].Holds = holds
		p.Boxes[0].AfterRestart = []plan.AfterRestart{"by_controls", "as_before", "off"}[r.IntN(3)]
	}
	watch := func(id, of string, when plan.When, a plan.Alarm) {
		a.ID, a.Watches, a.When, a.Path, a.OwnBattery = id, of, when, plan.CellularPath, yes()
		a.Circuit = circuit()
		p.Alarms = append(p.Alarms, a)
	}
	if yes() {
		watch("heats-long", "heater", plan.RunsLong, plan.Alarm{RunsMin: ptr([]float64{30, 180}[r.IntN(2)])})
		watch("fills-never", "pump", plan.StandsStill, plan.Alarm{WithinH: ptr(20.0)})
	}
	if yes() {
		watch("calls-long", "warm", plan.RunsLong, plan.Alarm{RunsMin: ptr([]float64{30, 180}[r.IntN(2)])})
		watch("calls-often", p.Controls[r.IntN(len(p.Controls))].ID, plan.StartsOften,
			plan.Alarm{Starts: ptr(3), WithinH: ptr(2.0)})
	}
	if p.Sump != nil {
		p.Sensors = append(p.Sensors, plan.Sensor{ID: "vane", Kind: plan.FlowKind})
		alarm("vane", plan.NoFlow)
		plumbed(r, &p)
		alarm("rim", plan.Wet)
	}
	if yes() {
		p.RoomDevices = []plan.RoomDevice{{ID: "radiator", Kind: plan.RoomHeating, WithoutC: 8, StuckOnC: ptr(35.0),
			TimeConstantH: ptr(6.0), Circuit: circuit()}}
		if yes() {
			p.RoomDevices = append(p.RoomDevices, plan.RoomDevice{ID: "cooler", Kind: plan.RoomCooling, WithoutC: 33,
				Circuit: circuit()})
		}
		p.Sensors = append(p.Sensors, plan.Sensor{ID: "air", Kind: plan.TemperatureKind, Place: ptr(plan.InRoom)})
		p.Alarms = append(p.Alarms, plan.Alarm{ID: "tell-air", Sensor: "air", When: plan.Below,
			ThresholdC: ptr(14.0), Path: plan.CellularPath, OwnBattery: true})
	}
	if yes() {
		p.Leaks = []plan.Leak{{ID: "seam", Kind: plan.SeamLeak, HeightMM: []float64{-60, -3000}[r.IntN(2)],
			FlowLH: []float64{2, 90}[r.IntN(2)]}}
		if p.Sump != nil {
			p.Leaks = append(p.Leaks, plan.Leak{ID: "basin", Kind: plan.BulkheadLeak, Place: ptr(plan.InSump),
				HeightMM: -80, FlowLH: 12}, plan.Leak{ID: "hose", Kind: plan.HoseLeak, FlowLH: 40})
		}
	}
	if yes() {
		supplied(r, &p)
	}
	if yes() {
		staffed(r, &p)
	}
	return p
}

// staffed draws routers, modems and sirens with and without batteries, and persons of the day and of the night.
func staffed(r *rand.Rand, p *plan.Plan) {
	yes := func() bool { return r.IntN(2) == 0 }
	on := func() *string { return ptr([]string{"one", "two"}[r.IntN(2)]) }
	hours := func() float64 { return []float64{0, 3}[r.IntN(2)] }
	p.Power.NetworkCircuit = nil
	p.Routers = []plan.Router{{ID: "router", BatteryH: hours(), Circuit: on()}}
	p.Modems = []plan.Modem{{ID: "modem", BatteryH: hours(), Supply: on()}}
	p.Sirens = []plan.Siren{{ID: "siren", BatteryH: hours(), Circuit: on()}}
	ways := []string{"router", "modem", "siren"}
	for i := range p.Alarms {
		if yes() {
			from := r.IntN(3)
			p.Alarms[i].Path, p.Alarms[i].Paths = "", ways[from:min(3, from+1+r.IntN(2))]
		}
	}
	if yes() {
		p.Persons = []plan.Person{{ID: "keeper", ActsWithinH: ptr(2.0), AnswersFrom: ptr(plan.ClockTime("07:00")),
			AnswersUntil: ptr(plan.ClockTime("22:30"))}, {ID: "friend", ReachedBy: ways[r.IntN(3):]}}
	}
}

// plumbed draws overflows, return lines and a switch under the rim of the display.
func plumbed(r *rand.Rand, p *plan.Plan) {
	yes := func() bool { return r.IntN(2) == 0 }
	for i := range r.IntN(3) {
		p.Overflows = append(p.Overflows, plan.Overflow{ID: fmt.Sprint("overflow-", i)})
	}
	if yes() {
		p.ReturnLines = []plan.ReturnLine{{ID: "nozzle", NozzleDepthMM: []float64{10, 120}[r.IntN(2)],
			SiphonHole: yes(), CheckValve: yes()}}
	}
	p.Sensors = append(p.Sensors, plan.Sensor{ID: "rim", Kind: plan.LevelKind, Place: ptr(plan.InDisplay),
		HeightMM: ptr(25.0)})
}

// supplied draws a supply tree for a plan with two circuits: a device before one or both, a strip on a strip, ratings
// that hold or do not, a battery, a generator, an order of coming back and pumps that stay off.
func supplied(r *rand.Rand, p *plan.Plan) {
	yes := func() bool { return r.IntN(2) == 0 }
	w := &p.Power
	w.ResidualCurrentDevices = []plan.ResidualCurrentDevice{{ID: "guard"}}
	w.Circuits[0].ResidualCurrentDevice = ptr("guard")
	if yes() {
		w.Circuits[1].ResidualCurrentDevice = ptr("guard")
	}
	if yes() {
		w.Circuits[1].BackAfterMin = ptr(30.0)
	}
	w.Strips = []plan.Strip{{ID: "far", Supply: "near"}, {ID: "near", Supply: "one"}}
	if yes() {
		w.Strips[r.IntN(2)].RatingA = ptr([]float64{0.5, 1.5, 3}[r.IntN(3)])
	}
	if yes() {
		w.Circuits[0].BreakerA = ptr(1.5)
	}
	if yes() {
		w.Backups = append(w.Backups, plan.Backup{ID: "brick", Kind: plan.Battery, Hours: ptr(3.0),
			Supplies: []string{[]string{"near", "two"}[r.IntN(2)]}, Starts: plan.ByItself})
	}
	if yes() {
		w.Backups = append(w.Backups, plan.Backup{ID: "motor", Kind: plan.Generator, Hours: ptr(12.0), DelayMin: 90,
			Supplies: []string{"one", "far"}, Starts: []plan.BackupStart{plan.ByItself, plan.ByHand}[r.IntN(2)]})
	}
	for i := range p.Pumps {
		p.Pumps[i].StaysOff = ptr(yes())
		if yes() {
			p.Pumps[i].Circuit, p.Pumps[i].Supply = nil, ptr("far")
		}
	}
	for i := range p.Heaters {
		if yes() {
			p.Heaters[i].Circuit, p.Heaters[i].Supply = nil, ptr([]string{"near", "far"}[r.IntN(2)])
		}
	}
	for i := range p.Controls {
		if yes() {
			p.Controls[i].Circuit, p.Controls[i].Supply = nil, ptr("near")
		}
	}
}

// closeness is how far apart, as a share, two courses of one effect may be: rounding, which grows over some hundred
// events. Salinity takes the volume of a segment's beginning while water leaks or is skimmed, so that there it depends
// on where segments end; so does what is dissolved while water is taken out, and its peaks are looked for every half
// hour.
func closeness(p plan.Plan) float64 {
	if len(p.Skimmers) > 0 || p.Chemistry != nil {
		return 1e-3
	}
	return 1e-6
}

// alike demands that the water goes the same way in two courses, but for the rounding of other events in between.
func alike(t *testing.T, want, got *sim.Course, share float64, where string) {
	t.Helper()
	require.Equal(t, want.Truncated, got.Truncated, where)
	// where it was cut short depends on events that move nothing, such as a timer's that drives nothing
	if want.Truncated {
		require.InEpsilon(t, want.EndS, got.EndS, 0.01, where)
		return
	}
	near := func(a, b float64, what string) {
		require.InDelta(t, a, b, share*(1+math.Abs(a)), "%s: %s", where, what) // s, K, L, psu
	}
	for k, loss := range LossNames {
		near(want.Discomforts()[k], got.Discomforts()[k], "comfort "+loss)
		near(want.Harms()[k], got.Harms()[k], "harm "+loss)
	}
	p, q, wantEnd, gotEnd := want.Peaks(), got.Peaks(), want.End(), got.End()
	for n, pair := range [][2]float64{
		{p.TempMinC, q.TempMinC}, {p.TempMaxC, q.TempMaxC}, {p.SalinityMin, q.SalinityMin},
		{p.SalinityMax, q.SalinityMax}, {p.LevelMinL, q.LevelMinL}, {p.LevelMaxL, q.LevelMaxL},
		{p.OxygenMinMgL, q.OxygenMinMgL}, {want.EndS, got.EndS}, {wantEnd.TempC[0], gotEnd.TempC[0]},
		{wantEnd.TempC[1], gotEnd.TempC[1]}, {wantEnd.LevelL, gotEnd.LevelL},
	} {
		near(pair[0], pair[1], fmt.Sprint("peak or end ", n))
	}
	require.Equal(t, p.Dissolved == nil, q.Dissolved == nil, where)
	if a, b := p.Dissolved, q.Dissolved; a != nil {
		for n, pair := range [][2]float64{
			{a.AlkalinityMin, b.AlkalinityMin}, {a.AlkalinityMax, b.AlkalinityMax}, {a.PHMin, b.PHMin},
			{a.PHMax, b.PHMax}, {a.AragoniteMin, b.AragoniteMin}, {a.AragoniteMax, b.AragoniteMax},
		} {
			near(pair[0], pair[1], fmt.Sprint("dissolved peak ", n))
		}
	}
}

func raisedAlike(t *testing.T, want, got []float64, share float64, where string) {
	t.Helper()
	for i := range want {
		// s; a level that hardly moves is crossed so much later or earlier
		require.InDelta(t, want[i], got[i], max(1e-3, share*want[i]), "%s: alarm %d", where, i)
	}
}

func markedAlike(t *testing.T, want, got []sim.Mark, share float64, where string) {
	t.Helper()
	require.Len(t, got, len(want), "%s: marks %v for %v", where, got, want)
	for i := range want {
		require.Equal(t, [2]int{int(want[i].Kind), want[i].Index}, [2]int{int(got[i].Kind), got[i].Index},
			"%s: marks %v for %v", where, got, want)
		// s; as for alarms
		require.InDelta(t, want[i].AtS, got[i].AtS, max(1e-3, share*want[i].AtS), "%s: mark %d", where, i)
	}
}

// Pairs of faults of random plans: the course of their effect is the course of the faults themselves, and alarms and
// marks found in either are the same.
func TestEffectsEndAsTheirFaults(t *testing.T) {
	draw := rand.New(rand.NewPCG(6, 78)) // fixed seed
	plans, pairs := 24, 80
	if testing.Short() {
		plans = 6
	}
	ctx, gear, chemistry := context.Background(), rand.New(rand.NewPCG(19, 3)), rand.New(rand.NewPCG(19, 9))
	runs, keys := 0, map[string]bool{}
	for n := range plans {
		p := broad(draw)
		if n%2 == 1 {
			geared(gear, &p)
		}
		if n%3 == 0 {
			dosed(chemistry, &p)
		}
		st, err := newStudy(ctx, p)
		require.NoError(t, err)
		horizon := st.report.HorizonH * secondsPerHour
		for range pairs {
			a, b, r := draw.IntN(len(st.faults)), draw.IntN(len(st.faults)), draw.IntN(len(st.rooms))
			if a == b || st.contradict(a, b) {
				continue
			}
			rm := &st.rooms[r]
			where := fmt.Sprintf("plan %d, %s with %s, %s", n, st.faults[a].ID, st.faults[b].ID, rm.name)
			injections := st.injections([]int{a, b}, r)
			full, err := sim.Run(ctx, rm.system, &rm.start, injections, horizon)
			require.NoError(t, err)
			require.Less(t, full.Balance.WorstRelative(), 1e-9, where)
			e := sim.EffectOf(rm.system, injections)
			own, err := sim.RunEffect(ctx, rm.system, &rm.start, e, horizon, nil)
			require.NoError(t, err)
			near := closeness(st.p)
			alike(t, full, own, near, where)
			if !full.Truncated {
				markedAlike(t, full.Marks(injections), own.Marks(injections), near, where)
			}
			raisedAlike(t, full.Alarms(injections), own.Alarms(injections), near, where)
			runs++
			keys[fmt.Sprint(n, r, e.Key())] = true
		}
	}
	t.Logf("%d pairs, %d effects", runs, len(keys))
	assert.Less(t, len(keys), runs)
}
