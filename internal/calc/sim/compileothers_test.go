package sim

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
)

// oneVessel is a display of 600 mm by 400 mm, 450 mm deep, by itself, with what everyPart has not.
func oneVessel() plan.Plan {
	at := func(s string) plan.ClockTime { return plan.ClockTime(s) }
	alarm := func(a plan.Alarm) plan.Alarm {
		a.Circuit = ptr("main")
		return a
	}
	return plan.Plan{
		Livestock: plan.MixedReef, SalinityPSU: 35, ProbeDriftK: 3,
		Display: plan.Vessel{LengthMM: ptr(600.0), WidthMM: ptr(400.0), WaterDepthMM: ptr(450.0), WallMM: 8,
			Material: "glass", Lid: "open", FreeboardMM: 30, IntakeDropMM: 50},
		Room:   plan.Room{Usual: plan.RoomState{TempC: 20, RHPercent: 50}, AirSpeedMS: 0.1},
		Oxygen: plan.Oxygen{StirredCMH: 18, StillCMH: 1.8, DemandMgLH: ptr(0.36)},
		Heaters: []plan.Heater{
			{ID: "heater", PowerW: 200, Place: ptr(plan.InDisplay), HeightMM: ptr(-40.0), WhenDry: ptr(plan.CutsOut)},
			{ID: "deep", PowerW: 50, ThermostatC: ptr(25.0), ThermostatHysteresisK: 0.6}},
		Chillers: []plan.Chiller{{ID: "cooler", CoolingW: 150, PowerW: 60, ThermostatC: ptr(27.0),
			ThermostatHysteresisK: 0.8}},
		Pumps: []plan.Pump{{ID: "stream", Role: plan.CirculationRole, FlowLH: 900, PowerW: 6, HeatShare: 0.5,
			CloggedShare: ptr(0.4)}},
		Fans:        []plan.Fan{{ID: "fan", AirSpeedMS: 2, PowerW: 5}},
		TopOffPumps: []plan.TopOffPump{{ID: "fill", FlowLH: 18, PowerW: 4, Reservoir: "tub", StaysOff: ptr(true)}},
		Reservoirs: []plan.Reservoir{{ID: "tub", VolumeL: 20, UsableShare: 0.9, SiphonBreak: true,
			LengthMM: ptr(300.0), WidthMM: ptr(200.0), BottomAboveWaterMM: ptr(-200.0),
			LineEndAboveWaterMM: ptr(25.0)}},
		Lights: []plan.Light{{ID: "lamp", PowerW: 80, HeatShare: 0.25, Schedule: &plan.Schedule{OnAt: ptr(at("10:00")),
			OffAt: ptr(at("20:00"))}}, {ID: "bare-lamp", PowerW: 20, HeatShare: 0.25}},
		Sensors: []plan.Sensor{{ID: "probe", Kind: plan.TemperatureKind, Place: ptr(plan.InDisplay)},
			{ID: "second", Kind: plan.TemperatureKind, Place: ptr(plan.InDisplay)},
			{ID: "acid", Kind: plan.PHKind}, {ID: "salt", Kind: plan.ConductivityKind},
			{ID: "eye", Kind: plan.LightKind},
			{ID: "float", Kind: plan.LevelKind, Place: ptr(plan.InDisplay), HeightMM: ptr(2.0), HysteresisMM: 5}},
		Controls: []plan.Control{
			{ID: "heat", Kind: plan.Heating, Sensors: []string{"probe", "second"}, Rule: plan.Highest,
				SetpointC: ptr(25.5), HysteresisK: 0.4, Outputs: []string{"heater"},
				OnSensorLoss: plan.OnWithoutSensor},
			{ID: "filler", Kind: plan.TopOff, Sensor: ptr("float"), Outputs: []string{"fill"}},
			{ID: "gas", Kind: plan.Acidity, Sensor: ptr("acid"), SetpointPH: ptr(8.2), HysteresisPH: ptr(0.1),
				Outputs: []string{"valve"}},
			{ID: "guard", Kind: plan.Supervisor, Sensor: ptr("acid"), When: ptr(plan.Below), ThresholdPH: ptr(7.9),
				Outputs: []string{"valve"}},
			{ID: "too-fresh", Kind: plan.Supervisor, Sensor: ptr("salt"), When: ptr(plan.Below),
				ThresholdPSU: ptr(33.0), Outputs: []string{"fill"}},
			{ID: "too-warm", Kind: plan.Supervisor, Sensors: []string{"probe", "second"}, Rule: plan.Highest,
				When: ptr(plan.Above), ThresholdC: ptr(28.0), Outputs: []string{"heater"}},
			{ID: "too-cold", Kind: plan.Supervisor, Sensors: []string{"probe", "second"}, Rule: plan.Highest,
				When: ptr(plan.Below), ThresholdC: ptr(22.0), Outputs: []string{"cooler"}},
			{ID: "by-night", Kind: plan.Supervisor, Sensor: ptr("eye"), When: ptr(plan.Dark), Outputs: []string{"fan"}},
			{ID: "by-day", Kind: plan.Supervisor, Sensor: ptr("eye"), When: ptr(plan.Lit), Outputs: []string{"stream"}},
			{ID: "hours", Kind: plan.Timer, Outputs: []string{"first", "second-contactor"},
				Schedule: &plan.Schedule{OnAt: ptr(at("10:00")), OffAt: ptr(at("20:00"))}}},
		Contactors: []plan.Contactor{{ID: "first", Outputs: []string{"bare-lamp"}, Circuit: ptr("main")},
			{ID: "second-contactor", Outputs: []string{"skimmer"}, Circuit: ptr("main")}},
		Boxes: []plan.Box{{ID: "box", Holds: []string{"heat", "gas"}, DeadOutputs: plan.DeadOpen,
			AfterRestart: plan.AsBefore, Circuit: ptr("main")}},
		Alarms: []plan.Alarm{
			alarm(plan.Alarm{ID: "salty", Sensor: "salt", When: plan.Above, ThresholdPSU: ptr(37.0),
				Paths: []string{"siren", "modem"}}),
			alarm(plan.Alarm{ID: "warm", Sensors: []string{"probe", "second"}, Rule: plan.Highest, When: plan.Above,
				ThresholdC: ptr(28.0), Path: plan.NetworkPath}),
			alarm(plan.Alarm{ID: "both-warm", Sensors: []string{"probe", "second"}, Rule: plan.Lowest, When: plan.Above,
				ThresholdC: ptr(28.0), Path: plan.AudiblePath, OnSensorLoss: true}),
			alarm(plan.Alarm{ID: "sour", Sensor: "acid", When: plan.Below, ThresholdPH: ptr(7.8),
				Path: plan.AudiblePath}),
		},
		Modems: []plan.Modem{{ID: "modem", BatteryH: 2, Circuit: ptr("main")}},
		Sirens: []plan.Siren{{ID: "siren", BatteryH: 0.25, Circuit: ptr("main")}},
		Leaks:  []plan.Leak{{ID: "seam", Kind: plan.SeamLeak, Place: ptr(plan.InDisplay), HeightMM: -100, FlowLH: 36}},
		RoomDevices: []plan.RoomDevice{
			{ID: "radiator", Kind: plan.RoomHeating, PowerW: 1000, WithoutC: 12, TimeConstantH: ptr(6.0)},
			{ID: "stove", Kind: plan.RoomHeating, PowerW: 1000, WithoutC: 15.5, TimeConstantH: ptr(6.0)},
			{ID: "cooling", Kind: plan.RoomCooling, PowerW: 1000, WithoutC: 30, StuckOnC: ptr(16.0),
				TimeConstantH: ptr(2.0)}},
		Skimmers: []plan.Skimmer{{ID: "skimmer", Place: ptr(plan.InDisplay), PowerW: 12, HeatShare: 0.5, CupL: 1,
			SkimmateLDay: 0.5, WetTimes: 3, WetAboveMM: ptr(8.0), FullCup: plan.CupSpills}},
		CarbonDioxide: []plan.CarbonDioxide{{ID: "valve", FlowGH: 3.6, BottleG: 500, PowerW: 3, Into: plan.IntoTank}},
		ChangePumps: []plan.ChangePump{
			{ID: "out", Role: plan.Drain, FlowLH: 36, PowerW: 7, InletMM: ptr(-20.0),
				Doses: &plan.Doses{ADay: 2, RunS: 300, FirstAt: "23:58"}},
			{ID: "in", Role: plan.NewWater, FlowLH: 36, PowerW: 7, Doses: &plan.Doses{ADay: 2, RunS: 300,
				FirstAt: "06:00"},
				Container: &plan.FreshSeaWater{VolumeL: 100, SalinityPSU: ptr(34.0), AlkalinityDKH: ptr(2 * 2.80385),
					CalciumMgL: ptr(400.78), MagnesiumMgL: ptr(1215.25)}}},
		DosingPumps: []plan.DosingPump{{ID: "doser", FlowMLMin: 60, PowerW: 2,
			Doses:     &plan.Doses{ADay: 48, RunS: 36, FirstAt: "00:00"},
			Container: plan.Container{VolumeL: 2, AlkalinityMeqL: 1000, Form: plan.BicarbonateForm}}},
		Power: plan.Power{LongestOutageH: 6, NetworkCircuit: ptr("main"),
			Circuits: []plan.Circuit{{ID: "main", BreakerA: ptr(10.0), BreakerType: ptr(plan.TypeB),
				ResidualCurrentDevice: ptr("trip")}},
			ResidualCurrentDevices: []plan.ResidualCurrentDevice{{ID: "trip"}},
			Strips: []plan.Strip{{ID: "outer", Supply: "inner", RatingA: ptr(3.0)},
				{ID: "inner", Supply: "main", BackAfterMin: ptr(1.5)}},
			Backups: []plan.Backup{{ID: "generator", Kind: plan.Generator, Supplies: []string{"inner", "main"},
				Hours: ptr(2.0), Starts: plan.ByHand, DelayMin: 30},
				{ID: "battery", Kind: plan.Battery, Supplies: []string{"outer"}, Hours: ptr(1.0),
					Starts: plan.ByItself, DelayMin: 0}},
			Starts: []plan.Start{{Element: "cooler", InrushTimes: 5, InrushS: 0.4, BackAfterMin: ptr(3.0)}},
		},
		Attendance: plan.Attendance{LookEveryH: 24, LeavesAt: "08:00"},
	}
}

