package plan

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
	"saltwright/internal/calc/carbonate"
)

// dosed is a plan with everything that doses, changes water or lets gas in.
func dosed() Plan {
	p := withSump()
	p.Chemistry = &Chemistry{AlkalinityDKH: 8, CalciumMgL: 420, PH: 8.05}
	p.DosingPumps = []DosingPump{{ID: "doser", FlowMLMin: 2, Doses: &Doses{ADay: 6, RunS: 120, FirstAt: "00:30"},
		Container: Container{VolumeL: 1, AlkalinityMeqL: 900, Form: BicarbonateForm}}}
	p.ChangePumps = []ChangePump{
		{ID: "drain", Role: Drain, FlowLH: 12, Doses: &Doses{ADay: 2, RunS: 600, FirstAt: "03:00"}},
		{ID: "new-water", Role: NewWater, FlowLH: 12, Doses: &Doses{ADay: 2, RunS: 600, FirstAt: "03:15"},
			Container: &FreshSeaWater{VolumeL: 22}},
	}
	p.CarbonDioxide = []CarbonDioxide{{ID: "gas", FlowGH: 1, BottleG: 500, Into: IntoReactor, DissolvesShare: 0.7,
		Doses: &Doses{ADay: 12, RunS: 600, FirstAt: "00:00"}}}
	return p
}

// timer drives something from an hour to another.
func timer(id, output string, from, to ClockTime) Control {
	return Control{ID: id, Kind: Timer, Outputs: []string{output}, Schedule: &Schedule{OnAt: &from, OffAt: &to}}
}

func probes(p *Plan) {
	p.Sensors = append(
		p.Sensors,
		Sensor{ID: "second", Kind: TemperatureKind},
		Sensor{ID: "third", Kind: TemperatureKind},
		Sensor{ID: "float-2", Kind: LevelKind},
		Sensor{ID: "float-3", Kind: LevelKind},
	)
}

