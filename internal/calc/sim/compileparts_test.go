package sim

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
)

// everyPart is a display of 900 mm by 500 mm over a sump of 700 mm by 400 mm, whose return chamber is 180 mm long and
// runs at 220 mm, with a part of nearly every kind.
func everyPart() plan.Plan {
	at := func(s string) *plan.ClockTime { c := plan.ClockTime(s); return &c }
	temperature := func(id string, place plan.Place) plan.Sensor {
		return plan.Sensor{ID: id, Kind: plan.TemperatureKind, Place: &place}
	}
	alarm := func(a plan.Alarm) plan.Alarm {
		a.OwnBattery, a.Path = true, plan.CellularPath
		return a
	}
	p := plan.Plan{
		Livestock: plan.MixedReef, SalinityPSU: 35, ProbeDriftK: 3,
		Display: plan.Vessel{LengthMM: ptr(900.0), WidthMM: ptr(500.0), WaterDepthMM: ptr(500.0), WallMM: 10,
			Material: "glass", Lid: "open", FreeboardMM: 40, DrainBackMM: 15},
		Sump: &plan.Sump{LengthMM: 700, WidthMM: 400, HeightMM: 400, WaterLevelMM: 220,
			ReturnChamberMM: ptr(180.0), BaffleMM: ptr(240.0), ReturnIntakeMM: ptr(90.0), WallMM: 10,
			Material: "glass", Lid: "open"},
		Room:   plan.Room{Usual: plan.RoomState{TempC: 21, RHPercent: 50}, AirSpeedMS: 0.1},
		Oxygen: plan.Oxygen{StirredCMH: 20, StillCMH: 2.07},
		Heaters: []plan.Heater{{ID: "heater", PowerW: 300, ThermostatC: ptr(26.0), ThermostatHysteresisK: 1,
			Place: ptr(plan.InDisplay), HeightMM: ptr(-50.0), WhenDry: ptr(plan.Shatters), Supply: ptr("strip")}},
		Chillers: []plan.Chiller{{ID: "cooler", CoolingW: 200, PowerW: 80, Place: ptr(plan.InSump),
			Circuit: ptr("two")}},
		Pumps: []plan.Pump{
			{ID: "lift", Role: plan.ReturnRole, FlowLH: 1200, PowerW: 30, HeatShare: 0.5, CloggedShare: ptr(0.3)},
			{ID: "second-lift", Role: plan.ReturnRole, FlowLH: 400, PowerW: 10, HeatShare: 0.5, CloggedShare: ptr(0.3)},
			{ID: "stream", Role: plan.CirculationRole, FlowLH: 2000, PowerW: 8, HeatShare: 1, StaysOff: ptr(true)}},
		TopOffPumps: []plan.TopOffPump{{ID: "fill", FlowLH: 12, PowerW: 4, Reservoir: "tub"}},
		Reservoirs: []plan.Reservoir{{ID: "tub", VolumeL: 30, UsableShare: 0.9, SiphonLH: ptr(36.0),
			LengthMM: ptr(300.0), WidthMM: ptr(250.0), BottomAboveWaterMM: ptr(-100.0)}},
		Lights: []plan.Light{{ID: "lamp", PowerW: 100, HeatShare: 0.3}},
		Sensors: []plan.Sensor{temperature("probe", plan.InDisplay), temperature("second", plan.InDisplay),
			temperature("third", plan.InDisplay), temperature("air", plan.InRoom),
			{ID: "float", Kind: plan.LevelKind, Place: ptr(plan.InSump), HeightMM: ptr(0.0), HysteresisMM: 10},
			{ID: "high", Kind: plan.LevelKind, Place: ptr(plan.InDisplay), HeightMM: ptr(20.0), HysteresisMM: 5},
			{ID: "tub-float", Kind: plan.LevelKind, Place: ptr(plan.InReservoir), Reservoir: ptr("tub"), AtL: ptr(3.0)},
			{ID: "vane", Kind: plan.FlowKind, LowFlowShare: ptr(0.4)}, {ID: "floor", Kind: plan.LeakKind},
			{ID: "live", Kind: plan.PowerKind, Circuit: ptr("two")}, {ID: "eye", Kind: plan.LightKind}},
		Controls: []plan.Control{
			{ID: "heat", Kind: plan.Heating, Sensor: ptr("probe"), SetpointC: ptr(25.5), HysteresisK: 0.4,
				Outputs: []string{"heater"}, OnSensorLoss: plan.OffWithoutSensor},
			{ID: "cool", Kind: plan.Cooling, Sensors: []string{"probe", "second", "third"}, Rule: plan.Middle,
				SetpointC: ptr(27.0), HysteresisK: 0.6, Outputs: []string{"cooler"},
				OnSensorLoss: plan.OffWithoutSensor},
			{ID: "filler", Kind: plan.TopOff, Sensor: ptr("float"), RunLimitMin: ptr(20.0), Outputs: []string{"fill"},
				OnSensorLoss: plan.OffWithoutSensor},
			{ID: "hours", Kind: plan.Timer, Outputs: []string{"relay"}, OnSensorLoss: plan.OffWithoutSensor,
				Schedule: &plan.Schedule{OnAt: at("10:00"), OffAt: at("20:00")}},
			{ID: "guard", Kind: plan.Supervisor, Sensor: ptr("probe"), When: ptr(plan.Above), ThresholdC: ptr(28.0),
				Outputs: []string{"heater"}, OnSensorLoss: plan.OnWithoutSensor, Latching: true}},
		Contactors: []plan.Contactor{{ID: "relay", Outputs: []string{"lamp"}, Circuit: ptr("two")}},
		Boxes: []plan.Box{{ID: "box", Holds: []string{"filler"}, DeadOutputs: plan.DeadOpen,
			AfterRestart: plan.AllOff, Circuit: ptr("one")}},
		Alarms: []plan.Alarm{
			alarm(plan.Alarm{ID: "night", Sensor: "eye", When: plan.Lit, FromAt: at("23:00"), ToAt: at("05:30"),
				DelayMin: 7}),
			alarm(plan.Alarm{ID: "apart", Sensors: []string{"probe", "second"}, When: plan.Differ, DifferK: ptr(1.5)}),
			alarm(plan.Alarm{ID: "odd", Sensors: []string{"float", "high"}, When: plan.Differ}),
			alarm(plan.Alarm{ID: "cold", Sensors: []string{"probe", "second", "third"}, Rule: plan.Lowest,
				When: plan.Below, ThresholdC: ptr(23.0)}),
			alarm(plan.Alarm{ID: "cold-air", Sensor: "air", When: plan.Below, ThresholdC: ptr(15.0)}),
			alarm(plan.Alarm{ID: "no-flow", Sensor: "vane", When: plan.NoFlow}),
			alarm(plan.Alarm{ID: "no-power", Sensor: "live", When: plan.NoPower}),
			alarm(plan.Alarm{ID: "tub-low", Sensor: "tub-float", When: plan.Dry}),
			alarm(plan.Alarm{ID: "rises", Sensor: "high", When: plan.Wet}),
			alarm(plan.Alarm{ID: "wet", Sensor: "floor", When: plan.Wet}),
			alarm(plan.Alarm{ID: "heats-long", Watches: "heater", When: plan.RunsLong, RunsMin: ptr(300.0)}),
			alarm(plan.Alarm{ID: "fills-often", Watches: "filler", When: plan.StartsOften, Starts: ptr(5),
				WithinH: ptr(2.0)}),
			alarm(plan.Alarm{ID: "fills-never", Watches: "fill", When: plan.StandsStill, WithinH: ptr(40.0)}),
		},
		Routers: []plan.Router{{ID: "router", BatteryH: 0.5, Circuit: ptr("two")}},
		Leaks: []plan.Leak{{ID: "seam", Kind: plan.SeamLeak, Place: ptr(plan.InDisplay), HeightMM: -60, FlowLH: 36},
			{ID: "low-seam", Kind: plan.SeamLeak, Place: ptr(plan.InSump), HeightMM: -50, FlowLH: 72}},
		RoomDevices: []plan.RoomDevice{{ID: "radiator", Kind: plan.RoomHeating, PowerW: 1000, WithoutC: 13,
			StuckOnC: ptr(29.0), TimeConstantH: ptr(5.0), Circuit: ptr("two")}},
		Skimmers: []plan.Skimmer{{ID: "skimmer", Place: ptr(plan.InSump), PowerW: 20, HeatShare: 0.5, CupL: 2,
			SkimmateLDay: 0.24, WetTimes: 5, WetAboveMM: ptr(30.0), FullCup: plan.CupReturns, AerationShare: 0.25}},
		Overflows: []plan.Overflow{{ID: "weir"}, {ID: "spare-weir"}},
		ReturnLines: []plan.ReturnLine{{ID: "open", NozzleDepthMM: 60}, {ID: "holed", NozzleDepthMM: 200,
			SiphonHole: true}},
		Power: plan.Power{LongestOutageH: 8,
			Circuits: []plan.Circuit{{ID: "one", BackupH: 2}, {ID: "two", ResidualCurrentDevice: ptr("guard-switch"),
				BackAfterMin: ptr(4.0)}},
			ResidualCurrentDevices: []plan.ResidualCurrentDevice{{ID: "guard-switch"}},
			Strips:                 []plan.Strip{{ID: "strip", Supply: "two", RatingA: ptr(4.0)}},
			Backups: []plan.Backup{{ID: "battery", Kind: plan.Battery, Supplies: []string{"strip"}, Hours: ptr(3.0),
				Starts: plan.ByItself, DelayMin: 5}},
			VoltageV: ptr(230.0)},
		Attendance: plan.Attendance{LookEveryH: 24, LeavesAt: "08:30"},
	}
	p.Lights[0].Schedule = &plan.Schedule{OnAt: at("09:00"), OffAt: at("21:00"), RampMin: 60}
	return p
}

