// Package draft designs a plan for a tank and proves it by its own audit.
package draft

import (
	"context"
	"fmt"
	"math"
	"slices"

	"saltwright/internal/calc"
	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/moistair"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
)

// Input is a tank, its rooms, its people and what may be bought.
type Input struct {
	Name           string
	Livestock      plan.Livestock
	Display        plan.Vessel
	Sump           bool
	Room           plan.Room
	LightsW        float64 // 0 … 20000 W
	LookEveryH     float64
	DaysAway       float64 // 0.5 … 60
	ResponseH      float64 // from alarm to hands on the tank
	LongestOutageH float64
	Heaters        int  // 1 … 4 that may be used
	Circuits       int  // 1 or 2
	Battery        bool // circuits may have a battery
	Cellular       bool // alarms may travel by a path of their own
}

// Limit is what stands in the way of a plan that no single failure loses.
type Limit struct {
	Loss     string
	Message  string
	Change   string
	Elements []string
}

// Result is a plan and the proof of it.
type Result struct {
	Plan     plan.Plan // as designed, not completed
	Report   audit.Report
	Sound    bool
	Limits   []Limit  // empty when it is sound
	Attempts int      // audits it took
	Choices  []string // why it is as it is
}

const mostAttempts = 9

// Draft designs a plan and mends it by its own audit until no single failure loses the tank, or nothing helps any more.
//
//	main heater   1.25 times the coldest room's need, under a control and, in series, its own thermostat
//	other heaters what holds the low harm limit without the main one, each by its own thermostat on the other circuit
//	supervisors   cut the main heater and the others, each by a probe of its own;  top-off: a pump of 1.6 times the evaporation per hour and day
//
// Accuracy: that of the audit. Errors: *calc.RangeError, *calc.ConflictError, the context's.
// Source: [CommonPractice] for the arrangement, [Derived] for the sizes.
func Draft(ctx context.Context, in Input) (Result, error) {
	if err := in.check(); err != nil {
		return Result{}, err
	}
	d, err := newDesign(in)
	if err != nil {
		return Result{}, err
	}
	var best Result
	for n := 1; n <= mostAttempts; n++ {
		p := d.plan()
		report, err := audit.Single(ctx, p)
		if err != nil {
			return Result{}, err
		}
		r := Result{Plan: p, Report: report, Sound: report.Sound(), Attempts: n}
		if n == 1 || r.Sound || len(report.Findings) > 0 && report.Count(audit.Lost) < best.Report.Count(audit.Lost) {
			best = r
		}
		best.Attempts = n
		if r.Sound || !d.mend(report) {
			break
		}
	}
	best.Choices = d.choices()
	if !best.Sound {
		for _, f := range best.Report.Findings {
			if f.Severity == audit.Fatal {
				best.Limits = append(best.Limits, Limit{Loss: f.Code, Message: f.Message, Change: f.Change, Elements: f.Elements})
			}
		}
	}
	return best, nil
}

func (in Input) check() error {
	for _, c := range []struct {
		param           string
		value, min, max float64
		unit            string
	}{
		{"days_away", in.DaysAway, 0.5, 60, "d"}, {"look_every_h", in.LookEveryH, 1, 24 * 60, "h"}, {"response_h", in.ResponseH, 0.1, 200, "h"},
		{"longest_outage_h", in.LongestOutageH, 0, 240, "h"}, {"lights_w", in.LightsW, 0, 20000, "W"},
		{"heaters", float64(in.Heaters), 1, 4, "1"}, {"circuits", float64(in.Circuits), 1, 2, "1"},
	} {
		if err := calc.CheckRange(c.param, c.value, c.min, c.max, c.unit); err != nil {
			return err
		}
	}
	return nil
}

// design is what is turned until the audit is content.
type design struct {
	in                     Input
	tank                   plan.Plan // completed, without devices: its measures, limits and rooms
	setpointC              float64
	needW, holdW           float64 // to hold the set-point, and the low harm limit, in the coldest room
	evaporationLD          float64 // most of any room
	volumeL                float64
	mainW, otherW          float64
	backstopK              float64
	cutC                   float64 // supervisor
	warmAlarmC, coldAlarmC float64
	alarmDelayMin          float64
	pumpLH                 float64
	runLimitMin            float64
	reservoirL             float64
	levelMM                float64 // running level in the sump
	lowMM, highMM          float64
	batteryH               float64
	fan                    bool
}

func ptr[T any](v T) *T { return &v }

