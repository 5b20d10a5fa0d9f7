package remedy

import (
	"math"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// The values of new alarms and of what is asked of people; all of them common practice, no source.
const (
	alarmBeyondK      = 0.2 // beyond the comfort band
	levelAlarmMM      = 15.0
	levelAlarmMin     = 10.0
	shortDelayMin     = 5.0
	soonestLookH      = 12   // nobody is asked to look more often
	lookShare         = 0.95 // of the time that a loss takes
	quickestResponseH = 1.0
)

// ownAlarm returns an alarm with a path and a battery of its own.
func ownAlarm(id string, when plan.When) plan.Alarm {
	a := plan.NewAlarm(id, "", when, plan.CellularPath)
	a.OwnBattery = true
	return a
}

// alarm adds a change that brings a sensor and the alarms that it raises.
func (c *candidates) alarm(code string, sentence text.Text, sensor plan.Sensor, alarms ...plan.Alarm) {
	c.add(code, sentence, func(p *plan.Plan) {
		id := addSensor(p, sensor)
		for _, a := range alarms {
			a.ID, a.Sensor = plan.FreeID(*p, a.ID), id
			p.Alarms = append(p.Alarms, a)
		}
	})
}

func (c *candidates) alarms() {
	if c.has("overheated", "chilled") {
		c.temperatureAlarm()
	}
	if c.has("run_dry", "concentrated", "flooded", "diluted") {
		c.levelAlarm("low_water_alarm", "remedy_low_water_alarm", "low-mark", -levelAlarmMM, "low-alarm", plan.Dry)
		c.levelAlarm("high_water_alarm", "remedy_high_water_alarm", "high-mark", levelAlarmMM, "high-alarm", plan.Wet)
	}
	if c.has("airless", "chilled", "overheated") {
		for _, x := range given(c.p.Power.Circuits, c.sent.Power.Circuits) {
			watch := plan.NewSensor("watch-"+x.ID, plan.PowerKind)
			watch.Circuit = &x.ID
			c.alarm("power_alarm", text.Of("remedy_power_alarm", text.Params{"circuit": x.ID}), watch,
				ownAlarm("dead-"+x.ID, plan.NoPower))
		}
	}
	for i, a := range given(c.p.Alarms, c.sent.Alarms) {
		mobile := func(p *plan.Plan) { p.Alarms[i].Path, p.Alarms[i].Paths = plan.CellularPath, nil }
		switch called := a.Path == plan.CellularPath; {
		case !called && !a.OwnBattery:
			c.add("alarm_path", text.Of("remedy_alarm_path", text.Params{"id": a.ID}),
				func(p *plan.Plan) { p.Alarms[i].OwnBattery = true; mobile(p) })
			c.add("mobile_path", text.Of("remedy_mobile_path", text.Params{"id": a.ID}), mobile)
		case !called:
			c.add("mobile_path", text.Of("remedy_mobile_path", text.Params{"id": a.ID}), mobile)
		case !a.OwnBattery:
			c.take(*audit.OwnBattery(a.ID))
		}
	}
	c.delays()
}

// delays shortens the delay of alarms.
func (c *candidates) delays() {
	for i, a := range given(c.p.Alarms, c.sent.Alarms) {
		if a.DelayMin > shortDelayMin {
			c.add("alarm_delay", text.Of("remedy_alarm_delay",
				text.Params{"id": a.ID, "to": shortDelayMin, "from": a.DelayMin}),
				func(p *plan.Plan) { p.Alarms[i].DelayMin = shortDelayMin })
		}
	}
}

func (c *candidates) temperatureAlarm() {
	probe := plan.NewSensor("alarm-probe", plan.TemperatureKind)
	probe.Place = new(plan.InDisplay)
	cold, warm := ownAlarm("cold-alarm", plan.Below), ownAlarm("warm-alarm", plan.Above)
	cold.ThresholdC = new(tenth(*c.p.Limits.ComfortLowC - alarmBeyondK))
	warm.ThresholdC = new(tenth(*c.p.Limits.ComfortHighC + alarmBeyondK))
	cold.OnSensorLoss, warm.OnSensorLoss = true, true
	c.alarm("temperature_alarm", text.Of("remedy_temperature_alarm", nil), probe, cold, warm)
}

func (c *candidates) levelAlarm(code, sentence, sensorID string, heightMM float64, alarmID string, when plan.When) {
	mark := plan.NewSensor(sensorID, plan.LevelKind)
	mark.HeightMM = &heightMM
	a := ownAlarm(alarmID, when)
	a.DelayMin = levelAlarmMin
	c.alarm(code, text.Of(sentence, text.Params{"mark": levelAlarmMM}), mark, a)
}

func (c *candidates) people() {
	if first := c.report.Worst(); first != nil && *first.HarmH >= soonestLookH &&
		*first.HarmH < *c.p.Attendance.LongestAbsenceH {
		h := math.Floor(lookShare * *first.HarmH)
		c.add("come_back_sooner", text.Of("remedy_come_back_sooner", text.Params{"time": h}),
			func(p *plan.Plan) { p.Attendance.LongestAbsenceH = &h })
	}
	if h := math.Max(quickestResponseH, math.Floor(*c.p.Attendance.ResponseH/2)); *c.p.Attendance.ResponseH > 2 {
		c.add("faster_response", text.Of("remedy_faster_response", text.Params{"time": h}),
			func(p *plan.Plan) { p.Attendance.ResponseH = &h })
	}
}