// What a keeper may build is not refused: each stands just inside of what a conflict begins at.
func TestWhatMayBeBuilt(t *testing.T) {
	for name, change := range map[string]func(*Plan){
		"lengths a twentieth apart from the volume": func(p *Plan) {
			p.Display.VolumeL = new(237.5)
			p.Display.LengthMM, p.Display.WidthMM, p.Display.WaterDepthMM = new(1000.0), new(500.0), new(500.0)
		},
		"a sump that is all return chamber": func(p *Plan) { p.Sump.ReturnChamberMM = new(600.0) },
		"a baffle at the rim":               func(p *Plan) { p.Sump.BaffleMM = new(400.0) },
		"a baffle at the level":             func(p *Plan) { p.Sump.BaffleMM = new(220.0) },
		"a room that is never colder":       func(p *Plan) { p.Room.Coldest = &RoomState{TempC: 21, RHPercent: 50} },
		"a room that is never warmer":       func(p *Plan) { p.Room.Warmest = &RoomState{TempC: 21, RHPercent: 50} },
		"a year of two seasons": func(p *Plan) {
			p.Room.ColdestShare, p.Room.WarmestShare = new(0.5), new(0.5)
		},
		"the season of one end only": func(p *Plan) { p.Room.ColdestShare = new(0.9) },
		"a demand of oxygen":         func(p *Plan) { p.Oxygen.DemandMgLH = new(0.2) },
		"a mass of fish":             func(p *Plan) { p.Oxygen.FishG = new(200.0) },
		"a programme of points": func(p *Plan) {
			p.Lights[0].Schedule = &Schedule{Points: []Point{{At: "08:00"}, {At: "20:00"}}}
		},
		"return lines over a sump": func(p *Plan) {
			p.ReturnLines = []ReturnLine{{ID: "line", NozzleDepthMM: 20}}
		},
		"overflows over a sump": func(p *Plan) { p.Overflows = []Overflow{{ID: "weir"}} },
		"a hose that leaks over a sump": func(p *Plan) {
			p.Leaks = []Leak{{ID: "hose", Kind: HoseLeak, FlowLH: 10}}
		},
		"a pump as fast as its pipe": func(p *Plan) { p.TopOffPumps[0].PipeLimitLH = new(60.0) },
		"a contactor that heating drives": func(p *Plan) {
			p.Controls[0].Outputs = []string{"k"}
			p.Contactors = []Contactor{{ID: "k", Outputs: []string{"heater"}}}
		},
		"a sensor of light over a lamp": func(p *Plan) {
			p.Sensors = append(p.Sensors, Sensor{ID: "eye", Kind: LightKind})
		},
		"somebody who answers by day": func(p *Plan) {
			p.Persons = []Person{{ID: "a", AnswersFrom: new(ClockTime("08:00")), AnswersUntil: new(ClockTime("20:00"))}}
		},
		"somebody who always answers": func(p *Plan) { p.Persons = []Person{{ID: "a"}} },
		"two probes that are compared": func(p *Plan) {
			probes(p)
			p.Alarms = []Alarm{{ID: "a", When: Differ, Sensors: []string{"probe", "second"}, DifferK: new(1.0),
				Path: NetworkPath}}
		},
		"two floats that are compared": func(p *Plan) {
			probes(p)
			p.Alarms = []Alarm{{ID: "a", When: Differ, Sensors: []string{"float", "float-2"}, Path: NetworkPath}}
		},
		"an alarm on the lowest of two probes": func(p *Plan) {
			probes(p)
			p.Alarms = []Alarm{{ID: "a", When: Below, Sensors: []string{"probe", "second"}, Rule: Lowest,
				ThresholdC: new(24.0), Path: NetworkPath}}
		},
		"heating by the middle of three probes": func(p *Plan) {
			probes(p)
			p.Controls[0].Sensor = nil
			p.Controls[0].Sensors, p.Controls[0].Rule = []string{"probe", "second", "third"}, Middle
		},
		"a box and what it holds on one circuit": func(p *Plan) {
			p.Power.Circuits = []Circuit{{ID: "a"}, {ID: "b"}}
			p.Controls[0].Circuit, p.Alarms[0].Circuit = new("b"), new("b")
			p.Boxes = []Box{{ID: "box", Circuit: new("b"), Holds: []string{"heat", "cut", "warm", "probe"}}}
		},
		"a room that a heater can overheat": func(p *Plan) {
			p.RoomDevices = []RoomDevice{{ID: "radiator", Kind: RoomHeating, WithoutC: 15, StuckOnC: new(30.0)}}
		},
		"a probe in the room that a guard reads": func(p *Plan) {
			p.Sensors = append(p.Sensors, Sensor{ID: "room-probe", Kind: TemperatureKind, Place: new(InRoom)})
			p.Controls[2].Sensor = new("room-probe")
		},
		"a driven heater's own dial turned to the end": func(p *Plan) { p.Heaters[0].ThermostatC = new(34.0) },
		"a driven heater's own dial at the limit":      func(p *Plan) { p.Heaters[0].ThermostatC = new(29.5) },
		"everything dosed":                             func(p *Plan) { *p = dosed() },
		"a reactor on a timer, its demand known": func(p *Plan) {
			*p = dosed()
			p.CarbonDioxide[0].Doses, p.Chemistry.DemandDKHD = nil, new(1.0)
			p.Controls = append(p.Controls, timer("gas-timer", "gas", "10:00", "12:00"))
		},
		"lime water, which brings both": func(p *Plan) {
			*p = dosed()
			p.DosingPumps[0].Container = Container{VolumeL: 1, AlkalinityMeqL: 40, CalciumMgL: 800, Form: HydroxideForm}
		},
		"a drain that says where it draws": func(p *Plan) { *p = dosed(); p.ChangePumps[0].InletMM = new(-12.0) },
	} {
		p := withSump()
		change(&p)
		_, _, err := Complete(p)
		assert.NoError(t, err, name)
	}
}

