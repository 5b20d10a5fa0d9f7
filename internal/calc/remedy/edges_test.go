package remedy

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// What a plan does not have is not changed, and what is on the edge is left.
func TestWhatAPlanDoesNotHave(t *testing.T) {
	hot, cold, flooded, dark := []string{"overheated"}, []string{"chilled"}, []string{"flooded"}, []string{"no_dark"}
	noHeater := func(p *plan.Plan) { p.Heaters, p.Controls = nil, p.Controls[:1] }
	timed := func(p *plan.Plan) {
		sun := plan.NewControl("sun", plan.Timer, "lamp")
		sun.Schedule = day("06:00", "23:00", 0)
		p.Controls = append(p.Controls, sun)
	}
	contactor := func(cuts string) func(p *plan.Plan) {
		return func(p *plan.Plan) {
			p.Contactors = []plan.Contactor{{ID: "relay", Outputs: []string{"heater"}}}
			p.Controls[1].Outputs = []string{"relay"}
			addSupervisor(p, "cut", "probe", plan.Above, []string{"lamp", cuts}).ThresholdC = new(27.9)
		}
	}
	noSump := func(p *plan.Plan) { p.Sump = nil }
	room := func(circuits int, devices ...plan.RoomDevice) func(p *plan.Plan) {
		return func(p *plan.Plan) { p.RoomDevices, p.Power.Circuits = devices, p.Power.Circuits[:circuits] }
	}
	radiator := plan.RoomDevice{ID: "radiator", Kind: plan.RoomHeating, PowerW: 1000, WithoutC: 10, Circuit: new("one")}
	cooler := plan.RoomDevice{ID: "cooler", Kind: plan.RoomCooling, PowerW: 1000, WithoutC: 35, Circuit: new("one")}
	for _, c := range []sized{
		{"no heater to guard", hot, noHeater, nil, "guard", nil, nil},
		{"no heater to make smaller", hot, noHeater, nil, "smaller_heaters", nil, nil},
		{"no heater to watch", hot, noHeater, nil, "running_alarm", nil, nil},
		{"no heater to turn back", hot, noHeater, nil, "backstop", nil, nil},
		{"no sump to guard", []string{"sump_hot"}, noSump, nil, "sump_guard", nil, nil},
		{"no heater in the sump", []string{"sump_hot"}, noHeater, nil, "sump_guard", nil, nil},
		{"no sump to put a probe into", hot, noSump, nil, "probe_place", nil, nil},
		{"no sump to lower", flooded, noSump, nil, "lower_level", nil, nil},
		{"no overflow", flooded, nil, nil, "second_overflow", nil, nil},
		// 60 L have room, so that the level comes down to 205 mm, where the intake is
		{"an intake in the way", flooded, func(p *plan.Plan) { p.Sump.ReturnIntakeMM = new(205.0) },
			func(r *audit.Report) { r.Tank.FreeSumpL = 60 }, "lower_level", nil, nil},
		// 55.3 L / 1.1 on 0.5 m² are 100.5 mm, and 100 mm is what runs back
		{"as much as runs back", flooded, nil, func(r *audit.Report) { r.Tank.FreeSumpL = 55.3 }, "less_drain_back",
			nil,
			nil},
		{"no room for a litre", flooded, nil, func(r *audit.Report) { r.Tank.FreeSumpL = 1 }, "day_container", nil,
			nil},
		{"a leak stops the pump", flooded, nil, nil, "leak_sensor", []text.Params{nil}, func(t *testing.T,
			made []plan.Plan) {
			last := made[0].Controls[len(made[0].Controls)-1]
			assert.Equal(t, []string{"pump"}, last.Outputs)
			assert.Equal(t, plan.Supervisor, last.Kind)
		}},
		{"no pump to stop", flooded, func(p *plan.Plan) {
			p.TopOffPumps, p.Reservoirs, p.Controls = nil, nil, p.Controls[1:]
		}, nil, "leak_sensor", []text.Params{nil}, func(t *testing.T, made []plan.Plan) {
			assert.Len(t, made[0].Controls, 1)
			assert.Len(t, made[0].Alarms, 2)
		}},
		{"a reservoir whose water ends where its line does", flooded,
			func(p *plan.Plan) { p.Reservoirs[0].WaterAboveOutletMM = 0 }, nil, "siphon_break", nil, nil},
		// 0.2 L/h for each of 3 L a day; 1.1 · 3 L · 3 d = 9.9 L
		{"a top-off", []string{"run_dry"}, func(p *plan.Plan) {
			p.TopOffPumps, p.Reservoirs, p.Controls = nil, nil, p.Controls[1:]
		}, nil, "top_off", []text.Params{{"flow": 0.6, "volume": 10.0}}, nil},
		{"a top-off for a little", []string{"run_dry"}, func(p *plan.Plan) {
			p.TopOffPumps, p.Reservoirs, p.Controls = nil, nil, p.Controls[1:]
		}, func(r *audit.Report) { r.Nominal[0].EvaporationLD = 2.4 }, "top_off", []text.Params{{"flow": 0.5}}, nil},
		{"not a second top-off", []string{"run_dry"}, nil, nil, "top_off", nil, nil},
		// Always on, and no warmer than its room: what that takes nobody can tell from it; 1.25 · 60 W
		{"a heater that does not warm", hot, nil, func(r *audit.Report) {
			r.Nominal[0].Devices[0].DutyShare = 1
			r.Nominal[0].TempC, r.Nominal[0].Extremes.TempMinC = 21, 21
		}, "smaller_heaters", []text.Params{{"power": 75.0}, {"power": 100.0}}, nil},
		// The mark is 24.9 + 1.1 K, and 0.3 K above it are borne.
		{"a thermostat as far above as is borne", hot, func(p *plan.Plan) {
			p.Controls[1].SetpointC, p.Heaters[0].ThermostatC = new(24.9), new(26.3)
		}, nil, "backstop", nil, nil},
		{"a guard through the contactor that regulates", hot, contactor("relay"), nil, "guard_apart",
			[]text.Params{{"id": "cut", "contactor": "relay"}}, func(t *testing.T, made []plan.Plan) {
				assert.Equal(t, []string{"lamp", "heater"}, made[0].Controls[2].Outputs)
			}},
		{"a guard beside the contactor", hot, contactor("heater"), nil, "guard_apart", nil, nil},
		{"alarms outside of comfort", hot, nil, nil, "temperature_alarm", []text.Params{nil}, func(t *testing.T,
			made []plan.Plan) {
			assert.InDelta(t, 24.3, *made[0].Alarms[1].ThresholdC, 1e-9)
			assert.InDelta(t, 27.2, *made[0].Alarms[2].ThresholdC, 1e-9)
		}},
		{"a mark below the line", flooded, nil, nil, "low_water_alarm", []text.Params{{"mark": 15.0}},
			func(t *testing.T,
				made []plan.Plan) {
				assert.InDelta(t, -15, *made[0].Sensors[2].HeightMM, 0)
				assert.Equal(t, plan.Dry, made[0].Alarms[1].When)
			}},
		{"a mark above it", flooded, nil, nil, "high_water_alarm", []text.Params{{"mark": 15.0}}, func(t *testing.T,
			made []plan.Plan) {
			assert.InDelta(t, 15, *made[0].Sensors[2].HeightMM, 0)
			assert.Equal(t, plan.Wet, made[0].Alarms[1].When)
		}},
		{"an answer of the audit", hot, nil, func(r *audit.Report) {
			r.Findings = []audit.Finding{{Answer: &Change{Code: "ground_fault", Sentence: text.Of("a", nil)}}, {},
				{Answer: &Change{Code: "own", Sentence: text.Of("b", nil), Edit: func(*plan.Plan) {}}}}
		}, "own", []text.Params{nil}, nil},
		{"not what protects people", hot, nil, func(r *audit.Report) {
			r.Findings = []audit.Finding{{Answer: &Change{Code: "ground_fault", Sentence: text.Of("a", nil)}}}
		}, "ground_fault", nil, nil},
		{"a guard for cold is no guard for heat", hot, func(p *plan.Plan) {
			addSupervisor(p, "cut", "probe", plan.Below, []string{"heater"}).ThresholdC = new(28.2)
		}, nil, "guard_threshold", nil, nil},
		{"a guard by pH has no temperature", hot, func(p *plan.Plan) {
			addSensor(p, plan.NewSensor("ph", plan.PHKind))
			addSupervisor(p, "cut", "ph", plan.Above, []string{"heater"}).ThresholdPH = new(9.0)
		}, nil, "guard_threshold", nil, nil},
		{"an alarm without a temperature", hot, func(p *plan.Plan) {
			p.Alarms[0].Sensor, p.Alarms[0].When, p.Alarms[0].ThresholdC = "line", plan.Dry, nil
		}, nil, "alarm_threshold", nil, nil},
		{"one circuit for the room's spare, too", cold, room(1, radiator), nil, "spare_room_device",
			[]text.Params{{"id": "radiator"}}, func(t *testing.T, made []plan.Plan) {
				assert.Equal(t, "one", *made[0].RoomDevices[1].Circuit)
			}},
		{"each of two kinds has a spare", cold, room(2, cooler, radiator), nil, "spare_room_device",
			[]text.Params{{"id": "cooler"}, {"id": "radiator"}}, func(t *testing.T, made []plan.Plan) {
				assert.Equal(t, plan.RoomCooling, made[0].RoomDevices[2].Kind)
				assert.Equal(t, plan.RoomHeating, made[1].RoomDevices[2].Kind)
			}},
		{"a lamp without a programme gets one", dark, func(p *plan.Plan) { p.Lights[0].Schedule = nil; timed(p) }, nil,
			"lamp_schedule", []text.Params{{"id": "lamp"}}, nil},
		{"a guard is no timer", dark, func(p *plan.Plan) {
			addSupervisor(p, "cut", "probe", plan.Above, []string{"lamp"}).ThresholdC = new(29.0)
		}, nil, "second_timer", []text.Params{{"id": "lamp"}}, nil},
		{"a timer of the lamp is enough", dark, timed, nil, "second_timer", nil, nil},
		{"but not alone", dark, timed, nil, "timer_in_series", []text.Params{{"id": "lamp"}}, nil},
		{"a lamp without a timer has none before it", dark, nil, nil, "timer_in_series", nil, nil},
		{"no control of heat", hot, func(p *plan.Plan) {
			p.Controls, p.Heaters[0].ThermostatC = p.Controls[:1], new(25.5)
		}, nil, "control_in_series", nil, nil},
		{"an alarm by the network travels by no part of the plan", hot,
			func(p *plan.Plan) { p.Alarms[0].Path = plan.NetworkPath }, func(r *audit.Report) {
				r.Faults[0].NoHelp = []audit.NoHelp{{Why: audit.NetworkDown, Alarms: []string{"bell"}}}
			}, "second_modem", nil, nil},
		{"a router that hangs on no circuit", hot, func(p *plan.Plan) {
			p.Alarms[0].Path, p.Routers = plan.NetworkPath, []plan.Router{{ID: "router", Circuit: new("one")}}
		}, nil, "router_circuit", nil, nil},
	} {
		c.holds(t, equipped(sent()))
	}
}

