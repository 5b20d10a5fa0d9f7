package audit

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
)

// A plan of 200 elements, with every part of the supply and of the water, stays within the budget of an audit.
func TestAPlanOf200Elements(t *testing.T) {
	if testing.Short() {
		t.Skip("some seconds")
	}
	p := twoOutlets()
	p.Display.VolumeL = ptr(3000.0)
	p.Attendance.LongestAbsenceH = ptr(36.0)
	p.Heaters = nil
	p.Overflows = []plan.Overflow{{ID: "weir"}, {ID: "spare"}}
	p.ReturnLines = []plan.ReturnLine{{ID: "line", NozzleDepthMM: 40, SiphonHole: true}}
	p.Leaks = []plan.Leak{{ID: "seam", Kind: plan.SeamLeak, HeightMM: -3000, FlowLH: 100}}
	p.RoomDevices = []plan.RoomDevice{{ID: "radiator", Kind: plan.RoomHeating, WithoutC: 10, Circuit: ptr("wall")}}
	for i := range 14 {
		name := func(what string) string { return fmt.Sprint(what, "-", i) }
		strip := name("strip")
		p.Power.Strips = append(p.Power.Strips, plan.Strip{ID: strip, Supply: []string{"wet", "wall"}[i%2],
			RatingA: ptr(6.0)})
		p.Heaters = append(p.Heaters, plan.Heater{ID: name("heater"), PowerW: 120, ThermostatC: ptr(26.5),
			ThermostatHysteresisK: 1, Supply: &strip})
		p.Pumps = append(p.Pumps, plan.Pump{ID: name("stream"), Role: plan.CirculationRole, FlowLH: 3000, PowerW: 10,
			Supply: &strip})
		p.Lights = append(p.Lights, plan.Light{ID: name("lamp"), PowerW: 30, HeatShare: 0.3, Supply: &strip,
			Schedule: &plan.Schedule{OnAt: ptr(plan.ClockTime("10:00")), OffAt: ptr(plan.ClockTime("20:00"))}})
		for _, probe := range []string{"probe", "guard-probe"} {
			p.Sensors = append(p.Sensors, plan.Sensor{ID: name(probe), Kind: plan.TemperatureKind})
			p.Alarms = append(p.Alarms, plan.Alarm{ID: name("alarm-" + probe), Sensor: name(probe), When: plan.Below,
				ThresholdC: ptr(23.5), DelayMin: 10, Path: plan.CellularPath, OwnBattery: true})
		}
		p.Controls = append(p.Controls,
			plan.Control{ID: name("warm"), Kind: plan.Heating, Sensor: ptr(name("probe")), SetpointC: ptr(25.5),
				HysteresisK: 1, Outputs: []string{name("heater")}, OnSensorLoss: "off", Supply: &strip},
			plan.Control{ID: name("cut"), Kind: plan.Supervisor, Sensor: ptr(name("guard-probe")),
				When: ptr(plan.Above), ThresholdC: ptr(28.0), Outputs: []string{name("heater")}, OnSensorLoss: "off",
				Supply: &strip})
		p.ProofTests = append(p.ProofTests, plan.ProofTest{Element: name("cut"), EveryDays: 30})
	}
	for i := range 7 {
		p.Power.Backups = append(p.Power.Backups, plan.Backup{ID: fmt.Sprint("brick-", i), Kind: plan.Battery,
			Supplies: []string{fmt.Sprint("strip-", i)}, Hours: ptr(2.0), Starts: plan.ByItself})
	}
	for i := range p.Heaters {
		p.Heaters[i].HeightMM = ptr(-60.0 - 10*float64(i))
	}
	for i := range p.Pumps {
		p.Pumps[i].CloggedShare = ptr(0.3)
	}
	for i := range 4 {
		p.Skimmers = append(p.Skimmers, newSkimmer(fmt.Sprint("skimmer-", i), 2, 0.3))
	}
	p.Sensors = append(p.Sensors, plan.Sensor{ID: "eye", Kind: plan.LightKind})
	p.Alarms = append(p.Alarms, plan.Alarm{ID: "night", Sensor: "eye", When: plan.Lit, DelayMin: 900,
		Path: plan.CellularPath, OwnBattery: true})
	for i := plan.Elements(p); i < 196; i++ {
		p.Sensors = append(p.Sensors, plan.Sensor{ID: fmt.Sprint("more-", i), Kind: plan.LeakKind})
	}
	done, _, err := plan.Complete(p)
	require.NoError(t, err)
	require.GreaterOrEqual(t, plan.Elements(done), 198)
	r := single(t, p)
	assert.Less(t, r.Events, MaxEvents)
	t.Logf("%d elements, %d faults, %d of %d events", plan.Elements(done), len(r.Faults), r.Events, MaxEvents)
}