// What cannot be built as it is written is refused, by the members that are at odds.
func TestMoreConflicts(t *testing.T) {
	for _, c := range []struct {
		name   string
		spoil  func(*Plan)
		params string
		reason string
	}{
		{"lengths further apart", func(p *Plan) {
			p.Display.VolumeL = new(237.0)
			p.Display.LengthMM, p.Display.WidthMM, p.Display.WaterDepthMM = new(1000.0), new(500.0), new(500.0)
		}, "display.volume_l", "plan_volume_and_lengths_differ"},
		{"baffle above the rim", func(p *Plan) { p.Sump.BaffleMM = new(401.0) }, "sump.baffle_mm",
			"plan_baffle_out_of_place"},
		{"seasons longer than a year", func(p *Plan) {
			p.Room.ColdestShare, p.Room.WarmestShare = new(0.6), new(0.5)
		},
			"room.coldest_share", "plan_seasons_fill_more_than_a_year"},
		{"two ways to say the demand", func(p *Plan) { p.Oxygen.DemandMgLH, p.Oxygen.FishG = new(0.2), new(200.0) },
			"oxygen.demand_mg_l_h", "plan_demand_or_fish"},
		{"points and an end", func(p *Plan) {
			p.Lights[0].Schedule = &Schedule{Points: []Point{{At: "08:00"}}, OffAt: new(ClockTime("20:00"))}
		}, "lights[0].schedule.points", "plan_points_or_times"},
		{"return lines without a sump", func(p *Plan) { *p = first(); p.ReturnLines = []ReturnLine{{ID: "line"}} },
			"return_lines", "plan_overflow_needs_sump"},
		{"overflows without a sump", func(p *Plan) { *p = first(); p.Overflows = []Overflow{{ID: "weir"}} },
			"overflows", "plan_overflow_needs_sump"},
		{"a hose without a sump", func(p *Plan) { *p = first(); p.Leaks = []Leak{{ID: "hose", Kind: HoseLeak}} },
			"leaks[0].kind", "plan_overflow_needs_sump"},
		{"a contactor that only a guard names", func(p *Plan) {
			p.Contactors = []Contactor{{ID: "k", Outputs: []string{"heater"}}}
			p.Controls[2].Outputs = []string{"k"}
		}, "contactors[0].id", "plan_contactor_undriven"},
		{"a sensor of light without a lamp", func(p *Plan) {
			p.Lights = nil
			p.Sensors = append(p.Sensors, Sensor{ID: "eye", Kind: LightKind})
		}, "sensors[6].kind", "plan_light_sensor_needs_lamp"},
		{"hours that begin and do not end", func(p *Plan) {
			p.Persons = []Person{{ID: "a", AnswersFrom: new(ClockTime("08:00"))}}
		}, "persons[0].answers_from", "plan_answers_from_and_until"},
		{"hours that end and do not begin", func(p *Plan) {
			p.Persons = []Person{{ID: "a", AnswersUntil: new(ClockTime("08:00"))}}
		}, "persons[0].answers_from", "plan_answers_from_and_until"},
		{"hours that are none", func(p *Plan) {
			p.Persons = []Person{{ID: "a", AnswersFrom: new(ClockTime("08:00")), AnswersUntil: new(ClockTime("08:00"))}}
		}, "persons[0].answers_from", "plan_answers_at_no_hour"},
		{"probes compared by nothing", func(p *Plan) {
			probes(p)
			p.Alarms = []Alarm{{ID: "a", When: Differ, Sensors: []string{"probe", "second"}}}
		}, "alarms[0].differ_k", "plan_difference_with_temperatures"},
		{"floats compared by kelvins", func(p *Plan) {
			probes(p)
			p.Alarms = []Alarm{{ID: "a", When: Differ, Sensors: []string{"float", "float-2"}, DifferK: new(1.0)}}
		}, "alarms[0].differ_k", "plan_difference_with_temperatures"},
		{"the lowest of floats", func(p *Plan) {
			probes(p)
			p.Alarms = []Alarm{{ID: "a", When: Dry, Sensors: []string{"float", "float-2"}, Rule: Lowest}}
		}, "alarms[0].rule", "plan_lowest_of_temperatures"},
		{"the highest of floats", func(p *Plan) {
			probes(p)
			p.Alarms = []Alarm{{ID: "a", When: Dry, Sensors: []string{"float", "float-2"}, Rule: Highest}}
		}, "alarms[0].rule", "plan_lowest_of_temperatures"},
		{"several floats that are too warm", func(p *Plan) {
			probes(p)
			p.Alarms = []Alarm{{ID: "a", When: Above, ThresholdC: new(28.0), Rule: Middle,
				Sensors: []string{"float", "float-2", "float-3"}}}
		}, "alarms[0].when", "plan_sensor_cannot_report"},
		{"a control on another circuit than its box", func(p *Plan) {
			p.Power.Circuits = []Circuit{{ID: "a"}, {ID: "b"}}
			p.Controls[0].Circuit = new("a")
			p.Boxes = []Box{{ID: "box", Circuit: new("b"), Holds: []string{"heat"}}}
		}, "controls[0].circuit", "plan_box_feeds"},
		{"a control with a circuit in a box with none", func(p *Plan) {
			p.Power.Circuits = []Circuit{{ID: "a"}, {ID: "b"}}
			p.Controls[0].Circuit = new("a")
			p.Boxes = []Box{{ID: "box", Holds: []string{"heat"}}}
		}, "controls[0].circuit", "plan_box_feeds"},
		{"a control of one box that reads another's probe", func(p *Plan) {
			p.Boxes = []Box{{ID: "box", Holds: []string{"heat"}},
				{ID: "box-2", Holds: []string{"probe", "cut", "warm"}}}
		}, "controls[0].sensor", "plan_sensor_of_other_box"},
		{"an alarm outside that reads a box's probe", func(p *Plan) {
			p.Boxes = []Box{{ID: "box", Holds: []string{"heat", "cut", "probe"}}}
		}, "alarms[0].sensor", "plan_sensor_of_other_box"},
		{"a room heater that sticks and cools", func(p *Plan) {
			p.RoomDevices = []RoomDevice{{ID: "radiator", Kind: RoomHeating, WithoutC: 15, StuckOnC: new(18.0)}}
		}, "room_devices[0].stuck_on_c", "plan_room_stuck_wrong_way"},
		{"a room heater that sticks and changes nothing", func(p *Plan) {
			p.RoomDevices = []RoomDevice{{ID: "radiator", Kind: RoomHeating, WithoutC: 15, StuckOnC: new(21.0)}}
		}, "room_devices[0].stuck_on_c", "plan_room_stuck_wrong_way"},
		{"heating by a probe in the room", func(p *Plan) {
			p.Sensors = append(p.Sensors, Sensor{ID: "room-probe", Kind: TemperatureKind, Place: new(InRoom)})
			p.Controls[0].Sensor = new("room-probe")
		}, "controls[0].sensor", "plan_control_reads_the_room"},
		{"a heater's own dial at the limit of harm", func(p *Plan) {
			*p = first()
			p.Heaters[0].ThermostatC = new(29.5)
		}, "heaters[0].thermostat_c", "plan_setpoint_beyond_harm"},
		{"a driven heater's own dial that keeps it cold", func(p *Plan) { p.Heaters[0].ThermostatC = new(20.0) },
			"heaters[0].thermostat_c", "plan_setpoint_beyond_harm"},
		{"new water out of nothing", func(p *Plan) { *p = dosed(); p.ChangePumps[1].Container = nil },
			"change_pumps[1].container", "plan_new_water_needs_container"},
		{"new water that draws in the tank", func(p *Plan) { *p = dosed(); p.ChangePumps[1].InletMM = new(-10.0) },
			"change_pumps[1].inlet_mm", "plan_inlet_of_drain"},
		{"a drain with a container", func(p *Plan) {
			*p = dosed()
			p.ChangePumps[0].Container = &FreshSeaWater{VolumeL: 5}
		},
			"change_pumps[0].container", "plan_drain_has_no_container"},
		{"a drain above the water", func(p *Plan) { *p = dosed(); p.ChangePumps[0].InletMM = new(0.0) },
			"change_pumps[0].inlet_mm", "plan_inlet_above_water"},
		{"a reactor that a timer runs for nobody knows what", func(p *Plan) {
			*p = dosed()
			p.CarbonDioxide[0].Doses = nil
			p.Controls = append(p.Controls, timer("gas-timer", "gas", "10:00", "12:00"))
		}, "chemistry.daily_demand_dkh", "plan_reactor_needs_demand"},
		{"a doser that nothing runs", func(p *Plan) { *p = dosed(); p.DosingPumps[0].Doses = nil },
			"dosing_pumps[0].doses", "plan_nothing_runs_it"},
		{"doses that fill the day", func(p *Plan) { *p = dosed(); p.DosingPumps[0].Doses.RunS = 14400 },
			"dosing_pumps[0].doses.run_s", "plan_doses_fill_the_day"},
		{"a solution of both", func(p *Plan) { *p = dosed(); p.DosingPumps[0].Container.CalciumMgL = 1 },
			"dosing_pumps[0].container.calcium_mg_l", "plan_container_of_both"},
		{"a solution of nothing", func(p *Plan) { *p = dosed(); p.DosingPumps[0].Container.AlkalinityMeqL = 0 },
			"dosing_pumps[0].container.alkalinity_meq_l", "plan_container_brings_nothing"},
		{"limits of alkalinity crossed", func(p *Plan) {
			*p = dosed()
			p.Limits.HarmLowDKH, p.Limits.ComfortLowDKH = new(6.5), new(6.5)
		}, "limits.harm_low_dkh limits.comfort_low_dkh", "plan_chemical_limits_not_rising"},
		{"limits of pH crossed", func(p *Plan) { *p = dosed(); p.Limits.ComfortLowPH = new(8.8) },
			"limits.comfort_low_ph limits.comfort_high_ph", "plan_chemical_limits_not_rising"},
		{"water kept at the limit of harm", func(p *Plan) {
			*p = dosed()
			p.Limits.HarmHighDKH, p.Chemistry.AlkalinityDKH = new(12.0), 12
		},
			"chemistry.alkalinity_dkh", "plan_water_beyond_harm"},
	} {
		p := withSump()
		c.spoil(&p)
		_, _, err := Complete(p)
		require.Error(t, err, c.name)
		found := slices.ContainsFunc(conflicts(t, err), func(f *calc.ConflictError) bool {
			return strings.HasPrefix(strings.Join(f.Params, " "), c.params) &&
				strings.Contains(f.Reason.String(), c.reason)
		})
		assert.True(t, found, "%s: want %s (%s) among:\n%v", c.name, c.params, c.reason, err)
	}
}