func newDesign(in Input) (*design, error) {
	d := &design{in: in}
	bare := plan.Plan{
		Livestock: in.Livestock, SalinityPSU: 35, DriftK: 3, Display: in.Display, Room: in.Room, Oxygen: plan.Oxygen{StirredCMH: 20, StillCMH: 2.07},
		Power: plan.Power{LongestOutageH: in.LongestOutageH}, Attendance: d.attendance(),
	}
	var err error
	if d.tank, _, err = plan.Complete(bare); err != nil {
		return nil, err
	}
	if in.Sump {
		bare.Sump = d.sump()
		if d.tank, _, err = plan.Complete(bare); err != nil {
			return nil, err
		}
		d.levelMM = d.tank.Sump.WaterLevelMM
	}
	l := d.tank.Limits
	d.setpointC = math.Round(5*(*l.ComfortLowC+*l.ComfortHighC)) / 10
	if err := d.balances(); err != nil {
		return nil, err
	}
	d.mainW = round5(1.25 * d.needW)
	d.otherW = round5(1.1 * d.holdW)
	d.backstopK = 1.1
	d.cutC = math.Round(10*(*l.ComfortHighC+0.3*(*l.HarmHighC-*l.ComfortHighC))) / 10
	d.warmAlarmC, d.coldAlarmC = *l.ComfortHighC+0.2, *l.ComfortLowC-0.2
	d.alarmDelayMin = 10
	d.pumpLH = math.Max(0.5, math.Round(16*d.evaporationLD)/10)
	d.runLimitMin = 20
	d.reservoirL = math.Ceil(1.3 * d.evaporationLD * in.DaysAway)
	d.lowMM, d.highMM = -15, 12
	if in.Sump {
		d.lowMM, d.highMM = -0.18*d.levelMM, 0.12*d.levelMM
	}
	return d, nil
}

func round5(w float64) float64 { return math.Max(10, 5*math.Ceil(w/5)) }

func (d *design) attendance() plan.Attendance {
	return plan.Attendance{LookEveryH: d.in.LookEveryH, LongestAbsenceH: ptr(24 * d.in.DaysAway), ResponseH: ptr(d.in.ResponseH), LeavesAtHour: 8}
}

// sump is a vessel below the display of some two fifths of its footprint.
func (d *design) sump() *plan.Sump {
	v := d.tank.Display
	length, width := 0.75*(*v.LengthMM), 0.75*(*v.WidthMM)
	height := math.Max(250, math.Min(500, 0.8*(*v.WaterDepthMM)))
	return &plan.Sump{
		LengthMM: math.Round(length), WidthMM: math.Round(width), HeightMM: math.Round(height), WaterLevelMM: math.Round(0.52 * height),
		WallMM: 8, Material: "glass", Lid: "open",
	}
}

// balances finds what heating and top-off have to cope with.
func (d *design) balances() error {
	p := d.tank
	v := p.Display
	system := heat.System{
		Display: heat.Vessel{
			LengthMM: *v.LengthMM, WidthMM: *v.WidthMM, WaterDepthMM: *v.WaterDepthMM, FreeboardMM: v.FreeboardMM,
			WallMM: v.WallMM, Material: heat.Material(v.Material), Lid: evaporation.Lid(v.Lid),
		},
		VolumeL: *v.VolumeL * (1 - v.RockShare), Salinity: 35,
	}
	if s := p.Sump; s != nil {
		system.Sump = &heat.Vessel{
			LengthMM: s.LengthMM, WidthMM: s.WidthMM, WaterDepthMM: s.WaterLevelMM, FreeboardMM: s.HeightMM - s.WaterLevelMM,
			WallMM: s.WallMM, Material: heat.Material(s.Material), Lid: evaporation.Lid(s.Lid),
		}
		system.VolumeL += s.LengthMM * s.WidthMM * s.WaterLevelMM / 1e6
	}
	d.volumeL = system.VolumeL
	pressure, err := moistair.StandardPressure(p.Room.AltitudeM)
	if err != nil {
		return err
	}
	at := func(r plan.RoomState, waterC float64) (heat.BalanceResult, error) {
		return heat.Balance(heat.BalanceInput{System: system, Water: quantity.Celsius(waterC), Gains: heat.GainsNone, Room: heat.Surroundings{
			Air: moistair.State{Temp: quantity.Celsius(r.TempC), RelativeHumidity: r.RHPercent / 100, Pressure: pressure}, AirSpeedMS: p.Room.AirSpeedMS,
		}})
	}
	for _, r := range []plan.RoomState{*p.Room.Coldest, p.Room.Usual, *p.Room.Warmest} {
		b, err := at(r, d.setpointC)
		if err != nil {
			return err
		}
		d.needW = math.Max(d.needW, b.NetW.Expected)
		d.evaporationLD = math.Max(d.evaporationLD, b.EvaporatedLPerDay.Expected)
		if b, err = at(r, *p.Limits.HarmLowC); err != nil {
			return err
		}
		d.holdW = math.Max(d.holdW, b.NetW.Expected)
	}
	return nil
}