// Each part of it as the simulation has it, in seconds, litres and watts, worked by hand.
func TestEveryPartOfOneVesselIsCompiled(t *testing.T) {
	s := compiled(t, oneVessel())
	const area = 0.24 // m²
	assert.Equal(t, 1, s.Nodes)
	assert.InDelta(t, 108, s.Node[Display].VolumeL, 1e-9)
	assert.Equal(t, Chamber{AreaM2: area, BaffleMM: 30, WideAreaM2: area, IntakeMM: -50, RimMM: 30, FloorMM: -450},
		s.Chamber)
	// 18 cm/h through 0.45 m are 0.4 an hour.
	assert.InEpsilon(t, 0.4/3600, s.OxygenBalance.StirredS, 1e-12)
	assert.InEpsilon(t, 0.04/3600, s.OxygenBalance.StillS, 1e-12)
	assert.InEpsilon(t, 1e-4, s.OxygenBalance.DemandMgLS, 1e-12)
	assert.InDelta(t, 6*3600, s.OutageS, 0)
	assert.InDelta(t, 20, s.TopOffTempC, 0)
	for _, d := range s.Devices { // none has what nobody gave it
		assert.Equal(t, d.ID == "deep" || d.ID == "cooler", d.Thermostat >= 0, d.ID)
		assert.Equal(t, d.ID == "lamp" || d.Kind == Drain || d.Kind == Doser && d.ID != "valve", d.Programme >= 0, d.ID)
	}

	device := func(id string) *Device { return &s.Devices[number(s, id)] }
	heater := device("heater")
	assert.Equal(t, [2]float64{200, 0}, heater.HeatW)
	assert.Equal(t, -1, heater.Thermostat)
	assert.True(t, heater.Dry.CutsOut)
	assert.Zero(t, heater.Dry.Opens)
	dry := s.Comparators[heater.Dry.Covered-1]
	assert.Equal(t, Level, dry.Quantity)
	assert.Equal(t, -1, dry.Sensor, "it is the heater's own")
	assert.InDeltaSlice(t, []float64{-40 * area, -39 * area}, edges(&dry), 1e-9)
	assert.Equal(t, Dryness{}, device("deep").Dry)
	assert.InDeltaSlice(t, []float64{24.7, 25.3}, edges(&s.Comparators[device("deep").Thermostat]), 1e-9)
	assert.Equal(t, DisplayTemp, s.Comparators[device("deep").Thermostat].Quantity)
	assert.InDeltaSlice(t, []float64{26.6, 27.4}, edges(&s.Comparators[device("cooler").Thermostat]), 1e-9)
	assert.Equal(t, [2]float64{-150, 0}, device("cooler").HeatW)
	assert.Equal(t, Starting{Times: 5, ForS: 0.4, AfterS: 180}, device("cooler").Starts)
	assert.Equal(t, Clogging{Left: 0.4}, device("stream").Clogs)
	assert.False(t, device("stream").StaysOff)
	assert.Equal(t, [2]float64{3, 0}, device("stream").HeatW)
	assert.True(t, device("fill").StaysOff)
	assert.InDelta(t, 0.005, device("fill").FlowLS, 1e-12)
	lamp := s.Programmes[device("lamp").Programme]
	assert.InDelta(t, 1, lamp.pieceAt(12*3600).From, 0)
	assert.InDelta(t, 0, lamp.pieceAt(21*3600).From, 0)
	skim := device("skimmer").Skim
	assert.Equal(t, Display, skim.Node)
	assert.Equal(t, RunsOver, skim.Full)
	assert.InDelta(t, 0.5/86400, skim.FlowLS, 1e-15)
	assert.InDelta(t, 1, skim.CupL, 0)
	wet := s.Comparators[skim.Wet-1]
	assert.Equal(t, Level, wet.Quantity)
	assert.InDeltaSlice(t, []float64{7 * area, 8 * area}, edges(&wet), 1e-9)
	assert.Equal(t, RoomUnit{WithoutC: 30, TauS: 7200, Sticks: true, StuckOnC: 16}, device("cooling").Room)
	assert.Equal(t, RoomCooler, device("cooling").Kind)
	assert.Equal(t, RoomHeater, device("stove").Kind)
	assert.False(t, device("stove").Room.Sticks)

	// Pumps of a change and a doser: 36 L/h are 0.01 L/s, 60 mL/min 0.001 L/s, 3.6 g/h 0.001 g/s.
	out, in, doser, valve := device("out"), device("in"), device("doser"), device("valve")
	assert.Equal(t, Drain, out.Kind)
	assert.InDelta(t, 0.01, out.FlowLS, 1e-12)
	assert.InDelta(t, -20*area, out.InletL, 1e-9)
	assert.Equal(t, Doser, in.Kind)
	assert.InDelta(t, 7, in.ElectricW, 0)
	assert.InDelta(t, 0.001, doser.FlowLS, 1e-12)
	assert.InDelta(t, 0.001, valve.FlowLS, 1e-12)
	assert.Equal(t, -1, valve.Programme, "its control drives it")
	// 23:58 for five minutes passes midnight; the other run begins at 11:58.
	h := func(hour, minute float64) float64 { return hour*3600 + minute*60 }
	assert.Equal(t, Programme{{0, 180, 1, 1}, {180, h(11, 58), 0, 0}, {h(11, 58), h(12, 3), 1, 1},
		{h(12, 3), h(23, 58), 0, 0}, {h(23, 58), daySeconds, 1, 1}}, s.Programmes[out.Programme])
	assert.Equal(t, Programme{{0, h(6, 0), 0, 0}, {h(6, 0), h(6, 5), 1, 1}, {h(6, 5), h(18, 0), 0, 0},
		{h(18, 0), h(18, 5), 1, 1}, {h(18, 5), daySeconds, 0, 0}}, s.Programmes[in.Programme])
	assert.Equal(t, Programme{{0, daySeconds, 0.02, 0.02}}, s.Programmes[doser.Programme], "36 of 1800 s")
	fresh := s.Reservoirs[in.Reservoir]
	assert.True(t, fresh.Container)
	assert.InDelta(t, 100, fresh.VolumeL, 0)
	assert.InDelta(t, 34, fresh.Holds.Salinity, 0)
	assert.InDelta(t, 2, fresh.Holds.Meq, 1e-5)
	assert.InDelta(t, 10, fresh.Holds.CalciumMmol, 1e-9)
	assert.InDelta(t, 50, fresh.Holds.MagnesiumMmol, 1e-9)
	// In balance with the air of the room: as much carbon to its 2 meq as the tank's straight line has.
	assert.InDelta(t, s.Chemistry.Tied*fresh.Holds.Meq+s.Chemistry.Apart, fresh.Holds.CarbonMmol, 1e-12)
	assert.InDelta(t, 1.8, fresh.Holds.CarbonMmol, 0.15, "most of it bicarbonate")
	solution := s.Reservoirs[doser.Reservoir].Holds
	assert.InDelta(t, 1000, solution.Meq, 0)
	assert.InDelta(t, 1000, solution.CarbonMmol, 0, "a mmol to a meq of bicarbonate")
	gas := s.Reservoirs[valve.Reservoir]
	assert.True(t, gas.Gas)
	assert.InDelta(t, 500, gas.VolumeL, 0)
	assert.Zero(t, gas.Holds.Meq)
	assert.InDelta(t, 1000/44.009, gas.Holds.CarbonMmol, 1e-3)

	tub := s.Reservoirs[0]
	assert.InDelta(t, 18, tub.VolumeL, 1e-9)
	assert.InDelta(t, -200+2/0.06, tub.EmptyMM, 1e-9)
	assert.InDelta(t, 25, tub.LineEndMM, 0)
	assert.True(t, tub.Break)
	assert.InDelta(t, 0.005, tub.SiphonLS, 1e-12, "as its pump, where nothing is said")
	assert.Equal(t, Leak{ID: "seam", Node: Display, AtL: -100 * area, FlowLS: 0.01}, s.Leaks[0])

	// From 20 °C down to 12 °C and up to 30 °C in eight steps; 15.5 and 16 °C are ends between them, 16 a step already.
	airs := map[float64]int{}
	for _, a := range s.Airs {
		airs[a.TempC]++
	}
	for _, tempC := range []float64{19, 18, 17, 16, 15.5, 15, 14, 13, 12, 21.25, 22.5, 23.75, 25, 26.25, 27.5, 28.75,
		30} {
		assert.Equal(t, 1, airs[tempC], "%g °C", tempC)
	}
	assert.Len(t, s.Airs, 17)
}