// Each part of a plan as the simulation has it, in seconds, litres and watts, worked by hand.
func TestEveryPartIsCompiled(t *testing.T) {
	p, _, err := plan.Complete(everyPart())
	require.NoError(t, err)
	s, err := Compile(p, p.Room.Usual)
	require.NoError(t, err)
	const display, chamber = 0.45, 0.072 // m²
	assert.InDelta(t, 8.5*3600, s.StartSecond, 1e-9)

	device := func(id string) *Device { return &s.Devices[number(s, id)] }
	// 1200 and 400 L/h of the return, not the stream's 2000.
	assert.InEpsilon(t, s.VolumicHeatJLK*1600/3600, s.FlowWK, 1e-12)
	heater := device("heater")
	assert.Equal(t, []float64{25.5, 26.5}, edges(&s.Comparators[heater.Thermostat]))
	dry := s.Comparators[heater.Dry.Covered-1]
	assert.Equal(t, DisplayLevel, dry.Quantity)
	assert.InDeltaSlice(t, []float64{-50 * display, -49 * display}, edges(&dry), 1e-9)
	assert.Equal(t, "guard-switch", s.Circuits[heater.Dry.Opens-1].ID, "a broken heater trips what protects it")
	assert.Equal(t, [2]float64{0, -200}, device("cooler").HeatW)
	assert.Equal(t, [2]float64{0, 15}, device("lift").HeatW)
	assert.InDelta(t, 0.75, device("lift").Clogs.Return, 1e-12) // 1200 of 1600 L/h
	assert.Equal(t, Clogging{}, device("stream").Clogs)
	assert.True(t, device("stream").StaysOff)
	assert.InDelta(t, 12.0/3600, device("fill").FlowLS, 1e-12)
	skim := device("skimmer").Skim
	assert.InDelta(t, 0.24/86400, skim.FlowLS, 1e-15)
	assert.Equal(t, RunsBack, skim.Full)
	assert.InDeltaSlice(t, []float64{0.072*20 + 0.28*9, 0.072*20 + 0.28*10}, edges(&s.Comparators[skim.Wet-1]), 1e-9)
	assert.Equal(t, [2]float64{0, 10}, device("skimmer").HeatW)
	radiator := device("radiator").Room
	assert.Equal(t, RoomUnit{WithoutC: 13, TauS: 5 * 3600, Sticks: true, StuckOnC: 29}, radiator)

	tub := s.Reservoirs[0]
	assert.InDelta(t, 27, tub.VolumeL, 1e-9)
	assert.InDelta(t, 0.01, tub.SiphonLS, 1e-12)
	assert.InDelta(t, -100+3/0.075, tub.EmptyMM, 1e-9) // 3 L on 0.075 m² are of no use

	control := func(id string) *Control {
		for i := range s.Controls {
			if s.Controls[i].ID == id {
				return &s.Controls[i]
			}
		}
		t.Fatal(id)
		return nil
	}
	condition := func(i int) Condition { return s.Conditions[i] }
	heat := condition(control("heat").Condition)
	assert.True(t, heat.Negate)
	assert.InDeltaSlice(t, []float64{25.3, 25.7}, edges(&s.Comparators[heat.Index]), 1e-9)
	cool := condition(control("cool").Condition)
	require.Equal(t, Vote, cool.Kind)
	assert.Equal(t, MoreThanHalf, cool.Most)
	require.Len(t, cool.Of, 3)
	assert.False(t, condition(cool.Of[2]).Negate)
	assert.InDeltaSlice(t, []float64{26.7, 27.3}, edges(&s.Comparators[condition(cool.Of[2]).Index]), 1e-9)
	filler := control("filler")
	assert.InDelta(t, 1200, filler.RunLimitS, 0)
	assert.Equal(t, StaysDown, filler.Restarts)
	assert.Equal(t, Afresh, control("heat").Restarts)
	assert.True(t, condition(filler.Condition).Negate)
	assert.InDeltaSlice(t, []float64{-10 * chamber, 0}, edges(&s.Comparators[condition(filler.Condition).Index]), 1e-9)
	assert.Equal(t, Cutout, control("guard").Kind)
	assert.InDeltaSlice(t, []float64{27.8, 28}, edges(&s.Comparators[condition(control("guard").Condition).Index]),
		1e-9)
	assert.True(t, control("guard").OnLoss)
	relay := s.Relays[len(s.Relays)-1] // contactors come last
	assert.Equal(t, "relay", s.Controls[relay.Control].ID)
	assert.Equal(t, "lamp", s.Devices[relay.Device].ID)
	for _, r := range s.Relays[:len(s.Relays)-1] {
		if s.Controls[r.Control].ID == "hours" {
			assert.Equal(t, "relay", s.Controls[r.Target].ID)
			assert.Equal(t, -1, r.Device)
		}
	}

	require.Len(t, s.Leaks, 2)
	assert.Equal(t, Leak{ID: "seam", Node: Display, AtL: -60 * display, FlowLS: 0.01}, s.Leaks[0])
	assert.Equal(t, Sump, s.Leaks[1].Node)
	assert.InDelta(t, -50*chamber, s.Leaks[1].AtL, 1e-9)
	assert.Equal(t, 2, s.Overflows)
	assert.InDelta(t, 60*display, s.DrainBackL, 1e-9, "the open line lets more run back than 15 mm")
	assert.InDelta(t, 40*display, s.DisplayFreeL, 1e-9)
	assert.Equal(t, ReturnLine{ID: "holed", DepthL: 200 * display, Stops: true}, s.ReturnLines[1])

	// From 21 °C to 13 °C and to 29 °C in eight steps each.
	var airs []float64
	for _, a := range s.Airs {
		airs = append(airs, a.TempC)
	}
	assert.Equal(t, []float64{20, 22, 19, 23, 18, 24, 17, 25, 16, 26, 15, 27, 14, 28, 13, 29}, airs)

	circuits := map[string]Circuit{}
	for _, c := range s.Circuits {
		circuits[c.ID] = c
	}
	assert.InDelta(t, 7200, circuits["one"].BackupS, 0)
	assert.InDelta(t, 240, circuits["two"].BackS, 0)
	assert.InDelta(t, 920, circuits["strip"].RatingW, 1e-9) // 4 A at 230 V
	assert.Equal(t, "two", s.Circuits[circuits["strip"].Feeder-1].ID)
	assert.Equal(t, "guard-switch", s.Circuits[circuits["two"].Feeder-1].ID)
	require.Len(t, s.Sources, 1)
	assert.InDelta(t, 300, s.Sources[0].FromS, 0)
	assert.InDelta(t, 300+3*3600, s.Sources[0].ToS, 1e-9)
}