// Lime water of half its strength, of which a quarter may come at once: 0.95 · 0.5 · 20/80 = 0.118, down to 0.11. The
// tank uses what it brings, so that 1 - 0.11/0.5 of that are missing.
func TestSizesOfWeakerLimeWater(t *testing.T) {
	strong := []string{"alkalinity_high"}
	lime := func(p *plan.Plan) { p.Reservoirs[0].LimeShare = new(0.5) }
	holds := func(largestL float64) func(r *audit.Report) {
		return func(r *audit.Report) {
			r.Containers = []audit.Container{{Element: "other", HoldsL: 8, LargestL: 1},
				{Element: "can", HoldsL: 80, LargestL: largestL, Limit: "alkalinity_high"}}
		}
	}
	p := equipped(sent())
	lime(&p)
	completed, _, err := plan.Complete(p)
	require.NoError(t, err)
	demand := *completed.Chemistry.DemandDKHD
	for _, c := range []sized{
		{"a quarter", strong, lime, holds(20), "weaker_lime", []text.Params{{"id": "can", "share": 0.11,
			"missing": 0.78 * demand, "demand": demand}}, func(t *testing.T, made []plan.Plan) {
			assert.InDelta(t, 0.11, *made[0].Reservoirs[0].LimeShare, 1e-12)
			assert.InDelta(t, demand, *made[0].Chemistry.DemandDKHD, 1e-12)
		}},
		{"hardly anything", strong, lime, holds(0.5), "weaker_lime", nil, nil},
		{"a hundredth", strong, lime, holds(1.7), "weaker_lime", []text.Params{{"share": 0.01}}, nil},
		{"all of it", strong, lime, holds(80), "weaker_lime", nil, nil},
		{"fresh water", strong, func(p *plan.Plan) {
			p.Chemistry = &plan.Chemistry{AlkalinityDKH: 8, CalciumMgL: 420, PH: 8.1}
		}, func(r *audit.Report) {
			r.Containers = []audit.Container{{Element: "other", HoldsL: 8, LargestL: 1}}
		}, "weaker_lime", nil, nil},
		{"the first of the containers", strong, lime, func(r *audit.Report) {
			r.Containers = []audit.Container{{Element: "can", HoldsL: 80, LargestL: 20}}
		}, "weaker_lime", []text.Params{{"share": 0.11}}, nil},
	} {
		c.holds(t, equipped(sent()))
	}
}

