package plan

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"saltwright/internal/calc/power"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

const (
	leastAbsenceH        = 72.0 // a long weekend; common practice, no source
	responseH            = 4.0  // from alarm to hands on the tank; common practice, no source
	returnTurnoverPerH   = 5.0  // display volumes an hour through the sump; common practice, no source
	returnPumpWPerLH     = 0.02 // W per L/h of a small return pump at a metre of head; common practice, no source
	circulationTurnover  = 10.0 // display volumes an hour moved inside the display; common practice, no source
	circulationPumpWPerL = 0.05 // W per litre of display; common practice, no source
	returnChamberShare   = 0.25 // of the sump's length; common practice, no source
	baffleAboveWaterMM   = 20.0 // common practice, no source
	lengthPerDepth       = 2.0  // a display twice as long as wide and as deep as wide; common practice, no source
	lineEndAboveWaterMM  = 50.0 // common practice, no source
	lightRampMin         = 60.0 // common practice, no source
	chillerBelowComfortK = 0.5  // common practice, no source

	lightOnAt, lightOffAt ClockTime = "10:00", "20:00" // common practice, no source
)

const (
	usualVoltageV = 230.0 // common practice, no source
	longestH      = 720.0 // of a battery without a load to speak of
)

const roomTimeConstantH = 12.0 // a heavy house takes longer, a light one less; common practice, no source

// Complete checks the plan and returns a copy in which nothing is unsaid, with
// the assumptions made.
//
// Accuracy: every assumed value is stated.
// Errors: every conflict found, joined, each a *calc.ConflictError that names
// the members and says what to do. Source: [CommonPractice].
func Complete(in Plan) (Plan, []Assumption, error) {
	if err := checkSaid(in); err != nil {
		return Plan{}, nil, err
	}
	p := in.Clone()
	c := &completion{p: &p}
	c.vessels()
	c.room()
	c.limits()
	c.heatersAndChillers()
	c.pumps()
	c.topOff()
	c.lights()
	c.sensors()
	c.circuits()
	c.attendance()
	c.persons()
	c.roomDevices()
	c.leaks()
	c.skimmers()
	c.chemistry()
	if err := checkCompleted(p); err != nil {
		return Plan{}, nil, err
	}
	return p, c.list, nil
}

func (c *completion) vessels() {
	d := &c.p.Display
	if d.LengthMM != nil && d.WidthMM != nil && d.WaterDepthMM != nil {
		v := d.InnerL()
		d.VolumeL = &v
	} else {
		side := 100 * math.Cbrt(*d.VolumeL/lengthPerDepth) // mm: V = 2·side³
		note := text.Of("assumed_plan_lengths", nil)
		assume(c, &d.LengthMM, lengthPerDepth*side, "display.length_mm", "mm", WhyCommonPractice, note)
		assume(c, &d.WidthMM, side, "display.width_mm", "mm", WhyCommonPractice, note)
		assume(c, &d.WaterDepthMM, side, "display.water_depth_mm", "mm", WhyCommonPractice, note)
	}
	s := c.p.Sump
	if s == nil {
		return
	}
	assume(c, &s.ReturnChamberMM, returnChamberShare*s.LengthMM, "sump.return_chamber_mm", "mm", WhyCommonPractice,
		text.Of("assumed_plan_return_chamber", nil))
	assume(c, &s.BaffleMM, math.Min(s.WaterLevelMM+baffleAboveWaterMM, s.HeightMM), "sump.baffle_mm", "mm",
		WhyCommonPractice, text.Of("assumed_plan_baffle", text.Params{"above": baffleAboveWaterMM}))
	assume(c, &s.ReturnIntakeMM, s.WaterLevelMM-s.UsualIntakeBelowMM(), "sump.return_intake_mm", "mm",
		WhyCommonPractice, text.Of("assumed_plan_intake", nil))
}

func (c *completion) room() {
	r := &c.p.Room
	coldest, warmest := OtherRoomsC(r.Usual.TempC)
	if r.Coldest == nil {
		r.Coldest = &RoomState{TempC: coldest, RHPercent: r.Usual.RHPercent}
		c.note("room.coldest.temp_c", coldest, "degC", WhyCommonPractice, ColdestAssumed)
	}
	if r.Warmest == nil {
		r.Warmest = &RoomState{TempC: warmest, RHPercent: r.Usual.RHPercent}
		c.note("room.warmest.temp_c", warmest, "degC", WhyCommonPractice, WarmestAssumed)
	}
}

