package plan

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
	"saltwright/internal/calc/light"
)

// first is the plan of somebody who has never seen the service.
func first() Plan {
	return Plan{
		Livestock: MixedReef, SalinityPSU: 35, ProbeDriftK: 3,
		Display: Vessel{
			VolumeL: new(250.0), WallMM: 10, Material: "glass", Lid: "open", FreeboardMM: 40, DrainBackMM: 15,
			IntakeDropMM: 50, RockShare: 0.1,
		},
		Room:    Room{Usual: RoomState{TempC: 21, RHPercent: 50}, AirSpeedMS: 0.1},
		Oxygen:  Oxygen{StirredCMH: 20, StillCMH: 2.07},
		Heaters: []Heater{{ID: "heater", PowerW: 300, ThermostatHysteresisK: 1}},
		TopOffPumps: []TopOffPump{
			{ID: "pump", FlowLH: 60, Reservoir: "canister"},
		},
		Reservoirs: []Reservoir{{ID: "canister", VolumeL: 25, UsableShare: 0.95, WaterAboveOutletMM: -100}},
		Lights: []Light{{
			ID: "light", PowerW: 120, HeatShare: 0.3,
			Schedule: &Schedule{OnAt: new(ClockTime("11:00")), OffAt: new(ClockTime("21:00"))},
		}},
		Power:      Power{LongestOutageH: 8},
		Attendance: Attendance{LookEveryH: 24, LeavesAt: "08:00"},
	}
}

// withSump adds a sump with everything on it.
func withSump() Plan {
	p := first()
	p.Sump = &Sump{
		LengthMM: 600, WidthMM: 350, HeightMM: 400, WaterLevelMM: 220, WallMM: 10, Material: "glass", Lid: "open",
	}
	p.Sensors = []Sensor{
		{ID: "probe", Kind: TemperatureKind}, {ID: "float", Kind: LevelKind, HysteresisMM: 5},
		{ID: "vane", Kind: FlowKind}, {ID: "strip", Kind: LeakKind}, {ID: "watch", Kind: PowerKind},
		{ID: "store-float", Kind: LevelKind, Reservoir: new("canister"), AtL: new(5.0)},
	}
	p.Controls = []Control{
		{
			ID: "heat", Kind: Heating, Sensor: new("probe"), SetpointC: new(25.5), HysteresisK: 0.4,
			Outputs: []string{"heater"}, OnSensorLoss: "off",
		},
		{ID: "fill", Kind: TopOff, Sensor: new("float"), Outputs: []string{"pump"}, OnSensorLoss: "off"},
		{
			ID: "cut", Kind: Supervisor, Sensor: new("probe"), When: new(Above), ThresholdC: new(28.0),
			Outputs: []string{"heater"}, OnSensorLoss: "off",
		},
	}
	p.Alarms = []Alarm{{ID: "warm", Sensor: "probe", When: Above, ThresholdC: new(28.0), Path: NetworkPath}}
	return p
}

func TestCompleteSaysWhatItAssumed(t *testing.T) {
	p, assumptions, err := Complete(first())
	require.NoError(t, err)
	values := map[string]any{}
	for _, a := range assumptions {
		assert.NotContains(t, values, a.Param, "said twice")
		assert.NotEmpty(t, a.Note, a.Param)
		assert.NotEmpty(t, a.Source, a.Param)
		values[a.Param] = a.Value
	}
	assert.Equal(t, 17.0, values["room.coldest.temp_c"])
	assert.Equal(t, 28.0, values["room.warmest.temp_c"], "at least 28 degC")
	assert.Equal(t, "display", values["heaters[0].place"])
	assert.Equal(t, 25.8, values["heaters[0].thermostat_c"], "middle of 24 … 27.5, rounded to 0.1")
	assert.Equal(t, "pump-level-control", values["controls[0].id"])
	assert.Equal(t, 72.0, values["attendance.longest_absence_h"])
	assert.Equal(t, "house-circuit", values["power.circuits[0].id"])
	assert.InDelta(t, 1000.0, values["display.length_mm"], 1e-6, "250 L = 2 · 0.5³ m³")
	assert.InDelta(t, 250, *p.Display.LengthMM**p.Display.WidthMM**p.Display.WaterDepthMM/1e6, 1e-9)
	assert.Len(t, p.Pumps, 1, "moving water is assumed")
	assert.Equal(t, CirculationRole, p.Pumps[0].Role)
	assert.Len(t, p.Controls, 1)
	assert.Equal(t, "house-circuit", *p.Controls[0].Circuit)

	again, more, err := Complete(p)
	require.NoError(t, err)
	assert.Equal(t, p, again, "a completed plan stays as it is")
	assert.Empty(t, more)
}