// The circuits of it, each after what it hangs on, the outer strip after the inner one though it is named before.
func TestTheSupplyOfOneVesselIsCompiled(t *testing.T) {
	s := compiled(t, oneVessel())
	var order []string
	circuits, at := map[string]Circuit{}, map[string]int{}
	for i, c := range s.Circuits {
		order, circuits[c.ID], at[c.ID] = append(order, c.ID), c, i
	}
	assert.Equal(t, []string{"trip", "main", "inner", "outer"}, order)
	feeder := func(id string) string { return s.Circuits[circuits[id].Feeder-1].ID }
	assert.Zero(t, circuits["trip"].Feeder)
	assert.Equal(t, []string{"trip", "main", "inner"}, []string{feeder("main"), feeder("inner"), feeder("outer")})
	assert.InDelta(t, 2300, circuits["main"].RatingW, 1e-9)
	assert.InDelta(t, 6900, circuits["main"].AtOnceW, 1e-9, "type B opens at once from three times its rating on")
	assert.InDelta(t, 690, circuits["outer"].RatingW, 1e-9)
	assert.Zero(t, circuits["outer"].AtOnceW)
	assert.Zero(t, circuits["inner"].RatingW)
	assert.InDelta(t, 90, circuits["inner"].BackS, 0)
	require.Len(t, s.Sources, 2)
	assert.Equal(t, Source{ID: "generator", Circuits: []int{at["inner"], at["main"]}, FromS: 1800}, s.Sources[0],
		"nobody is there to start it")
	assert.Equal(t, Source{ID: "battery", Circuits: []int{at["outer"]}, ToS: 3600}, s.Sources[1])
	main := at["main"]
	assert.Equal(t, []Way{
		{ID: "audible", Kind: Audible, Circuit: -1}, {ID: "network", Kind: Network, Circuit: main},
		{ID: "cellular", Kind: Cellular, Circuit: -1},
		{ID: "modem", Kind: Cellular, Circuit: main, BatteryS: 7200},
		{ID: "siren", Kind: Audible, Circuit: main, BatteryS: 900},
	}, s.Ways)
	// A load of 2300 W and more than 6900 W at once; all of the tank hangs on that circuit.
	require.Len(t, s.wired().rated, 2)
	assert.Equal(t, rated{circuit: main, ratingW: 2300, atOnceW: 6900, devices: s.wired().rated[0].devices},
		s.wired().rated[0])
	assert.Len(t, s.wired().rated[0].devices, len(s.Devices))
	assert.Empty(t, s.wired().rated[1].devices, "nothing hangs on the outer strip")
	assert.True(t, s.hangsOn(at["outer"], main))
	assert.False(t, s.hangsOn(main, at["outer"]))
	assert.True(t, s.carried(at["outer"]))
	assert.True(t, s.carried(at["inner"]))
	assert.False(t, s.carried(at["trip"]))
	assert.True(t, s.carriesBelow(at["trip"]))
	assert.False(t, s.carriesBelow(at["outer"]))
	assert.True(t, s.wired().starts)
	assert.False(t, s.mayBreak(main))
}

