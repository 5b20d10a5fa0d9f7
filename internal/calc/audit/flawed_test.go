package audit

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
)

// Ten flawed plans, each with a prediction that was worked by hand before it was audited. They are all bare(), a
// tank of 250 L inside, 225 L of water, 1000 x 500 mm and 500 mm deep, open, in 21 °C, 17 °C or 28 °C:
//
//	capacity   225 L · 4.09 kJ/(L K) = 0.92 MJ/K
//	dry loss   1.5 m² of glass at 6.9 W/(m² K), 0.5 m² of surface at 8, a floor at 2: 15 W/K. That was too little: the
//	           heat balance has 21 W/K. Plans 2 and 4, which turn on it, say what it changed.
//	latent     0.74 · 0.5 m² · 0.097 · the vapour pressure difference in kPa · 1000: 36 W/kPa, which grows by 7 W/K
//	tau        0.92 MJ/K / 22 W/K = 11.6 h
//	gains      a circulation pump of 12.5 W, 30 W of the lamp's for ten hours a day: 25 W
//	at 25.75 in 21 °C it loses 144 W; at 28 in 28 °C, by evaporation alone, 65 W; at 17 in 17 °C 33 W
//
// Where a prediction was wrong the comment says so.

func probe(id string) plan.Sensor { return plan.Sensor{ID: id, Kind: plan.TemperatureKind} }

func heatBy(id, sensor string, outputs ...string) plan.Control {
	return plan.Control{ID: id, Kind: plan.Heating, Sensor: &sensor, SetpointC: ptr(25.5), HysteresisK: 0.4,
		Outputs: outputs, OnSensorLoss: plan.OffWithoutSensor}
}

func told(id, sensor string, when plan.When, thresholdC *float64, path plan.AlarmPath) plan.Alarm {
	return plan.Alarm{ID: id, Sensor: sensor, When: when, ThresholdC: thresholdC, DelayMin: 5, Path: path,
		OwnBattery: true}
}

func codes(list []Finding) []string {
	var out []string
	for _, f := range list {
		out = append(out, f.Code)
	}
	return out
}

func checked(t *testing.T, p plan.Plan) []string {
	t.Helper()
	s, err := Check(p)
	require.NoError(t, err)
	return codes(s.Weaknesses)
}

// 1. A guard at 31 °C. In 28 °C the water rests at 28 - 40/22 = 26.2 °C. With the relay welded 300 W and 25 W less
// some 80 W warm it by 0.96 K/h: 29.5 °C after 3.4 h, harm 2 h later. The guard then holds it at 31 °C, which nothing
// calls a loss within three days: harmed, 5.4 h, peak 31.0 °C.
func TestFlawedByAGuardBeyondHarm(t *testing.T) {
	p := bare()
	p.Heaters[0].ThermostatC = nil
	p.Sensors = []plan.Sensor{probe("probe"), probe("other")}
	p.Controls = []plan.Control{heatBy("warm", "probe", "heater"), {ID: "cut", Kind: plan.Supervisor,
		Sensor: ptr("other"), When: ptr(plan.Above), ThresholdC: ptr(31.0), Outputs: []string{"heater"},
		OnSensorLoss: plan.OffWithoutSensor}}
	assert.Contains(t, checked(t, p), "guard_beyond_harm")
	f := fault(t, single(t, p), "warm.output_welded.heater")
	assert.Equal(t, Harmed, f.Verdict)
	assert.Equal(t, "overheated", f.FirstHarm)
	assert.InEpsilon(t, 5.4, *f.HarmH, 0.15)
	assert.InDelta(t, 31.0, f.Extremes.TempMaxC, 0.05)
	assert.Equal(t, []NoHelp{{Why: NoAlarmAtAll}}, f.NoHelp)
}