func TestCompleteLeavesItsInputAlone(t *testing.T) {
	in := withSump()
	before := withSump()
	_, _, err := Complete(in)
	require.NoError(t, err)
	assert.Equal(t, before, in)
}

func TestCompleteWithSump(t *testing.T) {
	p, _, err := Complete(withSump())
	require.NoError(t, err)
	assert.Equal(t, InSump, *p.Heaters[0].Place)
	assert.Nil(t, p.Heaters[0].ThermostatC, "a control drives it")
	assert.Equal(t, 150.0, *p.Sump.ReturnChamberMM)
	assert.Equal(t, 240.0, *p.Sump.BaffleMM)
	assert.Equal(t, 110.0, *p.Sump.ReturnIntakeMM)
	require.Len(t, p.Pumps, 1)
	assert.Equal(t, ReturnRole, p.Pumps[0].Role)
	assert.Equal(t, OnFloor, *p.Sensors[3].Place)
	assert.Equal(t, InReservoir, *p.Sensors[5].Place)
	assert.Zero(t, *p.Sensors[1].HeightMM)
}

func TestEveryGroupHasLimitsInOrder(t *testing.T) {
	for _, g := range []Livestock{FishOnly, SoftCorals, MixedReef, StonyCorals} {
		p := first()
		p.Livestock = g
		_, _, err := Complete(p)
		assert.NoError(t, err, g)
	}
}

func TestCompletePrefersFreeIDs(t *testing.T) {
	p := first()
	p.Heaters[0].ID = "house-circuit"
	p, _, err := Complete(p)
	require.NoError(t, err)
	assert.Equal(t, "house-circuit-2", p.Power.Circuits[0].ID)
}