// A canister of 25 L is a cube of 292.4 mm, 0.0855 m2. Its water stands 100 mm below the end of its line.
func TestWhereAReservoirStands(t *testing.T) {
	p, _, err := Complete(first())
	require.NoError(t, err)
	r := p.Reservoirs[0]
	assert.InDelta(t, 292.4, *r.LengthMM, 0.05)
	assert.InDelta(t, 0.0855, r.AreaM2(), 5e-5)
	assert.InDelta(t, 1000*25.0/(292.4*292.4/1000), r.FullMM()-*r.BottomAboveWaterMM, 0.1)
	assert.InDelta(t, *r.LineEndAboveWaterMM-100, r.FullMM(), 1e-9)
}

func TestHowLowPumpsDrawTheWater(t *testing.T) {
	p, _, err := Complete(withSump())
	require.NoError(t, err)
	assert.InDelta(t, 110-220, p.LowestMM(InSump), 1e-9)
	assert.InDelta(t, -15, p.LowestMM(InDisplay), 1e-9)
	p.ReturnLines = []ReturnLine{
		{NozzleDepthMM: 60},
		{NozzleDepthMM: 80, SiphonHole: true},
		{NozzleDepthMM: 90, CheckValve: true},
	}
	assert.InDelta(t, -60, p.LowestMM(InDisplay), 1e-9, "only the first line sucks it down")
	p, _, err = Complete(first())
	require.NoError(t, err)
	assert.InDelta(t, -50, p.LowestMM(InDisplay), 1e-9)
}