func edges(c *Comparator) []float64 { return []float64{c.Low, c.High} }

// Each alarm of the same plan.
func TestEveryAlarmIsCompiled(t *testing.T) {
	p, _, err := plan.Complete(everyPart())
	require.NoError(t, err)
	s, err := Compile(p, p.Room.Usual)
	require.NoError(t, err)
	alarms := map[string]Alarm{}
	for _, a := range s.Alarms {
		alarms[a.ID] = a
		assert.Equal(t, -1, a.Circuit, "its own battery")
	}
	sensor := func(id string) int { return sensorNumber(s, everyPart(), id) }
	assert.Equal(t, &Hours{23 * 3600, 5.5 * 3600}, alarms["night"].Hours)
	assert.InDelta(t, 420, alarms["night"].DelayS, 0)
	assert.Nil(t, alarms["cold"].Hours)
	assert.InDelta(t, 1.5, alarms["apart"].DifferK, 0)
	assert.Equal(t, []Reader{{Sensor: sensor("probe"), Condition: -1}, {Sensor: sensor("second"), Condition: -1}},
		alarms["apart"].Differ)
	odd := alarms["odd"]
	assert.Zero(t, odd.DifferK)
	require.Len(t, odd.Differ, 2)
	assert.Equal(t, -1, odd.Condition)
	for _, x := range odd.Differ {
		assert.Equal(t, x.Sensor, s.Conditions[x.Condition].Sensor)
	}
	cold := s.Conditions[alarms["cold"].Condition]
	assert.Equal(t, One, cold.Most, "the lowest of below is any")
	below := s.Conditions[cold.Of[0]]
	assert.True(t, below.Negate)
	assert.InDeltaSlice(t, []float64{23, 23.2}, edges(&s.Comparators[below.Index]), 1e-9)
	assert.Equal(t, RoomTemp, s.Comparators[s.Conditions[alarms["cold-air"].Condition].Index].Quantity)
	assert.Equal(t, Condition{Kind: FlowRunning, Sensor: sensor("vane"), Negate: true, LeastFlow: 0.4},
		s.Conditions[alarms["no-flow"].Condition])
	power := s.Conditions[alarms["no-power"].Condition]
	assert.Equal(t, PowerPresent, power.Kind)
	assert.Equal(t, "two", s.Circuits[power.Index].ID)
	tub := s.Comparators[s.Conditions[alarms["tub-low"].Condition].Index]
	assert.Equal(t, Stored, tub.Quantity)
	assert.InDelta(t, 3, tub.Low, 0)
	assert.Greater(t, tub.High, 3.0)
	assert.True(t, s.Conditions[alarms["tub-low"].Condition].Negate)
	rises := s.Comparators[s.Conditions[alarms["rises"].Condition].Index]
	assert.Equal(t, DisplayLevel, rises.Quantity)
	assert.InDeltaSlice(t, []float64{0.45 * 15, 0.45 * 20}, edges(&rises), 1e-9)
	assert.Equal(t, Spill, s.Comparators[s.Conditions[alarms["wet"].Condition].Index].Quantity)

	for id, want := range map[string]Watch{
		"heats-long":  {Kind: RunsLong, Device: number(s, "heater"), Control: -1, Seconds: 18000},
		"fills-often": {Kind: StartsOften, Device: -1, Control: 2, Seconds: 7200, Starts: 5},
		"fills-never": {Kind: StandsStill, Device: number(s, "fill"), Control: -1, Seconds: 144000},
	} {
		require.NotNil(t, alarms[id].Watch, id)
		assert.Equal(t, want, *alarms[id].Watch, id)
		assert.Equal(t, -1, alarms[id].Condition, id)
	}
	require.Greater(t, len(s.Ways), 3)
	assert.Equal(t, -1, s.Ways[Network].Circuit, "nobody said what feeds it")
	assert.Equal(t, Way{ID: "router", Kind: Network, Circuit: s.Ways[3].Circuit, BatteryS: 1800}, s.Ways[3])
	assert.Equal(t, "two", s.Circuits[s.Ways[3].Circuit].ID)
}

// A leak reaches no deeper than the floor of its vessel, nor takes the last of its water.
func TestLeaksEndAtTheFloor(t *testing.T) {
	p := everyPart()
	p.Leaks[1].HeightMM = -220
	p.Leaks[0].HeightMM = -500
	p.Leaks = append(p.Leaks, plan.Leak{ID: "hose", Kind: plan.HoseLeak, FlowLH: 36})
	p, _, err := plan.Complete(p)
	require.NoError(t, err)
	s, err := Compile(p, p.Room.Usual)
	require.NoError(t, err)
	assert.InDelta(t, -0.072*220, s.Leaks[1].AtL, 1e-9)
	assert.InDelta(t, -(1-driedShare)*225, s.Leaks[0].AtL, 1e-9)
	assert.True(t, s.Leaks[2].Pumped)
}