// Guards of what is dosed: 8.1 is kept, harm by pH begins at 7.4 below 7.8 and at 8.75 above 8.45.
func TestSizesOfChemicalGuards(t *testing.T) {
	base := func() plan.Plan {
		p := dosedPlan()
		p.Limits.ComfortHighPH, p.Limits.HarmHighPH = new(8.45), new(8.75)
		p.Limits.ComfortLowPH, p.Limits.HarmLowPH = new(7.8), new(7.4)
		p.Chemistry = &plan.Chemistry{AlkalinityDKH: 8, CalciumMgL: 420, PH: 8.1}
		p.CarbonDioxide = []plan.CarbonDioxide{{ID: "gas", FlowGH: 5, BottleG: 500, Into: plan.IntoTank,
			Doses: &plan.Doses{ADay: 2, RunS: 90, FirstAt: "12:00"}}}
		return p
	}
	acid, strong := []string{"ph_low"}, []string{"ph_high"}
	holds := func(largestL float64) func(r *audit.Report) {
		return func(r *audit.Report) {
			r.Containers = []audit.Container{{Element: "doser", HoldsL: 5, LargestL: largestL}}
		}
	}
	for _, c := range []sized{
		// 8.1 - 0.25, sooner than 7.8 - 0.5 · 0.4
		{"a guard on acid", acid, nil, nil, "chemical_guard", []text.Params{{"cut": 7.85, "pumps": []string{"gas"}}},
			nil},
		{"half of the way to harm", acid, func(p *plan.Plan) { p.Chemistry.PH = 7.82 }, nil, "chemical_guard",
			[]text.Params{{"cut": 7.6}}, nil},
		{"no gas", acid, func(p *plan.Plan) { p.CarbonDioxide = nil }, nil, "chemical_guard", nil, nil},
		{"whoever doses, and lime water", strong, func(p *plan.Plan) {
			p.Reservoirs[0].LimeShare = new(0.0)
			p.Reservoirs = append(p.Reservoirs, plan.NewReservoir("lime", 20))
			p.Reservoirs[1].LimeShare = new(0.5)
			p.TopOffPumps = append(p.TopOffPumps, plan.NewTopOffPump("more", 10, "lime"))
			p.Controls[0].Outputs = append(p.Controls[0].Outputs, "more")
		}, nil, "chemical_guard", []text.Params{{"pumps": []string{"doser", "more"}}}, nil},
		// Three minutes of gas at ten o'clock, and two before and after
		{"gas once a day", acid, nil, nil, "timer_in_series", []text.Params{{"id": "doser"},
			{"id": "gas", "on": "09:58", "off": "10:05"}, {"id": "drain"}, {"id": "new"}},
			func(t *testing.T, made []plan.Plan) {
				assert.Equal(t, &plan.Doses{ADay: 1, RunS: 180, FirstAt: "10:00"}, made[1].CarbonDioxide[0].Doses)
			}},
		// 0.95 · 10.6 mL are 10.07 mL
		{"the smallest that can be built", strong, nil, holds(0.0106), "smaller_container",
			[]text.Params{{"volume": 0.01}}, nil},
		{"new water first, then the drain", []string{"run_dry"}, func(p *plan.Plan) {
			p.ChangePumps[0], p.ChangePumps[1] = p.ChangePumps[1], p.ChangePumps[0]
		}, nil, "one_contactor", []text.Params{{"drain": "drain", "new": "new", "on": "10:00", "off": "10:10"}}, nil},
		{"twice a day", []string{"run_dry"}, func(p *plan.Plan) {
			p.ChangePumps[1].Doses = &plan.Doses{ADay: 2, RunS: 600, FirstAt: "03:15"}
		}, nil, "one_contactor", []text.Params{{"on": "10:00", "off": "10:20"}}, nil},
		{"only a drain", []string{"run_dry"}, func(p *plan.Plan) { p.ChangePumps = p.ChangePumps[:1] }, nil,
			"one_contactor", nil, nil},
		{"only new water", []string{"run_dry"}, func(p *plan.Plan) { p.ChangePumps = p.ChangePumps[1:] }, nil,
			"one_contactor", nil, nil},
		{"a drain by a timer", []string{"run_dry"}, func(p *plan.Plan) {
			p.ChangePumps[0].Doses = nil
			k := plan.NewControl("empty", plan.Timer, "drain")
			k.Schedule = day("10:00", "10:10", 0)
			p.Controls = append(p.Controls, k)
		}, nil, "one_contactor", nil, nil},
	} {
		c.holds(t, base())
	}
}