// The controls and alarms of it.
func TestControlsOfOneVesselAreCompiled(t *testing.T) {
	p := oneVessel()
	s := compiled(t, p)
	sensor := func(id string) int { return sensorNumber(s, p, id) }
	control := map[string]Control{}
	for _, k := range s.Controls {
		control[k.ID] = k
	}
	heat := s.Conditions[control["heat"].Condition]
	assert.Equal(t, Vote, heat.Kind)
	assert.Equal(t, Each, heat.Most, "the highest is too cold when all are")
	require.Len(t, heat.Of, 2)
	// A heating control calls while its reading is low: the condition says so of each.
	assert.True(t, s.Conditions[heat.Of[0]].Negate)
	assert.True(t, control["heat"].OnLoss)
	assert.False(t, control["gas"].OnLoss)
	assert.Equal(t, AsBefore, control["heat"].Restarts)
	assert.Equal(t, AsBefore, control["gas"].Restarts)
	assert.Equal(t, Afresh, control["filler"].Restarts)
	assert.Zero(t, control["filler"].RunLimitS)
	for id, want := range map[string]struct {
		quantity Quantity
		low, hi  float64
		negate   bool
		sensor   string
	}{
		"gas":       {PH, 8.15, 8.25, false, "acid"},
		"guard":     {PH, 7.9, 7.93, true, "acid"},
		"too-fresh": {Salinity, 33, 33.1, true, "salt"},
		"filler":    {Level, -3 * 0.24, 2 * 0.24, true, "float"},
	} {
		c := s.Conditions[control[id].Condition]
		x := s.Comparators[c.Index]
		assert.Equal(t, want.quantity, x.Quantity, id)
		assert.InDeltaSlice(t, []float64{want.low, want.hi}, edges(&x), 1e-9, id)
		assert.Equal(t, want.negate, c.Negate, id)
		assert.Equal(t, sensor(want.sensor), c.Sensor, id)
		assert.Equal(t, sensor(want.sensor), x.Sensor, id)
	}
	assert.Equal(t, Cutout, control["guard"].Kind)
	assert.Equal(t, Regulator, control["gas"].Kind)
	assert.Equal(t, One, s.Conditions[control["too-warm"].Condition].Most, "the highest is above as soon as one is")
	assert.Equal(t, Each, s.Conditions[control["too-cold"].Condition].Most, "and below only when all are")
	assert.Equal(t, -1, s.Conditions[control["too-cold"].Condition].Sensor, "several")
	assert.Equal(t, Condition{Kind: LightSeen, Sensor: sensor("eye"), Negate: true},
		s.Conditions[control["by-night"].Condition])
	assert.Equal(t, Condition{Kind: LightSeen, Sensor: sensor("eye")}, s.Conditions[control["by-day"].Condition])
	drives := map[string]string{}
	for _, r := range s.Relays {
		to := "control "
		if r.Device >= 0 {
			to = s.Devices[r.Device].ID
		} else {
			to += s.Controls[r.Target].ID
		}
		drives[to] += s.Controls[r.Control].ID + " "
	}
	for to, want := range map[string]string{"control first": "hours ", "control second-contactor": "hours ",
		"bare-lamp": "first ", "skimmer": "second-contactor ", "valve": "gas guard ", "fan": "by-night "} {
		assert.Equal(t, want, drives[to], to)
	}

	alarms := map[string]Alarm{}
	for _, a := range s.Alarms {
		alarms[a.ID] = a
		assert.Equal(t, "main", s.Circuits[a.Circuit].ID)
	}
	salty := s.Conditions[alarms["salty"].Condition]
	assert.InDeltaSlice(t, []float64{36.9, 37}, edges(&s.Comparators[salty.Index]), 1e-9)
	assert.False(t, salty.Negate)
	assert.Equal(t, []int{4, 3}, alarms["salty"].Ways)
	assert.Equal(t, []int{1}, alarms["warm"].Ways)
	assert.Equal(t, []int{0}, alarms["sour"].Ways)
	assert.Equal(t, One, s.Conditions[alarms["warm"].Condition].Most, "the highest of above is any")
	assert.Equal(t, Each, s.Conditions[alarms["both-warm"].Condition].Most, "the lowest of above is all")
	assert.True(t, alarms["both-warm"].OnLoss)
	assert.False(t, alarms["warm"].OnLoss)
	sour := s.Conditions[alarms["sour"].Condition]
	assert.InDeltaSlice(t, []float64{7.8, 7.83}, edges(&s.Comparators[sour.Index]), 1e-9)
}