func TestOtherRooms(t *testing.T) {
	cold, warm := OtherRoomsC(23)
	assert.Equal(t, []float64{19, 29}, []float64{cold, warm})
	_, warm = OtherRoomsC(20)
	assert.InDelta(t, 28, warm, 1e-12, "a hot spell reaches 28 degC")
}

// A battery of 500 Wh carries 300 W for 100 minutes; with nothing to carry it lasts as long as hours are counted.
func TestABatteryLastsByItsLoad(t *testing.T) {
	p := withSump()
	p.Power.Circuits = []Circuit{{ID: "a"}, {ID: "b"}}
	p.Heaters[0].Circuit = new("b")
	for _, x := range []struct{ supplies, hours float64 }{{1, 500.0 / 300}, {0, longestH}} {
		p.Power.Strips = []Strip{{ID: "idle", Supply: "b"}}
		supplies := map[float64]string{1: "b", 0: "idle"}[x.supplies]
		p.Power.Backups = []Backup{{ID: "battery", Kind: Battery, Supplies: []string{supplies}, CapacityWh: new(500.0),
			Starts: ByItself}}
		full, _, err := Complete(p)
		require.NoError(t, err)
		assert.InDelta(t, x.hours, *full.Power.Backups[0].Hours, 1e-9, supplies)
	}
}