func (c *completion) limits() {
	note, column := text.Of("assumed_plan_usual_limit", text.Params{"livestock": string(c.p.Livestock)}),
		slices.Index(groups, c.p.Livestock)
	for _, l := range usualLimits {
		assume(c, l.of(&c.p.Limits), l.values[column], "limits."+l.member, l.unit, WhyCommonPractice, note)
	}
	for _, l := range usualLosses {
		harm := **l.harm(&c.p.Limits)
		value := l.outwards * math.Max(l.outwards*l.values[column], l.outwards*harm)
		assume(c, l.of(&c.p.Limits), value, "limits."+l.member, l.unit, WhyCommonPractice,
			text.Of("assumed_plan_loss_limit", nil))
	}
	c.oxygen()
}

// oxygen fills in the demand as outage-endurance does.
func (c *completion) oxygen() {
	o := &c.p.Oxygen
	if o.FishG != nil {
		demand := power.DemandOfFish(*o.FishG, power.UsualFishDemandMgKgH, power.UsualBaseDemandMgLH,
			c.p.Display.WaterL())
		assume(c, &o.DemandMgLH, demand, "oxygen.demand_mg_l_h", "mg/(L h)", WhyDerived,
			text.Of("assumed_plan_oxygen_of_fish", nil))
	}
	assume(c, &o.DemandMgLH, power.UsualDemandMgLH, "oxygen.demand_mg_l_h", "mg/(L h)", WhyCommonPractice,
		text.Of("assumed_plan_oxygen", text.Params{
			"least": power.LeastDemandMgLH, "most": power.MostDemandMgLH}))
}

func (c *completion) wetPlace() Place {
	if c.p.Sump != nil {
		return InSump
	}
	return InDisplay
}

func (c *completion) heatersAndChillers() {
	middle := c.p.Limits.MiddleC()
	for i := range c.p.Heaters {
		h := &c.p.Heaters[i]
		at := fmt.Sprintf("heaters[%d].", i)
		assume(c, &h.Place, c.wetPlace(), at+"place", "", WhyCommonPractice,
			text.Of("assumed_plan_heater_place", nil))
		if h.HeightMM != nil {
			assume(c, &h.WhenDry, Shatters, at+"when_dry", "", WhyCommonPractice,
				text.Of("assumed_plan_when_dry", nil))
		}
		if h.ThermostatC == nil && !c.p.driven(h.ID) {
			assume(c, &h.ThermostatC, middle, at+"thermostat_c", "degC", WhyDerived,
				text.Of("assumed_plan_heater_alone", nil))
		}
	}
	for i := range c.p.Chillers {
		h := &c.p.Chillers[i]
		at := fmt.Sprintf("chillers[%d].", i)
		assume(c, &h.Place, c.wetPlace(), at+"place", "", WhyCommonPractice,
			text.Of("assumed_plan_chiller_place", nil))
		if h.ThermostatC == nil && !c.p.driven(h.ID) {
			assume(c, &h.ThermostatC, *c.p.Limits.ComfortHighC-chillerBelowComfortK, at+"thermostat_c", "degC",
				WhyDerived,
				text.Of("assumed_plan_chiller_alone", text.Params{"below": chillerBelowComfortK}))
		}
	}
}

func (c *completion) pumps() {
	has := func(role PumpRole) bool {
		return slices.ContainsFunc(c.p.Pumps, func(p Pump) bool { return p.Role == role })
	}
	add := func(id string, role PumpRole, flowLH, powerW float64, note text.Text) {
		c.p.Pumps = append(c.p.Pumps, NewPump(FreeID(*c.p, id), role, flowLH, powerW))
		c.note(fmt.Sprintf("pumps[%d].flow_l_h", len(c.p.Pumps)-1), flowLH, "L/h", WhyCommonPractice, note)
	}
	displayL := *c.p.Display.VolumeL
	switch {
	case has(ReturnRole):
	case c.p.Sump != nil:
		flow := returnTurnoverPerH * displayL
		add("return-pump", ReturnRole, flow, flow*returnPumpWPerLH,
			text.Of("assumed_plan_return_pump", nil))
	case !has(CirculationRole):
		add("circulation-pump", CirculationRole, circulationTurnover*displayL, circulationPumpWPerL*displayL,
			text.Of("assumed_plan_circulation", nil))
	}
}

func (c *completion) topOff() {
	for i := range c.p.Reservoirs {
		r := &c.p.Reservoirs[i]
		c.reservoir(r, fmt.Sprintf("reservoirs[%d].", i))
		for _, p := range c.p.TopOffPumps {
			if p.Reservoir == r.ID {
				assume(c, &r.SiphonLH, p.FlowLH, fmt.Sprintf("reservoirs[%d].siphon_l_h", i), "L/h",
					WhyCommonPractice,
					text.Of("assumed_plan_siphon_flow", nil))
			}
		}
	}
	for _, p := range c.p.TopOffPumps {
		if c.p.driven(p.ID) {
			continue
		}
		place, height := c.wetPlace(), 0.0
		sensor := NewSensor(FreeID(*c.p, p.ID+"-level-switch"), LevelKind)
		sensor.Place, sensor.HeightMM = &place, &height
		c.p.Sensors = append(c.p.Sensors, sensor)
		control := NewControl(FreeID(*c.p, p.ID+"-level-control"), TopOff, p.ID)
		control.Sensor = &sensor.ID
		c.p.Controls = append(c.p.Controls, control)
		c.note(fmt.Sprintf("controls[%d].id", len(c.p.Controls)-1), control.ID, "", WhyDerived,
			text.Of("assumed_plan_top_off_control", text.Params{"pump": p.ID}))
	}
}