// plan writes the design down.
func (d *design) plan() plan.Plan {
	in := d.in
	first, second := "circuit-1", "circuit-1"
	circuits := []plan.Circuit{{ID: "circuit-1", GroundFault: true, BackupH: d.batteryH}}
	if in.Circuits == 2 {
		second = "circuit-2"
		circuits = append(circuits, plan.Circuit{ID: "circuit-2", GroundFault: true, BackupH: d.batteryH})
	}
	p := plan.Plan{
		Name: in.Name, Livestock: in.Livestock, SalinityPSU: 35, DriftK: 3, Display: in.Display, Room: in.Room,
		Oxygen: plan.Oxygen{StirredCMH: 20, StillCMH: 2.07}, Attendance: d.attendance(),
		Power: plan.Power{Circuits: circuits, NetworkCircuit: ptr(first), LongestOutageH: in.LongestOutageH},
	}
	probeAt := plan.InDisplay
	v := d.tank.Display
	displayL := *v.VolumeL
	if in.Sump {
		s := *d.sump()
		s.WaterLevelMM = d.levelMM
		p.Sump = &s
		probeAt = plan.InSump
		p.Pumps = append(p.Pumps, plan.Pump{ID: "return", Role: plan.ReturnRole, FlowLH: math.Round(6 * displayL), PowerW: math.Max(5, math.Round(0.1*displayL)), HeatShare: 1, Circuit: ptr(first)})
	}
	p.Pumps = append(p.Pumps,
		plan.Pump{ID: "stream-a", Role: plan.CirculationRole, FlowLH: math.Round(6 * displayL), PowerW: math.Max(3, math.Round(0.03*displayL)), HeatShare: 1, Circuit: ptr(second)},
		plan.Pump{ID: "stream-b", Role: plan.CirculationRole, FlowLH: math.Round(6 * displayL), PowerW: math.Max(3, math.Round(0.03*displayL)), HeatShare: 1, Circuit: ptr(first)})
	p.Heaters = []plan.Heater{{ID: "heater-main", PowerW: d.mainW, Place: ptr(probeAt), ThermostatC: ptr(d.setpointC + d.backstopK), ThermostatHysteresisK: 0.6, Circuit: ptr(first)}}
	var rest []string
	others := in.Heaters - 1
	if others > 1 && d.otherW <= 150 {
		others = 1
	}
	for i := range others {
		id := fmt.Sprintf("heater-%d", i+2)
		rest = append(rest, id)
		p.Heaters = append(p.Heaters, plan.Heater{
			ID: id, PowerW: round5(d.otherW / float64(others)), Place: ptr(probeAt), ThermostatC: ptr(d.setpointC - 0.7), ThermostatHysteresisK: 0.6, Circuit: ptr(second),
		})
	}
	p.TopOffPumps = []plan.TopOffPump{{ID: "fill-pump", FlowLH: d.pumpLH, PowerW: 5, Reservoir: "fresh-water", Circuit: ptr(second)}}
	p.Reservoirs = []plan.Reservoir{{ID: "fresh-water", VolumeL: d.reservoirL, UsableShare: 0.95, WaterAboveOutletMM: -100}}
	if in.LightsW > 0 {
		p.Lights = []plan.Light{{ID: "lamp", PowerW: in.LightsW, HeatShare: 0.3, Circuit: ptr(second), Schedule: &plan.Schedule{OnHour: ptr(10.0), OffHour: ptr(20.0), RampMin: 90}}}
	}
	if d.fan {
		p.Fans = []plan.Fan{{ID: "fan", AirSpeedMS: 2, PowerW: 8, Circuit: ptr(second)}}
	}
	p.Sensors = []plan.Sensor{
		{ID: "control-probe", Kind: plan.TemperatureKind, Place: ptr(probeAt)},
		{ID: "guard-probe", Kind: plan.TemperatureKind, Place: ptr(plan.InDisplay)},
		{ID: "line-float", Kind: plan.LevelKind, HeightMM: ptr(0.0), HysteresisMM: 4},
		{ID: "high-float", Kind: plan.LevelKind, HeightMM: ptr(math.Round(d.highMM)), HysteresisMM: 2},
		{ID: "low-float", Kind: plan.LevelKind, HeightMM: ptr(math.Round(d.lowMM)), HysteresisMM: 2},
		{ID: "floor-strip", Kind: plan.LeakKind},
	}
	p.Controls = []plan.Control{
		{ID: "heat-control", Kind: plan.Heating, Sensor: ptr("control-probe"), SetpointC: ptr(d.setpointC), HysteresisK: 0.4, Outputs: []string{"heater-main"}, OnSensorLoss: "off", Circuit: ptr(first)},
		{ID: "fill-control", Kind: plan.TopOff, Sensor: ptr("line-float"), RunLimitMin: ptr(d.runLimitMin), Outputs: []string{"fill-pump"}, OnSensorLoss: "off", Circuit: ptr(second)},
		{ID: "heat-guard", Kind: plan.Supervisor, Sensor: ptr("guard-probe"), When: ptr(plan.Above), ThresholdC: ptr(d.cutC), HysteresisK: 0.4, Outputs: []string{"heater-main"}, OnSensorLoss: "on", Circuit: ptr(first)},
		{ID: "fill-guard", Kind: plan.Supervisor, Sensor: ptr("high-float"), When: ptr(plan.Wet), Outputs: []string{"fill-pump"}, OnSensorLoss: "off", Circuit: ptr(first)},
	}
	if len(rest) > 0 { // a guard of their own, so that one that cuts falsely leaves the other's heaters
		p.Sensors = append(p.Sensors, plan.Sensor{ID: "spare-probe", Kind: plan.TemperatureKind, Place: ptr(plan.InDisplay)})
		p.Controls = append(p.Controls, plan.Control{ID: "spare-guard", Kind: plan.Supervisor, Sensor: ptr("spare-probe"), When: ptr(plan.Above), ThresholdC: ptr(d.cutC), HysteresisK: 0.4, Outputs: rest, OnSensorLoss: "on", Circuit: ptr(second)})
	}
	if in.LightsW > 0 {
		p.Controls = append(p.Controls, plan.Control{
			ID: "lamp-timer", Kind: plan.Timer, Outputs: []string{"lamp"}, OnSensorLoss: "off", Circuit: ptr(second),
			Schedule: &plan.Schedule{OnHour: ptr(9.5), OffHour: ptr(20.5)},
		})
	}
	if d.fan {
		p.Controls = append(p.Controls, plan.Control{ID: "fan-control", Kind: plan.Cooling, Sensor: ptr("control-probe"), SetpointC: ptr(d.setpointC + 0.9), HysteresisK: 0.4, Outputs: []string{"fan"}, OnSensorLoss: "off", Circuit: ptr(second)})
	}
	path := plan.NetworkPath
	if in.Cellular {
		path = plan.CellularPath
	}
	alarm := func(id, sensor string, when plan.When, threshold *float64, delay float64) {
		p.Alarms = append(p.Alarms, plan.Alarm{ID: id, Sensor: sensor, When: when, ThresholdC: threshold, DelayMin: delay, Path: path, OnSensorLoss: threshold != nil, OwnBattery: true})
	}
	alarm("too-cold", "guard-probe", plan.Below, ptr(d.coldAlarmC), d.alarmDelayMin)
	alarm("too-warm", "guard-probe", plan.Above, ptr(d.warmAlarmC), d.alarmDelayMin)
	alarm("low-water", "low-float", plan.Dry, nil, d.alarmDelayMin)
	alarm("high-water", "high-float", plan.Wet, nil, d.alarmDelayMin)
	alarm("wet-floor", "floor-strip", plan.Wet, nil, 0)
	for _, c := range circuits {
		p.Sensors = append(p.Sensors, plan.Sensor{ID: "watch-" + c.ID, Kind: plan.PowerKind, Circuit: ptr(c.ID)})
		alarm("dead-"+c.ID, "watch-"+c.ID, plan.NoPower, nil, 5)
	}
	if in.Sump {
		p.Sensors = append(p.Sensors, plan.Sensor{ID: "flow-vane", Kind: plan.FlowKind})
		alarm("no-return", "flow-vane", plan.NoFlow, nil, d.alarmDelayMin)
	}
	for _, id := range []string{"high-float", "low-float", "guard-probe", "heat-guard", "fill-guard", "heater-main", "floor-strip"} {
		p.ProofTests = append(p.ProofTests, plan.ProofTest{Element: id, EveryDays: 30})
	}
	return p
}