// 2. Heating 25.5 to 26.5 °C, a chiller of 300 W from 26 °C down to 25 °C. The heater never reaches 26.5 °C and is
// always on; the chiller takes what 325 W leave of the loss at 25.5 °C, 139 W: 186/300 = 0.62 of the time. Nothing
// leaves comfort. Wrong: with 21 W/K the loss is 4.5·21 + 67 = 162 W, and the share 163/300 = 0.54.
func TestFlawedByOverlappingBands(t *testing.T) {
	p := bare()
	p.Heaters[0].ThermostatC = ptr(26.0)
	p.Chillers = []plan.Chiller{{ID: "chiller", CoolingW: 300, ThermostatC: ptr(25.5), ThermostatHysteresisK: 1}}
	assert.Contains(t, checked(t, p), "heats_against_cooling")
	n := single(t, p).Nominal[1]
	require.Equal(t, Usual, n.Room)
	assert.True(t, n.InComfort)
	for _, d := range n.Devices {
		switch d.ID {
		case "heater":
			assert.InDelta(t, 1, d.DutyShare, 0.01)
		case "chiller":
			assert.InDelta(t, 0.54, d.DutyShare, 0.02)
		}
	}
}

// 3. The only alarm is raised at 30.5 °C. With the thermostat welded harm comes at 5.4 h as in 1; 30.5 °C is passed
// 1.1 h after 29.5 °C, at 4.5 h, and help arrives 4 h later, at 8.6 h: harmed, 3.2 h too late, and before 34 °C.
func TestFlawedByAnAlarmBeyondHarm(t *testing.T) {
	p := bare()
	p.Sensors = []plan.Sensor{probe("probe")}
	p.Alarms = []plan.Alarm{told("hot", "probe", plan.Above, ptr(30.5), plan.CellularPath)}
	assert.Contains(t, checked(t, p), "alarm_beyond_harm")
	f := fault(t, single(t, p), "heater.thermostat_welded")
	assert.Equal(t, Harmed, f.Verdict)
	require.Len(t, f.NoHelp, 1)
	assert.Equal(t, TooLate, f.NoHelp[0].Why)
	assert.InDelta(t, 3.2, *f.NoHelp[0].LateH, 0.4)

	p.Alarms = append(p.Alarms, told("warm", "probe", plan.Above, ptr(28.0), plan.CellularPath))
	assert.NotContains(t, checked(t, p), "alarm_beyond_harm", "a second step after a first one is no contradiction")
}

// 4. Two controls by one probe, each with 80 W, in 20 to 25 °C. One stuck on brings 80 + 25 W, 50 W above what
// evaporation takes at 25 °C: 27.3 °C, held. The probe frozen low brings both, 130 W above it: 25 + 130/22.5 =
// 30.8 °C, harmed and not lost. The verdicts were right, the peak was not: with 21 + 7 W/K it is 25 + 137/28 = 29.9 °C
// and a little more while the lamp is on.
func TestFlawedByControlsOnOneProbe(t *testing.T) {
	p := bare()
	p.Room.Coldest = &plan.RoomState{TempC: 20, RHPercent: 50}
	p.Room.Warmest = &plan.RoomState{TempC: 25, RHPercent: 50}
	p.Heaters = []plan.Heater{{ID: "left", PowerW: 80}, {ID: "right", PowerW: 80}}
	p.Sensors = []plan.Sensor{probe("probe")}
	p.Controls = []plan.Control{heatBy("first", "probe", "left"), heatBy("second", "probe", "right")}
	assert.Contains(t, checked(t, p), "controls_share_sensor")
	r := single(t, p)
	assert.Equal(t, Held, fault(t, r, "first.hung_on").Verdict)
	assert.Equal(t, Held, fault(t, r, "left.element_open").Verdict)
	f := fault(t, r, "probe.frozen_low")
	assert.Equal(t, Harmed, f.Verdict)
	assert.InDelta(t, 30.0, f.Extremes.TempMaxC, 0.3)
}