func TestRoutersReplaceTheNetworksCircuit(t *testing.T) {
	p, _, err := Complete(first())
	require.NoError(t, err)
	require.NotNil(t, p.Power.NetworkCircuit)
	assert.Equal(t, "house-circuit", *p.Power.NetworkCircuit)
	assert.Nil(t, p.Chemistry, "nothing is dosed, so nothing dissolved is followed")
	with := first()
	with.Routers = []Router{{ID: "router"}}
	p, _, err = Complete(with)
	require.NoError(t, err)
	assert.Nil(t, p.Power.NetworkCircuit)
	assert.Equal(t, "house-circuit", *p.Routers[0].Circuit)
}

func TestAnotherCircuit(t *testing.T) {
	p := wired()
	p.Power.Circuits = slices.Insert(p.Power.Circuits, 1, Circuit{ID: "garden", ResidualCurrentDevice: new("guard")})
	assert.Equal(t, "dry", p.Power.OtherCircuit("far"), "the garden opens with the same device")
	p.Power.Circuits[1].ResidualCurrentDevice = new("other")
	assert.Equal(t, "garden", p.Power.OtherCircuit("far"))
	p.Power.Circuits = p.Power.Circuits[:1]
	assert.Empty(t, p.Power.OtherCircuit("far"))
}

func TestWhoHeatsTheRoom(t *testing.T) {
	assert.False(t, Plan{}.HeatsRoom())
	assert.False(t, Plan{RoomDevices: []RoomDevice{{Kind: RoomCooling}}}.HeatsRoom())
	assert.True(t, Plan{RoomDevices: []RoomDevice{{Kind: RoomCooling}, {Kind: RoomHeating}}}.HeatsRoom())
}