// The same with people: ten persons, thirty ways, alarms that each name several of them, boxes, contactors, and starts
// with delays. Ways and persons move no water, so that they cost no events of their own.
func TestAPlanOf200ElementsWithWaysAndPersons(t *testing.T) {
	if testing.Short() {
		t.Skip("some seconds")
	}
	p := twoOutlets()
	p.Display.VolumeL = ptr(3000.0)
	p.Attendance.LongestAbsenceH = ptr(36.0)
	p.Heaters, p.Power.NetworkCircuit = nil, nil
	p.RoomDevices = []plan.RoomDevice{{ID: "radiator", Kind: plan.RoomHeating, WithoutC: 10, Circuit: ptr("wall")}}
	name := func(what string, i int) string { return fmt.Sprint(what, "-", i) }
	for i := range 10 {
		on := []string{"wet", "wall"}[i%2]
		p.Routers = append(p.Routers, plan.Router{ID: name("router", i), BatteryH: float64(i), Circuit: &on})
		p.Modems = append(p.Modems, plan.Modem{ID: name("modem", i), BatteryH: float64(i), Circuit: &on})
		p.Sirens = append(p.Sirens, plan.Siren{ID: name("siren", i), Circuit: &on})
		who := plan.Person{ID: name("person", i), ActsWithinH: ptr(1 + float64(i)),
			ReachedBy: []string{name("router", i), name("modem", (i+3)%10), name("siren", i)}}
		if i%2 == 0 {
			who.AnswersFrom, who.AnswersUntil = ptr(plan.ClockTime("07:00")), ptr(plan.ClockTime("22:00"))
		}
		p.Persons = append(p.Persons, who)
	}
	for i := range 15 {
		strip := name("strip", i)
		p.Power.Strips = append(p.Power.Strips, plan.Strip{ID: strip, Supply: []string{"wet", "wall"}[i%2],
			BackAfterMin: ptr(float64(i))})
		p.Heaters = append(p.Heaters, plan.Heater{ID: name("heater", i), PowerW: 120, ThermostatC: ptr(26.5),
			ThermostatHysteresisK: 1, Supply: &strip})
		p.Pumps = append(p.Pumps, plan.Pump{ID: name("stream", i), Role: plan.CirculationRole, FlowLH: 3000, PowerW: 10,
			Supply: &strip})
		p.Power.Starts = append(p.Power.Starts, plan.Start{Element: name("stream", i), InrushTimes: 6, InrushS: 0.5,
			BackAfterMin: ptr(float64(i) / 2)})
		for _, probe := range []string{"probe", "guard-probe"} {
			p.Sensors = append(p.Sensors, plan.Sensor{ID: name(probe, i), Kind: plan.TemperatureKind})
			p.Alarms = append(
				p.Alarms,
				plan.Alarm{ID: name("alarm-"+probe, i), Sensor: name(probe, i), When: plan.Below,
					ThresholdC: ptr(23.5), DelayMin: 10, OwnBattery: i%3 > 0, Circuit: ptr("wall"),
					Paths: []string{name("router", i%10), name("modem", (i+1)%10), name("siren", (i+2)%10)}},
			)
		}
		p.Controls = append(p.Controls, plan.Control{ID: name("warm", i), Kind: plan.Heating,
			Sensor: ptr(name("probe", i)), SetpointC: ptr(25.5), HysteresisK: 1, OnSensorLoss: "off",
			Outputs: []string{name("contactor", i)}})
		p.Contactors = append(
			p.Contactors,
			plan.Contactor{ID: name("contactor", i), Outputs: []string{name("heater", i)},
				Supply: &strip},
		)
	}
	for i := range 3 {
		box := plan.Box{ID: name("box", i), DeadOutputs: plan.DeadOpen, AfterRestart: "by_controls"}
		for k := i; k < 15; k += 3 {
			box.Holds = append(box.Holds, name("warm", k))
		}
		p.Boxes = append(p.Boxes, box)
	}
	for i := range p.Power.Circuits {
		p.Power.Circuits[i].BreakerA = ptr(16.0)
	}
	for i := plan.Elements(p); i < 198; i++ {
		p.Sensors = append(p.Sensors, plan.Sensor{ID: fmt.Sprint("more-", i), Kind: plan.LeakKind})
	}
	done, _, err := plan.Complete(p)
	require.NoError(t, err)
	require.GreaterOrEqual(t, plan.Elements(done), 198)
	begun := time.Now()
	r := single(t, p)
	assert.Less(t, r.Events, MaxEvents)
	t.Logf("%d elements, %d faults, %d of %d events, %d ms", plan.Elements(done), len(r.Faults), r.Events, MaxEvents,
		time.Since(begun).Milliseconds())
	kinds := map[string]int{}
	for _, f := range r.Faults {
		kinds[f.Fault.Kind]++
	}
	assert.Equal(t, []int{20, 20, 10, 10}, []int{kinds["router"], kinds["modem"], kinds["siren"], kinds["person"]})
}