// 5. The router hangs on the heater's circuit; pump and lamp do not. The water falls to 17 + 25/21 - 33/21 = 16.6 °C
// with 11.6 h: 18 °C after 11.6·ln(8.9/1.4) = 21 h, loss 48 h later, at 69 h. The cold alarm has a battery, and the
// router does not.
func TestFlawedByTheRouterOnTheFailingCircuit(t *testing.T) {
	p := bare()
	p.Attendance.LongestAbsenceH = ptr(120.0)
	p.Power.Circuits = []plan.Circuit{{ID: "a"}, {ID: "b"}}
	p.Power.NetworkCircuit = ptr("b")
	p.Heaters[0].Circuit = ptr("b")
	p.Sensors = []plan.Sensor{probe("probe")}
	p.Alarms = []plan.Alarm{told("cold", "probe", plan.Below, ptr(24.0), plan.NetworkPath)}
	assert.Contains(t, checked(t, p), "router_on_failing_circuit")
	r := single(t, p)
	f := fault(t, r, "b.tripped")
	assert.Equal(t, Lost, f.Verdict)
	assert.Equal(t, "chilled", f.FirstLoss)
	assert.InEpsilon(t, 69, *f.LossH, 0.1)
	assert.Equal(t, []NoHelp{{Why: NetworkDown, Alarms: []string{"cold"}}}, f.NoHelp)

	p.Power.NetworkCircuit = ptr("a")
	assert.NotContains(t, checked(t, p), "router_on_failing_circuit")
	assert.Equal(t, Rescued, fault(t, single(t, p), "b.tripped").Verdict)
}

// 6. The alarm on the mains waits 90 minutes, its circuit's battery lasts one hour. An outage of 16 h in 17 °C: no
// pump, the lamp off, 17 - 33/20 = 15.4 °C with 11.6 h: 21.5 °C after 11.6·ln(10.1/6.1) = 5.9 h, harm at 7.9 h, and
// after 16 h the heater is back. Oxygen does its harm later: 6.7 - 0.3/0.041 = -0.5 mg/L with 24 h gives 3.5 mg/L
// after 11.5 h. Harmed, and the battery is the reason.
func TestFlawedByAFlatBattery(t *testing.T) {
	p := bare()
	p.Power.Circuits = []plan.Circuit{{ID: "a"}, {ID: "b", BackupH: 1}}
	p.Power.LongestOutageH = 16
	p.Sensors = []plan.Sensor{{ID: "watch", Kind: plan.PowerKind, Circuit: ptr("a")}}
	p.Alarms = []plan.Alarm{{ID: "dead", Sensor: "watch", When: plan.NoPower, DelayMin: 90, Path: plan.CellularPath,
		Circuit: ptr("b")}}
	f := fault(t, single(t, p), "mains.lost")
	assert.Equal(t, Harmed, f.Verdict)
	assert.Equal(t, "chilled", f.FirstHarm)
	assert.InEpsilon(t, 7.9, *f.HarmH, 0.15)
	assert.Equal(t, []NoHelp{{Why: BatteryFlat, Alarms: []string{"dead"}}}, f.NoHelp)
}

// 7. A buzzer at 28.5 °C. With the thermostat welded the water nears 28 + 260/25 = 38 °C with some 10.5 h: 34 °C after
// 10.5·ln(11.8/4) = 11.4 h, loss 4 h later, at 15 h. Somebody in the room would have had eleven hours.
func TestFlawedByABuzzer(t *testing.T) {
	p := bare()
	p.Sensors = []plan.Sensor{probe("probe")}
	p.Alarms = []plan.Alarm{told("buzzer", "probe", plan.Above, ptr(28.5), plan.AudiblePath)}
	f := fault(t, single(t, p), "heater.thermostat_welded")
	assert.Equal(t, Lost, f.Verdict)
	assert.InEpsilon(t, 15, *f.LossH, 0.15)
	assert.Equal(t, []NoHelp{{Why: OnlyInRoom, Alarms: []string{"buzzer"}}}, f.NoHelp)
}