func TestWhoIsCountedOn(t *testing.T) {
	assert.True(t, Person{AnsweredShare: new(0.0)}.CountedOn(), "whom the plan does not name")
	assert.True(t, Person{ID: "a"}.CountedOn())
	assert.True(t, Person{ID: "a", AnsweredShare: new(0.5)}.CountedOn())
	assert.False(t, Person{ID: "a", AnsweredShare: new(0.0)}.CountedOn())
	p := Plan{Attendance: Attendance{ResponseH: new(4.0)}, Modems: []Modem{{ID: "modem"}}}
	assert.Equal(t, []Person{{ReachedBy: []string{"network", "cellular", "modem"}, ActsWithinH: new(4.0)}}, p.People())
	p.Persons = []Person{{ID: "a"}}
	assert.Equal(t, p.Persons, p.People())
}

// Four hours beyond the response, at a mean delay of four hours, 1 - 1/e of those who answer have acted.
func TestSomebodyAnswersLate(t *testing.T) {
	x := who("a", 0.8)
	x.AnswerDelayH = new(4.0)
	c := Chances{People: []Person{x, who("b", 1)}}
	assert.InDelta(t, 0.8*(1-1/math.E), c.AnsweredWithin(2+1+4, []Call{{AtH: 2}}), 1e-12)
	calls := []Call{{Person: 0, AtH: 2}, {Person: 1, AtH: 1.5}}
	assert.InDelta(t, 2.5, *c.SoonestH(calls), 1e-12)
	slices.Reverse(calls)
	assert.InDelta(t, 2.5, *c.SoonestH(calls), 1e-12)
	assert.Nil(t, c.SoonestH(nil))
}

func TestChancesSayWhatTheyAssume(t *testing.T) {
	p, _, err := Complete(first())
	require.NoError(t, err)
	assumed := func(p Plan) map[string]any {
		_, list := ChancesOf(p)
		out := map[string]any{}
		for _, a := range list {
			out[a.Param] = a.Value
		}
		return out
	}
	got := assumed(p)
	assert.Contains(t, got, "attendance.answered_share")
	assert.Contains(t, got, "attendance.answer_delay_h")
	assert.InDelta(t, seasonShare, got["room.coldest_share"], 1e-12)
	p.Room.WarmestShare = new(0.95)
	assert.InDelta(t, 0.05, assumed(p)["room.coldest_share"], 1e-12, "what is left of the year")
	p.Persons = []Person{{ID: "a", AnsweredShare: new(0.7), AnswerDelayH: new(1.0)}}
	got = assumed(p)
	assert.NotContains(t, got, "attendance.answered_share")
	assert.NotContains(t, got, "attendance.answer_delay_h")
	p.Persons = append(p.Persons, Person{ID: "b"})
	assert.Contains(t, assumed(p), "attendance.answered_share")
}

// By hand: the doser brings 6 x 120 s x 2 mL/min = 24 mL of 900 meq/L = 21.6 meq a day. The reactor has 2 h of 1 g/h:
// 2 g / 44.0095 g/mol x 0.7 = 31.81 mmol of carbonate, 63.62 meq and, of 40.078 g/mol, 1274.9 mg of calcium.
// 1 meq/L is 2.8 dKH. Where nothing else is said the livestock takes up what is given.
func TestWhatADayBrings(t *testing.T) {
	p, _, err := Complete(dosed())
	require.NoError(t, err)
	litres := p.WaterL()
	assert.InDelta(t, p.Display.WaterL()+p.Sump.WaterL(), litres, 1e-9)
	got := p.Given()
	assert.InEpsilon(t, (21.6+63.62)/litres*2.8, got.DKHD, 2e-3)
	assert.InEpsilon(t, 1274.9/litres, got.MgLD, 1e-4)
	assert.InDelta(t, got.DKHD, *p.Chemistry.DemandDKHD, 1e-12)
	assert.InDelta(t, got.MgLD, *p.Chemistry.DemandMgLD, 1e-12)
	assert.InDelta(t, -220, *p.ChangePumps[0].InletMM, 1e-9, "from the sump's floor")
	assert.Nil(t, p.ChangePumps[1].InletMM)
	assert.Equal(t, 35.0, *p.ChangePumps[1].Container.SalinityPSU)

	p = dosed()
	p.CarbonDioxide[0].Into = IntoTank
	p.DosingPumps[0].Container = Container{VolumeL: 1, CalciumMgL: 18036}
	p, _, err = Complete(p)
	require.NoError(t, err)
	assert.Zero(t, p.Given().DKHD, "gas in the tank dissolves nothing")
	assert.InEpsilon(t, 0.024*18036/litres, p.Given().MgLD, 1e-9)

	p = first()
	p.ChangePumps = dosed().ChangePumps
	p, _, err = Complete(p)
	require.NoError(t, err)
	assert.InDelta(t, -*p.Display.WaterDepthMM, *p.ChangePumps[0].InletMM, 1e-9, "from the display's floor")
}

