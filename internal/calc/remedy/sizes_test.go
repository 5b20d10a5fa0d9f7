package remedy

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// sized is one change as it is said and as it is made, in a plan whose audit is made up: the losses are those of the
// test, 3 L evaporate a day, and the heater gives 60 W on average.
type sized struct {
	name   string
	losses []string
	edit   func(p *plan.Plan)
	found  func(r *audit.Report)
	code   string
	params []text.Params // of each change of that code, as far as they are named; none: there is no such change
	check  func(t *testing.T, edited []plan.Plan)
}

func (c sized) holds(t *testing.T, of plan.Plan) {
	t.Helper()
	p := of
	if c.edit != nil {
		c.edit(&p)
	}
	r := report(t, p, c.losses...)
	r.Nominal[0].Devices = []audit.DeviceUse{{KWhPerDay: 1.44}}
	if c.found != nil {
		c.found(&r)
	}
	var made []plan.Plan
	var said []text.Params
	for _, x := range Candidates(r, p) {
		if x.Code == c.code {
			edited := p.Clone()
			x.Edit(&edited)
			made, said = append(made, edited), append(said, x.Sentence.Params)
		}
	}
	require.Len(t, said, len(c.params), "%s: %v", c.name, said)
	for i, want := range c.params {
		for name, value := range want {
			if number, is := value.(float64); is {
				assert.InDelta(t, number, said[i][name], 1e-9, "%s: %s", c.name, name)
			} else {
				assert.Equal(t, value, said[i][name], "%s: %s", c.name, name)
			}
		}
	}
	if c.check != nil {
		c.check(t, made)
	}
}