// reservoir fills in where the water of a reservoir stands: as high above the end of its line as
// water_above_outlet_mm
// says, where its floor's height is not said.
func (c *completion) reservoir(r *Reservoir, at string) {
	side := quantity.MillimetresPerMetre * math.Cbrt(r.VolumeL/quantity.LitresPerCubicMetre)
	note := text.Of("assumed_plan_cube", nil)
	if r.LengthMM != nil && r.WidthMM == nil {
		side = *r.LengthMM
	} else if r.WidthMM != nil {
		side = *r.WidthMM
	}
	assume(c, &r.LengthMM, side, at+"length_mm", "mm", WhyCommonPractice, note)
	assume(c, &r.WidthMM, side, at+"width_mm", "mm", WhyCommonPractice, note)
	assume(c, &r.LineEndAboveWaterMM, lineEndAboveWaterMM, at+"line_end_above_water_mm", "mm", WhyCommonPractice,
		text.Of("assumed_plan_line_end", nil))
	assume(c, &r.BottomAboveWaterMM, *r.LineEndAboveWaterMM+r.WaterAboveOutletMM-r.VolumeL/r.AreaM2(),
		at+"bottom_above_water_mm", "mm", WhyDerived, text.Of("assumed_plan_reservoir_bottom", nil))
}

func (c *completion) sensors() {
	for i := range c.p.Sensors {
		s := &c.p.Sensors[i]
		at := fmt.Sprintf("sensors[%d].", i)
		switch {
		case s.Kind == LeakKind:
			assume(c, &s.Place, OnFloor, at+"place", "", WhyDerived, text.Of("assumed_plan_leak_place", nil))
		case s.Kind == LightKind:
			assume(c, &s.Place, InDisplay, at+"place", "", WhyDerived, text.Of("assumed_plan_light_place", nil))
		case s.Kind == LevelKind && s.Reservoir != nil:
			assume(c, &s.Place, InReservoir, at+"place", "", WhyDerived, text.Of("assumed_plan_reservoir_place", nil))
		default:
			assume(c, &s.Place, c.wetPlace(), at+"place", "", WhyCommonPractice,
				text.Of("assumed_plan_sensor_place", nil))
		}
		if s.Kind == LevelKind && *s.Place != InReservoir {
			assume(c, &s.HeightMM, 0, at+"height_mm", "mm", WhyCommonPractice,
				text.Of("assumed_plan_sensor_height", nil))
		}
	}
}

func (c *completion) lights() {
	for i := range c.p.Lights {
		l := &c.p.Lights[i]
		if l.Schedule != nil || c.p.driven(l.ID) {
			continue
		}
		on, off := lightOnAt, lightOffAt
		l.Schedule = &Schedule{OnAt: &on, OffAt: &off, RampMin: lightRampMin}
		c.note(fmt.Sprintf("lights[%d].schedule.on_at", i), string(on), "", WhyCommonPractice,
			text.Of("assumed_plan_light_programme", nil))
	}
}

func (c *completion) circuits() {
	p := c.p
	c.supply()
	if len(p.Power.Circuits) == 0 {
		p.Power.Circuits = []Circuit{{ID: FreeID(*p, "house-circuit")}}
		c.note("power.circuits[0].id", p.Power.Circuits[0].ID, "", WhyDerived,
			text.Of("assumed_plan_one_circuit", nil))
	}
	first := p.Power.Circuits[0].ID
	set := func(field **string, param string) {
		if len(p.Power.Circuits) > 1 {
			assume(c, field, first, param, "", WhyDerived, text.Of("assumed_plan_first_circuit", nil))
		} else if *field == nil {
			*field = &first // the only one there is: nothing assumed
		}
	}
	for i := range p.Boxes {
		set(&p.Boxes[i].Circuit, fmt.Sprintf("boxes[%d].circuit", i))
	}
	c.boxes()
	for _, e := range elementsOf(p) {
		if e.circuit != nil && !c.needsNoCircuit(*e.id) {
			set(e.circuit, e.path+".circuit")
		}
	}
	if len(p.Routers) == 0 {
		set(&p.Power.NetworkCircuit, "power.network_circuit")
	}
	c.backups()
	c.starts()
}