// Two pumps share what evaporates; the canister of one of them holds lime water.
func TestLimeWaterBringsWhatEvaporates(t *testing.T) {
	p := first()
	p.TopOffPumps = append(p.TopOffPumps, TopOffPump{ID: "pump-2", FlowLH: 60, Reservoir: "canister-2"})
	p.Reservoirs = append(p.Reservoirs, p.Reservoirs[0])
	p.Reservoirs[1].ID, p.Reservoirs[1].LimeShare = "canister-2", new(1.0)
	p, _, err := Complete(p)
	require.NoError(t, err)
	require.NotNil(t, p.Chemistry, "lime water is followed")
	evaporates := p.EvaporationLD()
	assert.Greater(t, evaporates, 1.0, "an open tank of 0.5 m2")
	assert.Less(t, evaporates, 10.0)
	meqL, mgL := carbonate.LimeContent(21, 1)
	assert.InEpsilon(t, evaporates/2*meqL/p.WaterL()*2.8, p.Given().DKHD, 2e-3)
	assert.InEpsilon(t, evaporates/2*mgL/p.WaterL(), p.Given().MgLD, 1e-9)
}

func TestHowLongAPumpRuns(t *testing.T) {
	p := Plan{}
	assert.InDelta(t, 86400, p.RunsS("x", nil), 1e-9)
	doses := &Doses{ADay: 24, RunS: 60}
	assert.InDelta(t, 1440, p.RunsS("x", doses), 1e-9)
	p.Controls = []Control{timer("t", "x", "23:00", "01:00"), timer("u", "y", "10:00", "10:01")}
	assert.InDelta(t, 7200, p.RunsS("x", nil), 1e-9, "across midnight")
	assert.InDelta(t, 1440, p.RunsS("x", doses), 1e-9)
	p.Controls[0] = timer("t", "x", "10:00", "10:10")
	assert.InDelta(t, 600, p.RunsS("x", doses), 1e-9, "the shorter of both")
	p.Controls[0].Kind = Heating
	assert.InDelta(t, 86400, p.RunsS("x", nil), 1e-9, "only timers have hours")
}

// Whatever doses, changes or lets gas in makes the plan one whose dissolved matter is followed.
func TestWhatIsFollowed(t *testing.T) {
	for name, change := range map[string]func(*Plan){
		"a doser and a change": func(p *Plan) { p.CarbonDioxide = nil },
		"a doser and gas":      func(p *Plan) { p.ChangePumps = nil },
		"gas alone":            func(p *Plan) { p.DosingPumps, p.ChangePumps = nil, nil },
		"a probe of pH": func(p *Plan) {
			*p = withSump()
			p.Sensors = append(p.Sensors, Sensor{ID: "ph-probe", Kind: PHKind})
		},
	} {
		p := dosed()
		change(&p)
		p.Chemistry = nil
		p, _, err := Complete(p)
		require.NoError(t, err, name)
		assert.NotNil(t, p.Chemistry, name)
	}
}