// Every limit of a plan, in its unit and in seconds; a tank with a lamp, a sump and what is dissolved has all of them.
func TestEveryLimitIsCompiled(t *testing.T) {
	p := dosed()
	p.Display.VolumeL, p.Display.LengthMM, p.Display.WidthMM, p.Display.WaterDepthMM = nil, ptr(900.0), ptr(500.0),
		ptr(500.0)
	p.Sump = everyPart().Sump
	p.Lights = []plan.Light{{ID: "lamp", PowerW: 100, HeatShare: 0.3, Schedule: &plan.Schedule{
		OnAt: ptr(plan.ClockTime("10:00")), OffAt: ptr(plan.ClockTime("20:00"))}}}
	p.Chemistry = &plan.Chemistry{AlkalinityDKH: 8, CalciumMgL: 420, PH: 8.1, MagnesiumMgL: ptr(1300.0)}
	const dkh, mg = 2.80385, 24.305
	h := 3600.0
	l := &p.Limits
	*l = plan.Limits{
		ComfortLowC: ptr(24.0), ComfortHighC: ptr(27.0), HarmLowC: ptr(21.0), HarmHighC: ptr(30.0),
		HarmTempAfterH: ptr(2.0),
		LossLowC:       ptr(20.0), LossColdAfterH: ptr(12.0), LossHighC: ptr(31.0), LossHeatAfterH: ptr(6.0),
		RapidLossLowC: ptr(17.0), RapidLossHighC: ptr(34.0), RapidLossAfterH: ptr(0.5),
		ComfortLowPSU: ptr(33.5), ComfortHighPSU: ptr(36.5), HarmLowPSU: ptr(30.0), HarmHighPSU: ptr(39.0),
		HarmSalinityAfterH: ptr(3.0), LossLowPSU: ptr(27.0), LossHighPSU: ptr(42.0), LossSalinityAfterH: ptr(9.0),
		ComfortDarkH: ptr(7.0), HarmLitH: ptr(50.0), HarmDarkH: ptr(240.0),
		ComfortOxygenMgL: ptr(5.5), HarmOxygenMgL: ptr(4.0), HarmOxygenAfterH: ptr(1.5), LossOxygenMgL: ptr(2.5),
		LossOxygenAfterH: ptr(0.75), HarmSpillL: ptr(4.0), ComfortSumpC: ptr(33.0), HarmSumpC: ptr(45.0),
		ComfortChangeK: ptr(1.0), HarmChangeK: ptr(4.0), ComfortChangePSU: ptr(0.7), HarmChangePSU: ptr(2.2),
		ComfortLowDKH: ptr(2.5 * dkh), ComfortHighDKH: ptr(3.5 * dkh), HarmLowDKH: ptr(2 * dkh),
		HarmHighDKH: ptr(5 * dkh),
		LossLowDKH:  ptr(1.5 * dkh), LossHighDKH: ptr(7 * dkh),
		ComfortLowPH: ptr(7.9), ComfortHighPH: ptr(8.4), HarmLowPH: ptr(7.5), HarmHighPH: ptr(8.7), LossLowPH: ptr(7.1),
		LossHighPH: ptr(9.1), ComfortLowAragonite: ptr(2.0), ComfortHighAragonite: ptr(6.0), HarmLowAragonite: ptr(1.2),
		HarmHighAragonite: ptr(12.0), ComfortLowMagnesiumMgL: ptr(48 * mg), ComfortHighMagnesiumMgL: ptr(58 * mg),
		HarmLowMagnesiumMgL: ptr(40 * mg), HarmHighMagnesiumMgL: ptr(70 * mg),
		HarmChemistryAfterH: ptr(5.0), LossChemistryAfterH: ptr(20.0),
	}
	s := compiled(t, p)
	// 130 mm down to the intake are 9.36 L of the chamber, half of them on the way.
	want := map[LimitKind]Limit{
		Overheated:       {Comfort: 27, Harm: Edge{30, 2 * h}, Losses: []Edge{{31, 6 * h}, {34, h / 2}}},
		Chilled:          {Comfort: 24, Harm: Edge{21, 2 * h}, Losses: []Edge{{20, 12 * h}, {17, h / 2}}},
		Diluted:          {Comfort: 33.5, Harm: Edge{30, 3 * h}, Losses: []Edge{{27, 9 * h}}},
		Concentrated:     {Comfort: 36.5, Harm: Edge{39, 3 * h}, Losses: []Edge{{42, 9 * h}}},
		Flooded:          {Comfort: 0.001, Harm: Edge{At: 4}},
		RunDry:           {Comfort: -0.072 * 65, Harm: Edge{At: -0.072 * 130}},
		NoDark:           {Comfort: 17 * h, Harm: Edge{At: 50 * h}},
		NoLight:          {Comfort: 36 * h, Harm: Edge{At: 240 * h}},
		Airless:          {Comfort: 5.5, Harm: Edge{4, 1.5 * h}, Losses: []Edge{{2.5, 0.75 * h}}},
		SumpHot:          {Comfort: 33, Harm: Edge{At: 45}},
		TemperatureShock: {Comfort: 1, Harm: Edge{At: 4}},
		SalinityShock:    {Comfort: 0.7, Harm: Edge{At: 2.2}},
		AlkalinityLow:    {Comfort: 2.5, Harm: Edge{2, 5 * h}, Losses: []Edge{{1.5, 20 * h}}},
		AlkalinityHigh:   {Comfort: 3.5, Harm: Edge{5, 5 * h}, Losses: []Edge{{7, 20 * h}}},
		PHLow:            {Comfort: 7.9, Harm: Edge{7.5, 5 * h}, Losses: []Edge{{7.1, 20 * h}}},
		PHHigh:           {Comfort: 8.4, Harm: Edge{8.7, 5 * h}, Losses: []Edge{{9.1, 20 * h}}},
		Dissolving:       {Comfort: 2, Harm: Edge{1.2, 5 * h}},
		FallingOut:       {Comfort: 6, Harm: Edge{12, 5 * h}},
		MagnesiumLow:     {Comfort: 48, Harm: Edge{40, 5 * h}},
		MagnesiumHigh:    {Comfort: 58, Harm: Edge{70, 5 * h}},
	}
	for k := range LimitKinds {
		got, w := s.Limits[k], want[k]
		if k == HeaterDry {
			continue // it is told by the heater itself
		}
		assert.True(t, got.Active, "%d", k)
		assert.InDelta(t, w.Comfort, got.Comfort, 1e-3, "%d", k)
		assert.InDelta(t, w.Harm.At, got.Harm.At, 1e-3, "%d", k)
		assert.InDelta(t, w.Harm.AfterS, got.Harm.AfterS, 1e-6, "%d", k)
		require.Len(t, got.Losses, len(w.Losses), "%d", k)
		for i, e := range w.Losses {
			assert.InDelta(t, e.At, got.Losses[i].At, 1e-3, "%d", k)
			assert.InDelta(t, e.AfterS, got.Losses[i].AfterS, 1e-6, "%d", k)
		}
	}
	none := compiled(t, dosed()) // no lamp, no sump, no magnesium
	for k := range LimitKinds {
		switch k {
		case NoDark, NoLight, SumpHot, MagnesiumLow, MagnesiumHigh, HeaterDry:
			assert.False(t, none.Limits[k].Active, "%d", k)
		default:
			assert.True(t, none.Limits[k].Active, "%d", k)
		}
	}
	l.HarmDarkH = ptr(60.0) // a day and a half of dark is then more than half of what harms
	assert.InDelta(t, 30*h, compiled(t, p).Limits[NoLight].Comfort, 1e-6)
}