// mend turns what the worst findings ask for, and tells whether anything was left to turn.
func (d *design) mend(r audit.Report) bool {
	changed := false
	turn := func(ok bool, f func()) {
		if ok {
			f()
			changed = true
		}
	}
	var codes []string
	for _, f := range r.Findings {
		if f.Severity == audit.Fatal {
			codes = append(codes, f.Code)
		}
	}
	has := func(parts ...string) bool {
		return slices.ContainsFunc(codes, func(c string) bool { return slices.Contains(parts, c) })
	}
	if has("lost_overheated") {
		turn(d.mainW > round5(1.05*d.needW), func() { d.mainW = math.Max(round5(1.05*d.needW), round5(0.85*d.mainW)) })
		turn(d.cutC > *d.tank.Limits.ComfortHighC, func() { d.cutC -= 0.3 })
		turn(d.backstopK > 0.85, func() { d.backstopK -= 0.15 })
		turn(d.warmAlarmC > d.setpointC+1.2, func() { d.warmAlarmC -= 0.3; d.alarmDelayMin = 5 })
		turn(d.otherW > round5(d.holdW), func() { d.otherW = round5(d.holdW) })
	}
	if has("nominal_overheated") {
		turn(!d.fan, func() { d.fan = true })
	}
	if has("lost_chilled", "nominal_chilled") {
		turn(d.in.Battery && d.batteryH < d.in.LongestOutageH, func() { d.batteryH = math.Ceil(d.in.LongestOutageH) })
		turn(d.in.Heaters > 1 && d.otherW < 1.6*d.needW, func() { d.otherW = round5(1.25 * d.otherW) })
		turn(d.coldAlarmC < d.setpointC-1, func() { d.coldAlarmC += 0.3; d.alarmDelayMin = 5 })
		turn(d.mainW < 1.2*d.needW, func() { d.mainW = round5(1.25 * d.needW) })
	}
	if has("lost_airless") {
		turn(d.in.Battery && d.batteryH < d.in.LongestOutageH, func() { d.batteryH = math.Ceil(d.in.LongestOutageH) })
	}
	if has("lost_diluted", "lost_flooded") {
		turn(d.pumpLH > 0.1*d.evaporationLD, func() { d.pumpLH = math.Max(0.06*d.evaporationLD, 0.6*d.pumpLH) })
		turn(d.runLimitMin < 240, func() { d.runLimitMin /= 0.7 }) // the slower pump needs longer for its dose
		turn(d.highMM > 6, func() { d.highMM *= 0.8 })
	}
	if has("lost_flooded", "nominal_flooded") && d.in.Sump {
		turn(d.levelMM > 100, func() { d.levelMM = math.Round(0.9 * d.levelMM); d.lowMM, d.highMM = -0.18*d.levelMM, 0.12*d.levelMM })
	}
	if has("lost_run_dry", "lost_concentrated", "nominal_run_dry", "nominal_concentrated") {
		turn(d.lowMM < -8, func() { d.lowMM *= 0.7 })
		turn(d.reservoirL < 2*d.evaporationLD*d.in.DaysAway, func() { d.reservoirL = math.Ceil(1.2 * d.reservoirL) })
		turn(d.runLimitMin < 240 && has("nominal_run_dry", "nominal_concentrated"), func() { d.runLimitMin *= 1.5 })
	}
	return changed
}