// 8. A latching guard at 25.6 °C over a thermostat that heats to 26 °C: it trips in the first cycle and stays so. The
// coldest room then holds 16.6 °C, and a tank that somebody leaves so is harmed after the two hours that are allowed,
// with nothing broken. The usual one, at 21 + 25/21 - 42/21 = 20.2 °C, likewise; the warmest rests at 26.2 °C.
// Half wrong: in the usual room the heater, which somebody reset, passes 21.5 °C again within those two hours, and harm
// comes only once the guard has cut and the water has fallen from 25.6 °C: 6 h up, 7 h towards 21.2 °C with the lamp
// on, 7.6 h towards 20.1 °C without it, and the two hours: 22.6 h. The simulation said nothing of it at all: it stopped
// looking when the water had once recovered. Mended.
func TestFlawedByAGuardInTheBand(t *testing.T) {
	p := bare()
	p.Heaters[0].ThermostatC = ptr(25.5)
	p.Sensors = []plan.Sensor{probe("probe")}
	p.Controls = []plan.Control{{ID: "cut", Kind: plan.Supervisor, Sensor: ptr("probe"), When: ptr(plan.Above),
		ThresholdC: ptr(25.6), Outputs: []string{"heater"}, Latching: true, OnSensorLoss: plan.OffWithoutSensor}}
	assert.Contains(t, checked(t, p), "guard_cuts_daily")
	r := single(t, p)
	assert.Contains(t, codes(r.Findings), "nominal_chilled")
	harmH := func(n NominalReport) *float64 {
		at := slices.IndexFunc(n.Crossings, func(c Crossing) bool { return c.Loss == "chilled" })
		if at < 0 {
			return nil
		}
		return n.Crossings[at].HarmH
	}
	require.NotNil(t, harmH(r.Nominal[0]))
	assert.InDelta(t, 2, *harmH(r.Nominal[0]), 0.05)
	require.NotNil(t, harmH(r.Nominal[1]))
	assert.InEpsilon(t, 22.6, *harmH(r.Nominal[1]), 0.1)
	assert.Nil(t, harmH(r.Nominal[2]))
}

// 9. A reservoir of 60 L, a cube of 391 mm, whose full water stands 200 mm above the end of its line: 30.6 L run on at
// the first stop of the pump. 40 mm of freeboard take 20 L; 10.6 L are on the floor in each absence, with nothing
// broken, and the salinity falls to 35·225/245·exp(-10.6/245) = 30.8. Wrong by the pump's own share: the float lets the
// level fall by 5 mm, so that 2.5 of the 30.6 L replace what had evaporated. 8.1 L and 35·225/245·exp(-8.1/245) = 31.1.
func TestFlawedByASiphon(t *testing.T) {
	p := bare()
	p.Reservoirs[0] = plan.Reservoir{ID: "canister", VolumeL: 60, UsableShare: 1, WaterAboveOutletMM: 200}
	assert.Contains(t, checked(t, p), "reservoir_siphons")
	r := single(t, p)
	assert.Contains(t, codes(r.Findings), "nominal_flooded")
	f := fault(t, r, "network.lost")
	assert.InDelta(t, 8.1, f.Extremes.SpilledL, 0.1)
	assert.InDelta(t, 31.1, f.Extremes.SalinityMin, 0.05)
	assert.Empty(t, f.Damage, "it is the plan's, not the network's")
}

// 10. A lamp that sticks on as somebody leaves, for 72 h, with 72 h of light allowed. Left at 08:00, before the lamp's
// day, the limit falls on the very hour in which somebody comes back: held. Left at noon, an hour into it, it is passed
// after 71 h: damage, and no alarm to tell of it.
func TestFlawedByALampStuckOn(t *testing.T) {
	p := bare()
	assert.Equal(t, Held, fault(t, single(t, p), "light.programme_stuck_on").Verdict)
	p.Attendance.LeavesAt = "12:00"
	f := fault(t, single(t, p), "light.programme_stuck_on")
	assert.Equal(t, Harmed, f.Verdict)
	assert.Equal(t, []string{"no_dark"}, f.Damage)
	assert.InDelta(t, 71, *f.HarmH, 1e-6)
}