// Comfort is 24.5 to 27 °C, harm begins at 21 and 30 °C, the control holds 25 °C.
func TestSizesOfChangesAboutHeat(t *testing.T) {
	hot, cold := []string{"overheated"}, []string{"chilled"}
	heaters := func(w ...float64) func(p *plan.Plan) {
		return func(p *plan.Plan) {
			p.Heaters = nil
			for i, x := range w {
				h := plan.NewHeater(string(rune('a'+i)), x)
				h.Circuit = new("one")
				p.Heaters = append(p.Heaters, h)
			}
			p.Controls[1].Outputs = []string{"a"}
		}
	}
	needs := func(kWhPerDay float64) func(r *audit.Report) {
		return func(r *audit.Report) { r.Nominal[0].Devices[0].KWhPerDay = kWhPerDay }
	}
	for _, c := range []sized{
		{"1.1 K above the control", hot, nil, nil, "backstop", []text.Params{{"id": "heater", "mark": 26.1}},
			func(t *testing.T, made []plan.Plan) {
				assert.InDelta(t, 26.1, *made[0].Heaters[0].ThermostatC, 1e-9)
			}},
		{"one that stands little above is left", hot, func(p *plan.Plan) { p.Heaters[0].ThermostatC = new(26.4) }, nil,
			"backstop", nil, nil},
		{"301 W by two", hot, heaters(301), nil, "split_heater", []text.Params{{"id": "a", "half": 151.0}},
			func(t *testing.T, made []plan.Plan) {
				assert.Equal(t, []float64{151, 151}, []float64{made[0].Heaters[0].PowerW, made[0].Heaters[1].PowerW})
				assert.Equal(t, []string{"a", "a-b"}, made[0].Controls[1].Outputs)
			}},
		{"a heater of 100 W is still split", hot, heaters(100), nil, "split_heater", []text.Params{{"half": 50.0}}, nil},
		{"a smaller one is not", hot, heaters(99), nil, "split_heater", nil, nil},
		// 1.25 · 60 = 75 W, and the next larger size.
		{"what the coldest room takes", hot, nil, nil, "smaller_heaters", []text.Params{{"power": 75.0}, {"power": 100.0}},
			func(t *testing.T, made []plan.Plan) { assert.InDelta(t, 100, made[1].Heaters[0].PowerW, 0) }},
		{"by two: 37.5 W each", hot, heaters(300, 40), nil, "smaller_heaters",
			[]text.Params{{"power": 50.0}, {"power": 75.0}}, func(t *testing.T, made []plan.Plan) {
				assert.InDelta(t, 50, made[0].Heaters[0].PowerW, 0)
				assert.InDelta(t, 40, made[0].Heaters[1].PowerW, 0, "a smaller one stays")
			}},
		{"12.5 W: the smallest that is sold", hot, nil, needs(0.24), "smaller_heaters",
			[]text.Params{{"power": 25.0}, {"power": 50.0}}, nil},
		{"more than is sold", hot, nil, needs(24), "smaller_heaters", nil, nil},
		// Always on, the water stands at 23 °C in a room of 21 °C: 60 W · (25 - 21)/(23 - 21) = 120 W, times 1.25
		{"a heater that is always on", hot, nil, func(r *audit.Report) {
			r.Nominal[0].Devices[0].DutyShare = 0.96
			r.Nominal[0].TempC, r.Nominal[0].Extremes.TempMinC = 21, 23
		}, "smaller_heaters", []text.Params{{"power": 150.0}, {"power": 200.0}}, nil},
		{"nearly always on", hot, nil, func(r *audit.Report) {
			r.Nominal[0].Devices[0].DutyShare = 0.95
			r.Nominal[0].TempC, r.Nominal[0].Extremes.TempMinC = 21, 23
		}, "smaller_heaters", []text.Params{{"power": 75.0}, {"power": 100.0}}, nil},
		{"as large as they are", hot, heaters(75), nil, "smaller_heaters", nil, nil},
		// 27 °C and 0.3 of the 3 K to harm
		{"a guard", hot, nil, nil, "guard", []text.Params{{"cut": 27.9}}, nil},
		// 1.15 · 60 = 69 W in steps of 25 W, 0.7 K below the control, on the circuit that the first heater has not
		{"a spare heater", cold, nil, nil, "spare_heater", []text.Params{{"power": 75.0, "mark": 24.3}},
			func(t *testing.T, made []plan.Plan) { assert.Equal(t, "two", *made[0].Heaters[1].Circuit) }},
		{"no less than a step", cold, nil, needs(0), "spare_heater", []text.Params{{"power": 25.0}}, nil},
		{"without a control, about the middle of comfort", cold,
			func(p *plan.Plan) { p.Controls = p.Controls[:1]; p.Heaters[0].ThermostatC = new(25.5) }, nil,
			"spare_heater", []text.Params{{"mark": 25.1}}, nil}, // 25.8 - 0.7
		{"another circuit for the heater", cold, nil, nil, "other_circuit",
			[]text.Params{{"id": "bell", "from": "one", "to": "two"}, {"id": "heater", "from": "one", "to": "two"}}, nil},
		{"half of the largest chiller, half a kelvin above its control", hot, func(p *plan.Plan) {
			p.Chillers = []plan.Chiller{{ID: "small", CoolingW: 100, PowerW: 40}, {ID: "large", CoolingW: 301, PowerW: 101},
				{ID: "as-large", CoolingW: 301, PowerW: 200}}
			k := plan.NewControl("cool", plan.Cooling, "large")
			k.Sensor, k.SetpointC = new("probe"), new(26.6)
			p.Controls = append(p.Controls, k)
		}, nil, "spare_chiller", []text.Params{{"power": 151.0, "mark": 27.1}}, func(t *testing.T, made []plan.Plan) {
			assert.InDelta(t, 51, made[0].Chillers[3].PowerW, 0)
			assert.Equal(t, "two", *made[0].Chillers[3].Circuit)
		}},
		{"a fan at the edge of comfort", hot, nil, nil, "fan", []text.Params{{"mark": 27.0}}, nil},
		{"the sump at 30 °C", []string{"sump_hot"}, nil, nil, "sump_guard", []text.Params{{"cut": 30.0}}, nil},
		{"or 2 K above the control", []string{"sump_hot"},
			func(p *plan.Plan) { p.Limits.ComfortHighC, p.Controls[1].SetpointC = new(29.5), new(29.0) }, nil, "sump_guard",
			[]text.Params{{"cut": 31.0}}, nil},
		{"half of the way from comfort to harm by cold", cold,
			func(p *plan.Plan) { p.Fans = []plan.Fan{{ID: "fan", AirSpeedMS: 2, PowerW: 5}} }, nil, "cool_guard",
			[]text.Params{{"cut": 22.8}}, nil}, // 24.5 - 0.5 · 3.5 = 22.75
		{"no guard where nothing cools", cold, nil, nil, "cool_guard", nil, nil},
		{"a second control 0.4 K above", hot, nil, nil, "control_in_series", []text.Params{{"mark": 25.4}}, nil},
		{"an alarm after three hours", hot, nil, nil, "running_alarm", []text.Params{{"time": 3.0}},
			func(t *testing.T, made []plan.Plan) { assert.InDelta(t, 180, *made[0].Alarms[1].RunsMin, 0) }},
	} {
		c.holds(t, equipped(sent()))
	}
}