// needsNoCircuit tells whether an element is an alarm with a battery of its own or a sensor that watches no circuit.
func (c *completion) needsNoCircuit(id string) bool {
	return slices.ContainsFunc(c.p.Alarms, func(a Alarm) bool { return a.ID == id && a.OwnBattery }) ||
		slices.ContainsFunc(c.p.Sensors, func(s Sensor) bool { return s.ID == id && s.Kind != PowerKind })
}

func (c *completion) attendance() {
	a := &c.p.Attendance
	assume(c, &a.LongestAbsenceH, math.Max(leastAbsenceH, a.LookEveryH), "attendance.longest_absence_h", "h",
		WhyCommonPractice, text.Of("assumed_plan_absence", nil))
	if len(c.p.Persons) > 0 && !slices.ContainsFunc(c.p.Persons, func(x Person) bool { return x.ActsWithinH == nil }) {
		a.ResponseH = cmp.Or(a.ResponseH, new(responseH)) // nobody asks for it
	}
	assume(c, &a.ResponseH, responseH, "attendance.response_h", "h", WhyCommonPractice,
		text.Of("assumed_plan_response", nil))
}

// persons gives each person what the attendance says of those whom alarms reach, where they say nothing else.
func (c *completion) persons() {
	for i := range c.p.Persons {
		x := &c.p.Persons[i]
		x.ActsWithinH = cmp.Or(x.ActsWithinH, c.p.Attendance.ResponseH)
		x.AnsweredShare = cmp.Or(x.AnsweredShare, c.p.Attendance.AnsweredShare)
		x.AnswerDelayH = cmp.Or(x.AnswerDelayH, c.p.Attendance.AnswerDelayH)
		if len(x.ReachedBy) == 0 {
			x.ReachedBy = c.p.waysOut()
		}
	}
}

// supply gives each element that names a supply its circuit by the old name, and states the voltage where a rating
// asks for it.
func (c *completion) supply() {
	for _, e := range drawingOf(c.p) {
		if *e.supply != nil {
			*e.circuit = *e.supply
		}
	}
	rated := false
	w := &c.p.Power
	for i := range w.Circuits {
		x := &w.Circuits[i]
		rated = rated || x.BreakerA != nil
		x.GroundFault = x.GroundFault || x.ResidualCurrentDevice != nil
	}
	for _, x := range w.Strips {
		rated = rated || x.RatingA != nil
	}
	if rated {
		assume(c, &w.VoltageV, usualVoltageV, "power.voltage_v", "V", WhyCommonPractice,
			text.Of("assumed_plan_voltage", nil))
	}
}

// backups gives each battery its hours over the whole load that hangs on its supplies.
func (c *completion) backups() {
	for i := range c.p.Power.Backups {
		x := &c.p.Power.Backups[i]
		if x.CapacityWh == nil {
			continue
		}
		load := 0.0
		for _, id := range x.Supplies {
			load += c.p.LoadW(id)
		}
		hours := longestH
		if load > 0 {
			hours = math.Min(longestH, *x.CapacityWh/load)
		}
		assume(c, &x.Hours, hours, fmt.Sprintf("power.backups[%d].hours", i), "h", WhyDerived,
			text.Of("assumed_plan_battery_hours", text.Params{"power": load}))
		x.CapacityWh = nil // the hours say it
	}
}

func (c *completion) roomDevices() {
	for i := range c.p.RoomDevices {
		assume(c, &c.p.RoomDevices[i].TimeConstantH, roomTimeConstantH,
			fmt.Sprintf("room_devices[%d].time_constant_h", i), "h", WhyCommonPractice,
			text.Of("assumed_plan_room_time", nil))
	}
}

func (c *completion) leaks() {
	for i := range c.p.Leaks {
		assume(c, &c.p.Leaks[i].Place, InDisplay, fmt.Sprintf("leaks[%d].place", i), "", WhyCommonPractice,
			text.Of("assumed_plan_leak_in_display", nil))
	}
}

// boxes lets what a box holds hang on its circuit. An alarm with a battery of its own keeps it: only the processor that
// raises it dies with the box.
func (c *completion) boxes() {
	for _, b := range c.p.Boxes {
		for _, e := range elementsOf(c.p) {
			if e.circuit != nil && *e.circuit == nil && slices.Contains(b.Holds, *e.id) && !c.needsNoCircuit(*e.id) {
				*e.circuit = b.Circuit
			}
		}
	}
}

func (c *completion) skimmers() {
	for i := range c.p.Skimmers {
		assume(c, &c.p.Skimmers[i].Place, c.wetPlace(), fmt.Sprintf("skimmers[%d].place", i), "", WhyCommonPractice,
			text.Of("assumed_plan_skimmer_place", nil))
	}
}