// choices says why the plan is as it is.
func (d *design) choices() []string {
	out := []string{
		fmt.Sprintf("Holding %.1f °C in the coldest room takes about %.0f W; the main heater has %.0f W under a control, and its own thermostat stands %.1f K higher in series.", d.setpointC, d.needW, d.mainW, d.backstopK),
	}
	if d.in.Heaters > 1 {
		out = append(out, fmt.Sprintf("Without it the other heating of %.0f W holds the low harm limit by itself (about %.0f W), by its own thermostat and on the other circuit where there is one.", d.otherW, d.holdW))
	}
	guard := fmt.Sprintf("A supervisor with a probe of its own cuts the heating at %.1f °C.", d.cutC)
	if d.in.Heaters > 1 {
		guard = fmt.Sprintf("Supervisors with probes of their own cut the heating at %.1f °C, the main heater and the others by different ones, so that a false cut leaves the rest.", d.cutC)
	}
	out = append(out, guard,
		fmt.Sprintf("About %.1f L evaporate a day: %.0f L of reservoir last %.1f days with a reserve, and the pump gives no more than %.1f L/h, %.0f min at a stretch.", d.evaporationLD, d.reservoirL, d.in.DaysAway, d.pumpLH, d.runLimitMin))
	if d.batteryH > 0 {
		out = append(out, fmt.Sprintf("Without mains the water cools, or its oxygen falls, before anybody can come: both circuits need a battery for %.0f h.", d.batteryH))
	}
	return out
}