func TestSizesOfSettings(t *testing.T) {
	hot := []string{"overheated"}
	supervisor := func(atC float64) func(p *plan.Plan) {
		return func(p *plan.Plan) {
			addSupervisor(p, "cut", "probe", plan.Above, []string{"heater"}).ThresholdC = &atC
		}
	}
	alarmAt := func(when plan.When, atC float64) func(p *plan.Plan) {
		return func(p *plan.Plan) { p.Alarms[0].When, p.Alarms[0].ThresholdC = when, &atC }
	}
	cooling := func(atC float64) func(p *plan.Plan) {
		return func(p *plan.Plan) {
			p.Fans = []plan.Fan{{ID: "fan", AirSpeedMS: 2, PowerW: 5}}
			k := plan.NewControl("cool", plan.Cooling, "fan")
			k.Sensor, k.SetpointC = new("probe"), &atC
			p.Controls = append(p.Controls, k)
			p.Controls[1].SetpointC = new(25.8)
		}
	}
	for _, c := range []sized{
		{"to the middle of 24.5 and 27 °C", hot, nil, nil, "setpoint", []text.Params{{"id": "heat", "from": 25.0, "to": 25.8}},
			func(t *testing.T, made []plan.Plan) { assert.InDelta(t, 25.8, *made[0].Controls[1].SetpointC, 1e-9) }},
		{"near enough", hot, func(p *plan.Plan) { p.Controls[1].SetpointC = new(25.7) }, nil, "setpoint", nil, nil},
		{"cooling to the edge of comfort", hot, cooling(28), nil, "setpoint",
			[]text.Params{{"id": "cool", "from": 28.0, "to": 27.0}}, nil},
		{"cooling that begins sooner stays", hot, cooling(26), nil, "setpoint", nil, nil},
		{"a guard that cuts too late", hot, supervisor(28.2), nil, "guard_threshold",
			[]text.Params{{"id": "cut", "from": 28.2, "to": 27.9}}, nil},
		{"one that cuts soon enough", hot, supervisor(28), nil, "guard_threshold", nil, nil},
		{"an alarm 0.2 K above comfort", hot, nil, nil, "alarm_threshold",
			[]text.Params{{"id": "bell", "from": 28.0, "to": 27.2}}, nil},
		{"one below comfort", hot, alarmAt(plan.Below, 23), nil, "alarm_threshold",
			[]text.Params{{"from": 23.0, "to": 24.3}}, nil},
		{"one that rings sooner", hot, alarmAt(plan.Above, 26.5), nil, "alarm_threshold", nil, nil},
		{"one that rings for cold sooner", hot, alarmAt(plan.Below, 24.6), nil, "alarm_threshold", nil, nil},
		{"one that is near enough", hot, alarmAt(plan.Above, 27.3), nil, "alarm_threshold", nil, nil},
		{"the probe that stands in the sump", hot, func(p *plan.Plan) { p.Sensors[1].Place = new(plan.InSump) }, nil,
			"probe_place", []text.Params{{"id": "probe"}}, func(t *testing.T, made []plan.Plan) {
				assert.Equal(t, plan.InDisplay, *made[0].Sensors[1].Place)
			}},
		{"the probe that stands in the display", hot, func(p *plan.Plan) { p.Sensors[1].Place = new(plan.InDisplay) }, nil,
			"probe_place", []text.Params{{"id": "probe"}}, func(t *testing.T, made []plan.Plan) {
				assert.Equal(t, plan.InSump, *made[0].Sensors[1].Place)
			}},
		{"the router of an alarm by network", hot, func(p *plan.Plan) {
			p.Alarms[0].Path, p.Power.NetworkCircuit = plan.NetworkPath, new("one")
		}, nil, "router_circuit", []text.Params{{"to": "two"}}, nil},
		{"no alarm by network", hot, func(p *plan.Plan) { p.Power.NetworkCircuit = new("one") }, nil, "router_circuit",
			nil, nil},
		{"an alarm that waits", hot, func(p *plan.Plan) { p.Alarms[0].DelayMin = 20 }, nil, "alarm_delay",
			[]text.Params{{"from": 20.0, "to": 5.0}}, nil},
		{"one that waits five minutes", hot, func(p *plan.Plan) { p.Alarms[0].DelayMin = 5 }, nil, "alarm_delay", nil, nil},
		{"half of eight hours", hot, nil, nil, "faster_response", []text.Params{{"time": 4.0}}, nil},
		{"half of three hours", hot, func(p *plan.Plan) { p.Attendance.ResponseH = new(3.0) }, nil, "faster_response",
			[]text.Params{{"time": 1.0}}, nil},
		{"two hours are quick enough", hot, func(p *plan.Plan) { p.Attendance.ResponseH = new(2.0) }, nil,
			"faster_response", nil, nil},
		// Harm comes after 30 h: 0.95 · 30 = 28.5 h
		{"back before harm", hot, nil, nil, "come_back_sooner", []text.Params{{"time": 28.0}}, nil},
		{"sooner than anybody is asked to", hot, nil, func(r *audit.Report) { r.Faults[0].HarmH = new(11.9) },
			"come_back_sooner", nil, nil},
		{"half a day", hot, nil, func(r *audit.Report) { r.Faults[0].HarmH = new(12.0) }, "come_back_sooner",
			[]text.Params{{"time": 11.0}}, nil},
		{"after all are back", hot, nil, func(r *audit.Report) { r.Faults[0].HarmH = new(72.0) }, "come_back_sooner", nil,
			nil},
	} {
		c.holds(t, equipped(sent()))
	}
}