// Ways of an alarm that is told nothing: a battery where it calls already, another way where it only rings.
func TestAlarmsCallByTheMobileNetwork(t *testing.T) {
	for _, c := range []struct {
		path    plan.AlarmPath
		battery bool
		want    []string
	}{
		{plan.AudiblePath, false, []string{"alarm_path", "mobile_path"}}, {plan.AudiblePath, true,
			[]string{"mobile_path"}},
		{plan.CellularPath, false, []string{"alarm_battery"}}, {plan.CellularPath, true, nil},
	} {
		p := equipped(sent())
		p.Alarms[0].Path, p.Alarms[0].OwnBattery = c.path, c.battery
		var got []string
		for _, x := range Candidates(report(t, p, "no_dark"), p) {
			if x.Code == "alarm_path" || x.Code == "mobile_path" || x.Code == "alarm_battery" {
				got = append(got, x.Code)
			}
		}
		assert.Equal(t, c.want, got, "%s, %v", c.path, c.battery)
	}
}

// What a second sensor is for: all have to call where calling harms, any may where silence does, and a float that reads
// the line of the water has its like; an alarm only where its own sensor lies.
func TestWhereASecondSensorHelps(t *testing.T) {
	for _, c := range []struct {
		loss string
		want []string
	}{
		{"overheated", []string{"remedy_second_sensor_all", "remedy_three_sensors"}},
		{"chilled", []string{"remedy_second_sensor_any", "remedy_three_sensors"}},
		{"diluted", []string{"remedy_second_sensor_all", "remedy_three_sensors"}},
		{"run_dry", []string{"remedy_second_sensor_any", "remedy_three_sensors"}},
		{"no_dark", nil},
	} {
		p := equipped(sent())
		var got []string
		for _, x := range Candidates(report(t, p, c.loss), p) {
			if x.Code == "second_sensor" || x.Code == "three_sensors" {
				got = append(got, x.Sentence.Code)
			}
		}
		assert.Equal(t, c.want, got, c.loss)
	}
}