// Days of pumps by hand: 24 runs a day are runs, 25 an even trickle; one that ends at midnight has no second part.
func TestDaysOfDosing(t *testing.T) {
	assert.Len(t, dosing(plan.Doses{ADay: 24, RunS: 60, FirstAt: "00:30"}), 49)
	assert.Equal(t, Programme{{0, daySeconds, 60 / 3456.0, 60 / 3456.0}},
		dosing(plan.Doses{ADay: 25, RunS: 60, FirstAt: "00:30"}))
	assert.Equal(t, Programme{{0, 86100, 0, 0}, {86100, 86400, 1, 1}}, dosing(plan.Doses{ADay: 1, RunS: 300,
		FirstAt: "23:55"}))
	assert.Equal(t, Programme{{0, 300, 1, 1}, {300, 43200, 0, 0}, {43200, 43500, 1, 1}, {43500, 86400, 0, 0}},
		dosing(plan.Doses{ADay: 2, RunS: 300, FirstAt: "12:00"}))
}

// What is deeper than the water: a drain that draws from the floor of 108 L leaves the last twentieth, and a return
// line whose nozzle stands at the floor of 225 L lets all but that run back.
func TestNothingIsTakenBelowTheWater(t *testing.T) {
	p := oneVessel()
	p.ChangePumps[0].InletMM = ptr(-449.0)
	s := compiled(t, p)
	assert.InDelta(t, -0.95*108, s.Devices[number(s, "out")].InletL, 1e-9)
	p = everyPart()
	p.ReturnLines[0].NozzleDepthMM = 499
	s = compiled(t, p)
	assert.InDelta(t, 0.95*225, s.DrainBackL, 1e-9)
}