// 295 L of 35 and a low limit of harm of 29.5: 295 · (35/29.5 - 1) = 55 L do no harm; 50 L fit into the sump.
func TestSizesOfChangesAboutWater(t *testing.T) {
	diluted, flooded := []string{"diluted"}, []string{"flooded"}
	evaporates := func(litresADay float64) func(r *audit.Report) {
		return func(r *audit.Report) { r.Nominal[0].EvaporationLD = litresADay }
	}
	pump := func(litresAnHour float64) func(p *plan.Plan) {
		return func(p *plan.Plan) { p.TopOffPumps[0].FlowLH = litresAnHour }
	}
	base := func() plan.Plan {
		p := equipped(sent())
		p.SalinityPSU, p.Limits.HarmLowPSU = 35, new(29.5)
		return p
	}
	for _, c := range []sized{
		{"0.9 of 55 L", diluted, nil, nil, "day_container", []text.Params{{"volume": 49.0}}, nil},
		{"0.9 of 50 L", flooded, nil, nil, "day_container", []text.Params{{"volume": 45.0}}, nil},
		{"small enough", flooded, func(p *plan.Plan) { p.Reservoirs[0].VolumeL = 45 }, nil, "day_container", nil, nil},
		// 0.2 · 3 = 0.6 L/h
		{"a slower pump", diluted, nil, nil, "slower_pump", []text.Params{{"flow": 0.6, "evaporation": 3.0}}, nil},
		{"one and a half times that is slow enough", diluted, pump(3), evaporates(10), "slower_pump", nil, nil},
		{"a little faster is not", diluted, pump(3.1), evaporates(10), "slower_pump", []text.Params{{"flow": 2.0}}, nil},
		{"nothing evaporates", diluted, nil, evaporates(0), "slower_pump", nil, nil},
		{"a quarter of an hour", diluted, nil, nil, "run_limit", []text.Params{{"run": 15.0}}, nil},
		{"no longer than that", diluted, func(p *plan.Plan) { p.Controls[0].RunLimitMin = new(15.0) }, nil, "run_limit", nil,
			nil},
		{"a float above the line", diluted, nil, nil, "second_level_sensor", []text.Params{{"mark": 12.0}},
			func(t *testing.T, made []plan.Plan) {
				assert.InDelta(t, 12, *made[0].Sensors[len(made[0].Sensors)-1].HeightMM, 0)
			}},
		{"no pump, no float", diluted, func(p *plan.Plan) {
			p.TopOffPumps, p.Reservoirs, p.Controls = nil, nil, p.Controls[1:]
		}, nil, "second_level_sensor", nil, nil},
		// 60 L have room: 0.82 · 250 mm
		{"a lower level", flooded, nil, func(r *audit.Report) { r.Tank.FreeSumpL = 60 }, "lower_level",
			[]text.Params{{"from": 250.0, "to": 205.0}}, nil},
		// 0.56 L / 1.1 on 0.5 m² are 1.02 mm, 0.5 L / 1.1 less than one
		{"a millimetre runs back", flooded, nil, func(r *audit.Report) { r.Tank.FreeSumpL = 0.56 }, "less_drain_back",
			[]text.Params{{"to": 1.0}}, nil},
		{"less than one", flooded, nil, func(r *audit.Report) { r.Tank.FreeSumpL = 0.5 }, "less_drain_back", nil, nil},
		// 1.1 · 12 L a day · three days, of which 0.9 are of use: 44 L
		{"a larger reservoir", []string{"run_dry"}, func(p *plan.Plan) {
			p.Reservoirs[0].VolumeL, p.Reservoirs[0].UsableShare = 43, 0.9
		}, evaporates(12), "larger_reservoir", []text.Params{{"volume": 44.0}}, nil},
		{"as large as that", []string{"run_dry"}, func(p *plan.Plan) {
			p.Reservoirs[0].VolumeL, p.Reservoirs[0].UsableShare = 44, 0.9
		}, evaporates(12), "larger_reservoir", nil, nil},
		{"a deeper intake", []string{"run_dry"}, nil, nil, "deeper_intake", []text.Params{{"from": 120.0, "to": 72.0}}, nil},
		// 300 mm above the end of its line, and 20 mm
		{"a reservoir that stands lower", diluted, func(p *plan.Plan) { p.Reservoirs[0].WaterAboveOutletMM = 300 }, nil,
			"lower_reservoir", []text.Params{{"by": 320.0}}, func(t *testing.T, made []plan.Plan) {
				assert.InDelta(t, -20, made[0].Reservoirs[0].WaterAboveOutletMM, 1e-9)
			}},
		// 80 L on 0.4 m by 0.4 m are 500 mm: 100 mm above the line, whose end is 50 mm above it
		{"by its floor", diluted, func(p *plan.Plan) {
			v := &p.Reservoirs[0]
			v.WaterAboveOutletMM, v.LengthMM, v.WidthMM, v.BottomAboveWaterMM, v.LineEndAboveWaterMM = 0, new(400.0),
				new(400.0), new(-400.0), new(50.0)
		}, nil, "lower_reservoir", []text.Params{{"by": 70.0}}, func(t *testing.T, made []plan.Plan) {
			assert.InDelta(t, -470, *made[0].Reservoirs[0].BottomAboveWaterMM, 1e-9)
		}},
		{"one that stands low", diluted, func(p *plan.Plan) { p.Reservoirs[0].WaterAboveOutletMM = -10 }, nil,
			"siphon_break", nil, nil},
		// 1.5 · 3 L at 60 L/h are 4.5 min, no less than 5; at 3 L/h 90 min from 12:00
		{"a fill timer, the least", diluted, nil, nil, "timer_in_series", []text.Params{{"on": "12:00", "off": "12:05"}}, nil},
		{"a fill timer", diluted, pump(3), nil, "timer_in_series", []text.Params{{"on": "12:00", "off": "13:30"}}, nil},
		{"ten hours at most", diluted, pump(0.75), evaporates(5), "timer_in_series",
			[]text.Params{{"on": "12:00", "off": "22:00"}}, nil},
		{"more than ten hours", diluted, pump(0.74), evaporates(5), "timer_in_series", nil, nil},
		{"a cup that stops", flooded, func(p *plan.Plan) {
			p.Skimmers = []plan.Skimmer{{ID: "full", PowerW: 10, HeatShare: 1, CupL: 2, SkimmateLDay: 0.15, WetTimes: 10,
				FullCup: plan.CupSpills}, {ID: "stops", PowerW: 10, HeatShare: 1, CupL: 2, SkimmateLDay: 0.15,
				WetTimes: 10, FullCup: plan.CupStops}}
		}, nil, "cup_stop", []text.Params{{"id": "full"}}, nil},
		// The display runs back by 100 mm, and 15 mm more
		{"a heater that hangs lower", []string{"heater_dry"}, func(p *plan.Plan) {
			p.Heaters[0].Place, p.Heaters[0].HeightMM = new(plan.InDisplay), new(-5.0)
		}, nil, "lower_heater", []text.Params{{"depth": 115.0}}, nil},
		{"one that is that low", []string{"heater_dry"}, func(p *plan.Plan) {
			p.Heaters[0].Place, p.Heaters[0].HeightMM = new(plan.InDisplay), new(-115.0)
		}, nil, "lower_heater", nil, nil},
		// The intake is 130 mm below the line of the sump.
		{"in the sump", []string{"heater_dry"}, func(p *plan.Plan) {
			p.Heaters[0].Place, p.Heaters[0].HeightMM = new(plan.InSump), new(-5.0)
		}, nil, "lower_heater", []text.Params{{"depth": 145.0}}, nil},
		{"no water that deep", []string{"heater_dry"}, func(p *plan.Plan) {
			p.Heaters[0].Place, p.Heaters[0].HeightMM = new(plan.InSump), new(-5.0)
			p.Sump.WaterLevelMM, p.Sump.ReturnIntakeMM = 135, new(15.0)
		}, nil, "lower_heater", nil, nil},
		{"a second overflow", flooded, func(p *plan.Plan) { p.Overflows = []plan.Overflow{{ID: "weir"}} }, nil,
			"second_overflow", []text.Params{nil}, nil},
		{"not a third", flooded, func(p *plan.Plan) { p.Overflows = []plan.Overflow{{ID: "weir"}, {ID: "other"}} }, nil,
			"second_overflow", nil, nil},
	} {
		c.holds(t, base())
	}
}