// An alarm whose own sensor lies reads a second one like it, and is raised by either.
func TestAnAlarmThatIsLiedToReadsASecondSensor(t *testing.T) {
	p := equipped(sent())
	r := report(t, p, "no_dark")
	r.Faults[0].NoHelp = []audit.NoHelp{{Why: audit.SensorLies, Alarms: []string{"bell"}}}
	var made []plan.Plan
	for _, x := range Candidates(r, p) {
		if x.Code == "second_sensor" {
			edited := p.Clone()
			x.Edit(&edited)
			made = append(made, edited)
		}
	}
	require.Len(t, made, 1)
	assert.Equal(t, []string{"probe", "probe-2"}, made[0].Alarms[0].Sensors)
	assert.Empty(t, made[0].Alarms[0].Sensor)
	assert.Equal(t, plan.Any, made[0].Alarms[0].Rule)
	assert.Equal(t, plan.TemperatureKind, made[0].Sensors[2].Kind)
}

// Money that no one has named, and a tank that is mended at no fewer losses, are not reckoned with.
func TestWhatIsWorthNothing(t *testing.T) {
	p := equipped(sent())
	r := Result{sent: p, Base: Score{Per100: 5}, changes: []Change{{Edit: func(*plan.Plan) {}}}}
	r.Next = []Set{{Changes: []int{0}, Per100: 4}}
	assert.Empty(t, r.Worths())
	r.sent.Worth = &plan.Worth{}
	assert.Empty(t, r.Worths())
	r.sent.Worth.Livestock = new(1000.0)
	assert.Len(t, r.Worths(), 1)
	r.Next[0].Per100, r.Next[0].Mended = 5, true
	assert.Empty(t, r.Worths())
}