// every conflict the issue names, and the rest of what check.go refuses.
func TestConflicts(t *testing.T) {
	cases := []struct {
		name   string
		spoil  func(*Plan)
		params []string // of the one conflict expected
		reason string   // code or parameters
	}{
		{"two elements with one id", func(p *Plan) { p.Lights[0].ID = "heater" },
			[]string{"heaters[0].id", "lights[0].id"}, "plan_id_twice"},
		{"no volume", func(p *Plan) { p.Display.VolumeL = nil }, []string{"display"}, "plan_volume_or_lengths"},
		{"two lengths", func(p *Plan) {
			p.Display.VolumeL, p.Display.LengthMM, p.Display.WidthMM = nil, new(1.0), new(1.0)
		},
			[]string{"display"}, "plan_volume_or_lengths"},
		{"volume and lengths disagree", func(p *Plan) {
			p.Display.LengthMM, p.Display.WidthMM, p.Display.WaterDepthMM = new(1000.0), new(500.0), new(400.0)
		}, []string{"display.volume_l", "display.length_mm", "display.width_mm", "display.water_depth_mm"},
			"plan_volume_and_lengths_differmap[volume:200]"},
		{"drains back more than it is deep", func(p *Plan) {
			p.Display.LengthMM, p.Display.WidthMM, p.Display.WaterDepthMM = new(1000.0), new(500.0), new(500.0)
			p.Display.DrainBackMM = 500
		}, []string{"display.drain_back_mm", "display.water_depth_mm"}, "plan_drains_more_than_depth"},
		{"sump level above its rim", func(p *Plan) { p.Sump.WaterLevelMM = 400 },
			[]string{"sump.water_level_mm", "sump.height_mm"}, "plan_level_above_rim"},
		{"return intake above the water line", func(p *Plan) { p.Sump.ReturnIntakeMM = new(230.0) },
			[]string{"sump.return_intake_mm", "sump.water_level_mm"}, "plan_intake_above_level"},
		{"baffle below the level", func(p *Plan) { p.Sump.BaffleMM = new(100.0) },
			[]string{"sump.baffle_mm", "sump.water_level_mm", "sump.height_mm"}, "plan_baffle_out_of_place"},
		{"return chamber longer than the sump", func(p *Plan) { p.Sump.ReturnChamberMM = new(700.0) },
			[]string{"sump.return_chamber_mm", "sump.length_mm"}, "plan_chamber_longer_than_sump"},
		{"coldest room warmer", func(p *Plan) { p.Room.Coldest = &RoomState{TempC: 25, RHPercent: 50} },
			[]string{"room.coldest.temp_c", "room.usual.temp_c"}, "plan_coldest_above_usual"},
		{"warmest room colder", func(p *Plan) { p.Room.Warmest = &RoomState{TempC: 15, RHPercent: 50} },
			[]string{"room.warmest.temp_c", "room.usual.temp_c"}, "plan_warmest_below_usual"},
		{"heater in a sump that is not there", func(p *Plan) {
			*p = first()
			p.Heaters[0].Place = new(InSump)
		}, []string{"heaters[0].place", "sump"}, "plan_no_sump_to_put_in"},
		{"return pump without a sump", func(p *Plan) {
			*p = first()
			p.Pumps = []Pump{{ID: "lift", Role: ReturnRole, FlowLH: 1000}}
		}, []string{"pumps[0].role", "sump"}, "plan_return_needs_sump"},
		{"pump faster than its pipe", func(p *Plan) { p.TopOffPumps[0].PipeLimitLH = new(20.0) },
			[]string{"top_off_pumps[0].flow_l_h", "top_off_pumps[0].pipe_limit_l_h"},
			"plan_pump_beyond_pipemap[flow:60 pipe:20]"},
		{"unknown reservoir", func(p *Plan) { p.TopOffPumps[0].Reservoir = "canistre" },
			[]string{"top_off_pumps[0].reservoir"}, "meant:canister wanted:reservoir"},
		{"a reservoir that is a heater", func(p *Plan) { p.TopOffPumps[0].Reservoir = "heater" },
			[]string{"top_off_pumps[0].reservoir"}, "path:heaters[0] wanted:reservoir"},
		{"unknown circuit", func(p *Plan) { p.Heaters[0].Circuit = new("nowhere") },
			[]string{"heaters[0].circuit"}, "wanted:circuit"},
		{"points and times", func(p *Plan) { p.Lights[0].Schedule.Points = []Point{{At: "01:00"}} },
			[]string{"lights[0].schedule.points", "lights[0].schedule.on_at", "lights[0].schedule.off_at"},
			"plan_points_or_times"},
		{"neither points nor times", func(p *Plan) { p.Lights[0].Schedule = &Schedule{} },
			[]string{"lights[0].schedule"}, "plan_points_or_both_times"},
		{"on and off together", func(p *Plan) { p.Lights[0].Schedule.OffAt = new(ClockTime("11:00")) },
			[]string{"lights[0].schedule.on_at", "lights[0].schedule.off_at"}, "plan_on_equals_off"},
		{"ramps longer than the day", func(p *Plan) { p.Lights[0].Schedule.RampMin = 400 },
			[]string{"lights[0].schedule.ramp_min", "lights[0].schedule.on_at", "lights[0].schedule.off_at"},
			"plan_ramps_too_long"},
		{"points out of order", func(p *Plan) {
			p.Lights[0].Schedule = &Schedule{Points: []Point{{At: "12:00"}, {At: "08:00"}}}
		},
			[]string{"lights[0].schedule.points[1]", "lights[0].schedule.points[0]"}, "plan_points_not_in_order"},
		{"three points at one time", func(p *Plan) {
			p.Lights[0].Schedule = &Schedule{Points: []Point{{At: "08:00"}, {At: "08:00"}, {At: "08:00"}}}
		},
			[]string{"lights[0].schedule.points[2]"}, "plan_three_points_at_once"},
		{"flow sensor in a reservoir", func(p *Plan) { p.Sensors[2].Reservoir = new("canister") },
			[]string{"sensors[2].kind", "sensors[2].reservoir"}, "plan_only_level_in_reservoir"},
		{"reservoir sensor without a volume", func(p *Plan) { p.Sensors[5].AtL = nil },
			[]string{"sensors[5].reservoir", "sensors[5].at_l"}, "plan_reservoir_sensor_needs_mark"},
		{"reservoir sensor above the rim", func(p *Plan) { p.Sensors[5].AtL = new(25.0) },
			[]string{"sensors[5].at_l", "reservoirs[0].volume_l"}, "plan_dry_even_when_full"},
		{"probe on the floor", func(p *Plan) { p.Sensors[0].Place = new(OnFloor) },
			[]string{"sensors[0].kind", "sensors[0].place"}, "plan_leak_sensor_on_floor"},
		{"flow sensor without a sump", func(p *Plan) {
			*p = first()
			p.Sensors = []Sensor{{ID: "vane", Kind: FlowKind}}
		}, []string{"sensors[0].kind", "sump"}, "plan_flow_sensor_needs_sump"},
		{"control with no sensor", func(p *Plan) { p.Controls[0].Sensor = nil },
			[]string{"controls[0].sensor"}, "plan_control_needs_sensor"},
		{"control on an unknown sensor", func(p *Plan) { p.Controls[0].Sensor = new("prob") },
			[]string{"controls[0].sensor"}, "meant:probe wanted:sensor"},
		{"heating by a float", func(p *Plan) { p.Controls[0].Sensor = new("float") },
			[]string{"controls[0].sensor", "controls[0].kind"},
			"plan_control_reads_other_kindmap[kind:heating sensor:temperature]"},
		{"heating without a set-point", func(p *Plan) { p.Controls[0].SetpointC = nil },
			[]string{"controls[0].setpoint_c", "controls[0].kind"}, "plan_setpoint_with_heating_or_cooling"},
		{"top-off with a set-point", func(p *Plan) { p.Controls[1].SetpointC = new(25.0) },
			[]string{"controls[1].setpoint_c", "controls[1].kind"}, "plan_setpoint_with_heating_or_cooling"},
		{"run limit on heating", func(p *Plan) { p.Controls[0].RunLimitMin = new(5.0) },
			[]string{"controls[0].run_limit_min", "controls[0].kind"}, "plan_run_limit_elsewhere"},
		{"supervisor without a reading", func(p *Plan) { p.Controls[2].When, p.Controls[2].ThresholdC = nil, nil },
			[]string{"controls[2].when"}, "plan_supervisor_needs_when"},
		{"supervisor on an impossible reading", func(p *Plan) { p.Controls[2].When = new(Wet) },
			[]string{"controls[2].when", "controls[2].sensor"}, "plan_sensor_cannot_report"},
		{"supervisor without a threshold", func(p *Plan) { p.Controls[2].ThresholdC = nil },
			[]string{"controls[2].threshold_c", "controls[2].sensor"}, "plan_threshold_with_temperature"},
		{"heating with a threshold", func(p *Plan) { p.Controls[0].ThresholdC = new(25.0) },
			[]string{"controls[0].when", "controls[0].kind"}, "plan_only_supervisors_have_when"},
		{"timer without a schedule", func(p *Plan) {
			p.Controls = append(p.Controls, Control{ID: "timer", Kind: Timer, Outputs: []string{"light"}})
		}, []string{"controls[3].schedule"}, "plan_timer_needs_schedule"},
		{"timer with a sensor", func(p *Plan) {
			p.Controls = append(p.Controls, Control{
				ID: "timer", Kind: Timer, Sensor: new("probe"), Outputs: []string{"light"},
				Schedule: &Schedule{Points: []Point{{At: "08:00"}}},
			})
		}, []string{"controls[3].sensor", "controls[3].kind"}, "plan_timer_reads_no_sensor"},
		{"heating a light", func(p *Plan) { p.Controls[0].Outputs = []string{"light"} },
			[]string{"controls[0].outputs[0]"}, "path:lights[0] wanted:heater"},
		{"an output named twice", func(p *Plan) { p.Controls[2].Outputs = []string{"heater", "heater"} },
			[]string{"controls[2].outputs[1]"}, "plan_output_named_twice"},
		{"a contactor that nothing drives", func(p *Plan) {
			p.Contactors = []Contactor{{ID: "contactor", Outputs: []string{"heater"}}}
		}, []string{"contactors[0].id", "controls"}, "plan_contactor_undriven"},
		{"a contactor that feeds a control", func(p *Plan) {
			p.Controls[0].Outputs = []string{"contactor"}
			p.Contactors = []Contactor{{ID: "contactor", Outputs: []string{p.Controls[0].ID}}}
		}, []string{"contactors[0].outputs[0]"}, "wanted:device"},
		{"the middle of two", func(p *Plan) {
			p.Sensors = append(p.Sensors, Sensor{ID: "second", Kind: TemperatureKind})
			p.Controls[0].Sensor, p.Controls[0].Sensors, p.Controls[0].Rule = nil, []string{"probe", "second"}, Middle
		}, []string{"controls[0].rule", "controls[0].sensors"}, "plan_middle_of_three"},
		{"several without a rule", func(p *Plan) {
			p.Sensors = append(p.Sensors, Sensor{ID: "second", Kind: TemperatureKind})
			p.Controls[0].Sensor, p.Controls[0].Sensors = nil, []string{"probe", "second"}
		}, []string{"controls[0].rule", "controls[0].sensors"}, "plan_several_need_rule"},
		{"one sensor that differs", func(p *Plan) {
			p.Alarms = []Alarm{{ID: "apart", When: Differ, Sensors: []string{"probe"}, DifferK: new(1.0)}}
		}, []string{"alarms[0].sensors", "alarms[0].when"}, "plan_differ_needs_two"},
		{"probes of two places that differ", func(p *Plan) {
			p.Sensors = append(p.Sensors, Sensor{ID: "second", Kind: TemperatureKind, Place: new(InDisplay)},
				Sensor{ID: "third", Kind: TemperatureKind, Place: new(InSump)})
			p.Sump = &Sump{LengthMM: 700, WidthMM: 400, HeightMM: 400, WaterLevelMM: 220, WallMM: 10, Material: "glass",
				Lid: "open"}
			p.Alarms = []Alarm{{ID: "apart", When: Differ, Sensors: []string{"second", "third"}, DifferK: new(1.0)}}
		}, []string{"alarms[0].sensors[1]", "alarms[0].sensors[0]"}, "plan_differ_in_one_place"},
		{"a box that holds a heater", func(p *Plan) { p.Boxes = []Box{{ID: "box", Holds: []string{"heater"}}} },
			[]string{"boxes[0].holds[0]"}, "wanted:held"},
		{"two boxes that hold one control", func(p *Plan) {
			holds := []string{p.Controls[0].ID}
			p.Boxes = []Box{{ID: "box", Holds: holds}, {ID: "box-2", Holds: holds}}
		}, []string{"boxes[1].holds[0]", "boxes[0].holds"}, "plan_held_twice"},
		{"a sensor of a box that others read", func(p *Plan) { p.Boxes = []Box{{ID: "box", Holds: []string{"probe"}}} },
			[]string{"controls[0].sensor", "boxes[0].holds"}, "plan_sensor_of_other_box"},
		{"an alarm that watches nothing", func(p *Plan) {
			p.Alarms = []Alarm{{ID: "on", When: RunsLong, RunsMin: new(30.0)}}
		}, []string{"alarms[0].watches", "alarms[0].when"}, "plan_running_needs_watches"},
		{"an alarm that watches a sensor", func(p *Plan) {
			p.Alarms = []Alarm{{ID: "on", Watches: "probe", When: RunsLong, RunsMin: new(30.0)}}
		}, []string{"alarms[0].watches"}, "wanted:device_or_control"},
		{"an alarm on running that says too little", func(p *Plan) {
			p.Alarms = []Alarm{{ID: "on", Watches: "heater", When: StartsOften, WithinH: new(3.0)}}
		}, []string{"alarms[0].starts", "alarms[0].when"}, "plan_running_members"},
		{"an alarm that reads and watches", func(p *Plan) {
			p.Alarms = []Alarm{{ID: "on", Watches: "heater", Sensor: "probe", When: StandsStill, WithinH: new(3.0)}}
		}, []string{"alarms[0].watches", "alarms[0].sensor"}, "plan_watches_or_sensor"},
		{"controls in a circle", func(p *Plan) {
			p.Controls = append(p.Controls, Control{
				ID: "cut-2", Kind: Supervisor, Sensor: new("probe"), When: new(Above), ThresholdC: new(29.0),
				Outputs: []string{"cut"},
			})
			p.Controls[2].Outputs = []string{"cut-2"}
		}, []string{"controls[2].outputs", "controls[3].outputs"}, "plan_controls_in_a_circle"},
		{"alarm on an unknown sensor", func(p *Plan) { p.Alarms[0].Sensor = "nothing" },
			[]string{"alarms[0].sensor"}, "wanted:sensor"},
		{"proof test of nothing", func(p *Plan) { p.ProofTests = []ProofTest{{Element: "xyz", EveryDays: 30}} },
			[]string{"proof_tests[0].element"}, "wanted:element"},
		{"limits out of order", func(p *Plan) { p.Limits.ComfortLowC = new(28.0) },
			[]string{"limits.comfort_low_c", "limits.comfort_high_c"}, "plan_temperature_limits_not_rising"},
		{"tank outside its own limits", func(p *Plan) { p.SalinityPSU = 29 },
			[]string{"salinity_psu", "limits.harm_low_psu", "limits.harm_high_psu"}, "plan_salinity_beyond_harm"},
		{"oxygen limits crossed", func(p *Plan) { p.Limits.HarmOxygenMgL = new(6.0) },
			[]string{"limits.harm_oxygen_mg_l", "limits.comfort_oxygen_mg_l"}, "plan_oxygen_limits_not_rising"},
		{"light limits crossed", func(p *Plan) { p.Limits.HarmLitH = new(10.0) },
			[]string{"limits.comfort_dark_h", "limits.harm_lit_h"}, "plan_lit_harm_before_comfort"},
		{"setpoint outside its own limits", func(p *Plan) { p.Controls[0].SetpointC = new(31.0) },
			[]string{"controls[0].setpoint_c", "limits.harm_low_c", "limits.harm_high_c"}, "plan_setpoint_beyond_harm"},
		{"float above the rim", func(p *Plan) { p.Sensors[1].HeightMM = new(200.0) },
			[]string{"sensors[1].height_mm", "sump.height_mm"}, "plan_level_sensor_outside"},
		{"float in a display with a weir", func(p *Plan) { p.Sensors[1].Place = new(InDisplay) },
			[]string{"sensors[1].height_mm", "sensors[1].place"}, "plan_level_sensor_in_display"},
		{"heater below the floor", func(p *Plan) {
			*p = first()
			p.Display.IntakeDropMM = 1000
		}, []string{"display.intake_drop_mm", "display.water_depth_mm"}, "plan_heater_below_floor"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p := withSump()
			c.spoil(&p)
			_, _, err := Complete(p)
			require.Error(t, err)
			found := conflicts(t, err)
			ok := slices.ContainsFunc(found, func(f *calc.ConflictError) bool {
				return slices.Equal(f.Params, c.params) && strings.Contains(f.Reason.String(), c.reason)
			})
			assert.True(t, ok, "want %v (%s) among:\n%v", c.params, c.reason, err)
		})
	}
}