// Six times 240 L an hour and 0.03 W for each of them; an outage of eight hours.
func TestSizesOfChangesAboutPower(t *testing.T) {
	airless := []string{"airless"}
	ofMains := func(r *audit.Report) { r.Faults[0].Fault.ID = "mains.lost" }
	for _, c := range []sized{
		{"a second stream", airless, nil, nil, "second_stream", []text.Params{nil}, func(t *testing.T, made []plan.Plan) {
			x := made[0].Pumps[len(made[0].Pumps)-1]
			assert.Equal(t, []float64{1440, 7}, []float64{x.FlowLH, x.PowerW})
			assert.Equal(t, "two", *x.Circuit)
		}},
		{"3 W at least", airless, nil, func(r *audit.Report) { r.Tank.DisplayL = 50 }, "second_stream", []text.Params{nil},
			func(t *testing.T, made []plan.Plan) {
				assert.InDelta(t, 3, made[0].Pumps[len(made[0].Pumps)-1].PowerW, 0)
			}},
		{"each circuit, and all", airless, nil, ofMains, "battery", []text.Params{{"circuit": "one", "time": 8.0},
			{"circuit": "two", "time": 8.0}, {"circuits": []string{"one", "two"}, "time": 8.0}}, nil},
		{"a circuit that is carried long enough", airless, func(p *plan.Plan) { p.Power.Circuits[0].BackupH = 8 }, nil,
			"battery", []text.Params{{"circuit": "two"}}, nil},
		{"one circuit is all", airless, func(p *plan.Plan) { p.Power.Circuits = p.Power.Circuits[:1] }, ofMains, "battery",
			[]text.Params{{"circuit": "one"}}, nil},
		{"a circuit that nobody named is named", airless, func(p *plan.Plan) {
			p.Power.Circuits, p.Heaters[0].Circuit = nil, nil
		}, ofMains, "battery", []text.Params{{"time": 8.0}}, func(t *testing.T, made []plan.Plan) {
			require.Len(t, made[0].Power.Circuits, 1)
			assert.Equal(t, made[0].Power.Circuits[0].ID, made[0].Power.Backups[0].Supplies[0])
		}},
		{"a generator", airless, nil, ofMains, "generator", []text.Params{{"time": 8.0}}, nil},
		{"an outage of minutes", airless, func(p *plan.Plan) { p.Power.LongestOutageH = 0.5 }, ofMains, "generator",
			[]text.Params{{"time": 1.0}}, nil},
		{"another fault", airless, nil, nil, "generator", nil, nil},
		{"a spare for the room, on another circuit", []string{"chilled"}, func(p *plan.Plan) {
			p.RoomDevices = []plan.RoomDevice{{ID: "radiator", Kind: plan.RoomHeating, PowerW: 1000, WithoutC: 10,
				Circuit: new("one")}}
		}, nil, "spare_room_device", []text.Params{{"id": "radiator"}}, func(t *testing.T, made []plan.Plan) {
			assert.Equal(t, "two", *made[0].RoomDevices[1].Circuit)
		}},
		{"one that has its like", []string{"chilled"}, func(p *plan.Plan) {
			p.RoomDevices = []plan.RoomDevice{
				{ID: "radiator", Kind: plan.RoomHeating, PowerW: 1000, WithoutC: 10, Circuit: new("one")},
				{ID: "stove", Kind: plan.RoomHeating, PowerW: 1000, WithoutC: 10, Circuit: new("two")}}
		}, nil, "spare_room_device", nil, nil},
		{"a timer for a lamp without one", []string{"no_dark"}, nil, nil, "second_timer", []text.Params{{"id": "lamp"}}, nil},
		{"a timer of a lamp", []string{"no_dark"}, func(p *plan.Plan) {
			sun, other := plan.NewControl("sun", plan.Timer, "lamp"), plan.NewControl("stir", plan.Timer, "pump")
			sun.Schedule, other.Schedule = day("06:00", "23:00", 0), day("06:00", "23:00", 0)
			p.Controls = append(p.Controls, sun, other)
		}, nil, "shorter_timer", []text.Params{{"id": "sun"}}, nil},
	} {
		c.holds(t, equipped(sent()))
	}
}

// A pump of 20 mL/min gives 30 s twice a day, and both pumps of the water change 12 L/h for 600 s once.
func TestSizesOfChangesAboutDoses(t *testing.T) {
	strong := []string{"alkalinity_high"}
	doses := func(flow float64, aDay int, runS float64) func(p *plan.Plan) {
		return func(p *plan.Plan) {
			p.DosingPumps[0].FlowMLMin = flow
			p.DosingPumps[0].Doses = &plan.Doses{ADay: aDay, RunS: runS, FirstAt: "00:00"}
		}
	}
	holds := func(largest float64) func(r *audit.Report) {
		return func(r *audit.Report) {
			r.Containers = []audit.Container{{Element: "doser", HoldsL: 5, LargestL: largest, Limit: "alkalinity_high"}}
		}
	}
	base := func() plan.Plan {
		p := dosedPlan()
		p.Limits.ComfortHighPH, p.Limits.HarmHighPH = new(8.45), new(8.75)
		p.Limits.ComfortLowPH, p.Limits.HarmLowPH = new(7.8), new(7.4)
		p.Limits.ComfortLowPSU, p.Limits.HarmLowPSU = new(33.0), new(30.0)
		p.Limits.ComfortHighPSU, p.Limits.HarmHighPSU = new(36.5), new(39.5)
		p.Chemistry = &plan.Chemistry{AlkalinityDKH: 8, CalciumMgL: 420, PH: 8.1}
		return p
	}
	for _, c := range []sized{
		// 0.95 · 42.3 mL, to 10 mL
		{"what does no harm at once", strong, nil, holds(0.0423), "smaller_container", []text.Params{{"volume": 0.04}},
			func(t *testing.T, made []plan.Plan) {
				assert.InDelta(t, 0.04, made[0].DosingPumps[0].Container.VolumeL, 1e-12)
				assert.InDelta(t, 8, made[0].ChangePumps[1].Container.VolumeL, 0)
			}},
		{"less than can be built", strong, nil, holds(0.0104), "smaller_container", nil, nil},
		{"harmless", strong, nil, holds(5), "smaller_container", nil, nil},
		// an eighth of 20 mL/min, for eight times 30 s; 0.15 L/h
		{"an eighth of the flow", strong, nil, nil, "slower_doser", []text.Params{{"flow": 0.15, "run": 4.0}},
			func(t *testing.T, made []plan.Plan) {
				assert.InDelta(t, 2.5, made[0].DosingPumps[0].FlowMLMin, 1e-12)
				assert.InDelta(t, 240, made[0].DosingPumps[0].Doses.RunS, 1e-9)
			}},
		{"as slow as there is", strong, doses(0.4, 2, 30), nil, "slower_doser", []text.Params{{"flow": 0.003}}, nil},
		{"slower than there is", strong, doses(0.3, 2, 30), nil, "slower_doser", nil, nil},
		{"half of the day", strong, doses(20, 2, 2700), nil, "slower_doser", []text.Params{{"run": 360.0}}, nil},
		{"more than half of the day", strong, doses(20, 2, 2701), nil, "slower_doser", nil, nil},
		// One minute at ten o'clock, two minutes before and after
		{"once a day", strong, nil, nil, "timer_in_series", []text.Params{{"id": "doser", "on": "09:58", "off": "10:03"},
			{"id": "drain", "off": "10:12"}, {"id": "new", "off": "10:12"}}, func(t *testing.T, made []plan.Plan) {
			assert.Equal(t, &plan.Doses{ADay: 1, RunS: 60, FirstAt: "10:00"}, made[0].DosingPumps[0].Doses)
			assert.Equal(t, &plan.Doses{ADay: 1, RunS: 600, FirstAt: "10:00"}, made[1].ChangePumps[0].Doses)
			assert.InDelta(t, 30, made[1].DosingPumps[0].Doses.RunS, 0, "another stays as it is")
		}},
		{"four hours at most", strong, doses(0.8, 2, 7200), nil, "timer_in_series",
			[]text.Params{{"id": "doser", "off": "14:02"}, {"id": "drain"}, {"id": "new"}}, nil},
		{"more than four hours", strong, doses(0.8, 2, 7201), nil, "timer_in_series",
			[]text.Params{{"id": "drain"}, {"id": "new"}}, nil},
		// 8.1 + 0.25, sooner than 8.45 + 0.5 · 0.3
		{"a guard by pH", strong, nil, nil, "chemical_guard", []text.Params{{"cut": 8.35, "pumps": []string{"doser"}}}, nil},
		{"half of the way to harm", strong, func(p *plan.Plan) { p.Chemistry.PH = 8.4 }, nil, "chemical_guard",
			[]text.Params{{"cut": 8.6}}, nil},
		{"no pump brings alkalinity", strong, func(p *plan.Plan) {
			p.DosingPumps[0].Container.AlkalinityMeqL, p.DosingPumps[0].Container.CalciumMgL = 0, 40000
		}, nil, "chemical_guard", nil, nil},
		// 33 - 0.5 · 3 cuts drain and top-off, 36.5 + 0.5 · 3 the new water
		{"guards by salinity", []string{"salinity_shock"}, nil, nil, "chemical_guard",
			[]text.Params{{"cut": 31.5, "pumps": []string{"drain", "pump"}}, {"cut": 38.0, "pumps": []string{"new"}}}, nil},
		{"a drain 10 mm below the line", []string{"run_dry"}, nil, nil, "drain_inlet", []text.Params{{"id": "drain",
			"depth": 10.0}}, func(t *testing.T, made []plan.Plan) {
			assert.InDelta(t, -10, *made[0].ChangePumps[0].InletMM, 0)
		}},
		{"one that is as high", []string{"run_dry"}, func(p *plan.Plan) { p.ChangePumps[0].InletMM = new(-10.0) }, nil,
			"drain_inlet", nil, nil},
		// 2 L at 12 L/h
		{"both by one contactor", []string{"run_dry"}, nil, nil, "one_contactor",
			[]text.Params{{"on": "10:00", "off": "10:10", "flow": 12.0}}, nil},
		// 4 L at the slower pump's 12 L/h
		{"as fast as the slower one", []string{"run_dry"}, func(p *plan.Plan) { p.ChangePumps[1].FlowLH = 24 }, nil,
			"one_contactor", []text.Params{{"off": "10:20", "flow": 12.0}}, nil},
		{"four hours together at most", []string{"run_dry"}, func(p *plan.Plan) {
			p.ChangePumps[1].Doses = &plan.Doses{ADay: 1, RunS: 14400, FirstAt: "03:15"}
		}, nil, "one_contactor", []text.Params{{"off": "14:00"}}, nil},
		{"more than four hours together", []string{"run_dry"}, func(p *plan.Plan) {
			p.ChangePumps[1].Doses = &plan.Doses{ADay: 1, RunS: 14460, FirstAt: "03:15"}
		}, nil, "one_contactor", nil, nil},
		{"one without a clock", []string{"run_dry"}, func(p *plan.Plan) {
			p.ChangePumps[1].Doses = nil
			k := plan.NewControl("renew", plan.Timer, "new")
			k.Schedule = day("10:00", "10:10", 0)
			p.Controls = append(p.Controls, k)
		}, nil, "one_contactor", nil, nil},
	} {
		c.holds(t, base())
	}
}