func conflicts(t *testing.T, err error) []*calc.ConflictError {
	t.Helper()
	joined, ok := err.(interface{ Unwrap() []error })
	require.True(t, ok, "errors come joined")
	var list []*calc.ConflictError
	for _, e := range joined.Unwrap() {
		var c *calc.ConflictError
		require.True(t, errors.As(e, &c), "%v", e)
		list = append(list, c)
	}
	return list
}

func TestAllConflictsAtOnce(t *testing.T) {
	p := withSump()
	p.Controls[0].Sensor, p.TopOffPumps[0].Reservoir, p.Sump.ReturnIntakeMM = nil, "gone", new(300.0)
	_, _, err := Complete(p)
	assert.Len(t, conflicts(t, err), 3)
}

func TestCorners(t *testing.T) {
	cases := []struct {
		name string
		s    Schedule
		want []light.Point
	}{
		{"ramps", Schedule{OnAt: new(ClockTime("10:00")), OffAt: new(ClockTime("20:00")), RampMin: 60},
			[]light.Point{{Hour: 10}, {Hour: 11, Level: 100}, {Hour: 19, Level: 100}, {Hour: 20}}},
		{"steps", Schedule{OnAt: new(ClockTime("10:00")), OffAt: new(ClockTime("20:00"))},
			[]light.Point{{Hour: 10}, {Hour: 10, Level: 100}, {Hour: 20, Level: 100}, {Hour: 20}}},
		{"across midnight", Schedule{OnAt: new(ClockTime("18:00")), OffAt: new(ClockTime("02:00")), RampMin: 60},
			[]light.Point{{Hour: 1, Level: 100}, {Hour: 2}, {Hour: 18}, {Hour: 19, Level: 100}}},
		{"off at midnight", Schedule{OnAt: new(ClockTime("14:00")), OffAt: new(ClockTime("00:00")), RampMin: 30},
			[]light.Point{{Hour: 0}, {Hour: 14}, {Hour: 14.5, Level: 100}, {Hour: 23.5, Level: 100}}},
		{"points", Schedule{Points: []Point{{At: "08:00", Percent: 5}, {At: "09:00", Percent: 50}}},
			[]light.Point{{Hour: 8, Level: 5}, {Hour: 9, Level: 50}}},
	}
	for _, c := range cases {
		assert.Equal(t, c.want, c.s.Corners(), c.name)
	}
}
