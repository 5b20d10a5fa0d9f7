package plan

import (
	"fmt"
	"math"
	"slices"
)

const (
	coldestBelowUsualK   = 4.0  // common practice, no source
	warmestAboveUsualK   = 6.0  // common practice, no source
	warmestLeastC        = 28.0 // a room without cooling reaches this in a hot spell; common practice, no source
	responseH            = 4.0  // from alarm to hands on the tank; common practice, no source
	returnTurnoverPerH   = 5.0  // display volumes an hour through the sump; common practice, no source
	returnPumpWPerLH     = 0.02 // W per L/h of a small return pump at a metre of head; common practice, no source
	circulationTurnover  = 10.0 // display volumes an hour moved inside the display; common practice, no source
	circulationPumpWPerL = 0.05 // W per litre of display; common practice, no source
	returnChamberShare   = 0.25 // of the sump's length; common practice, no source
	baffleAboveWaterMM   = 20.0 // common practice, no source
	intakeShareOfLevel   = 0.5  // of the running level; common practice, no source
	lightOnHour          = 10.0 // common practice, no source
	lightOffHour         = 20.0 // common practice, no source
	lightRampMin         = 60.0 // common practice, no source
	lengthPerDepth       = 2.0  // a display twice as long as wide and as deep as wide; common practice, no source
	spillL               = 1.0  // more than a mop takes up; common practice, no source
)

// completion fills a plan and keeps the list of what it assumed.
type completion struct {
	p    *Plan
	list []Assumption
}

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
	p := in
	copyDevices(&p)
	copyControls(&p)
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
	if err := checkCompleted(p); err != nil {
		return Plan{}, nil, err
	}
	return p, c.list, nil
}

func copyDevices(p *Plan) {
	p.Heaters, p.Chillers, p.Fans = slices.Clone(p.Heaters), slices.Clone(p.Chillers), slices.Clone(p.Fans)
	p.Pumps, p.TopOffPumps, p.Reservoirs = slices.Clone(p.Pumps), slices.Clone(p.TopOffPumps), slices.Clone(p.Reservoirs)
	p.Lights = slices.Clone(p.Lights)
	if p.Sump != nil {
		s := *p.Sump
		p.Sump = &s
	}
}

func copyControls(p *Plan) {
	p.Sensors, p.Controls, p.Alarms = slices.Clone(p.Sensors), slices.Clone(p.Controls), slices.Clone(p.Alarms)
	p.Power.Circuits, p.ProofTests = slices.Clone(p.Power.Circuits), slices.Clone(p.ProofTests)
}

// assume fills *field when it is nil and notes it.
func assume[T any](c *completion, field **T, value T, param, unit string, why Why, note string) {
	if *field != nil {
		return
	}
	v := value
	*field = &v
	c.note(param, value, unit, why, note)
}

func (c *completion) note(param string, value any, unit string, why Why, note string) {
	a := Assumption{Param: param, Value: value, Unit: unit, Why: why, Note: note}
	switch why {
	case WhyCommonPractice:
		a.Source = "CommonPractice"
	case WhyDerived:
		a.Source = "Derived"
	}
	switch v := value.(type) {
	case Place:
		a.Value = string(v)
	case float64:
		a.Value = math.Round(v*1e6) / 1e6
	}
	c.list = append(c.list, a)
}

func (c *completion) vessels() {
	d := &c.p.Display
	if d.LengthMM != nil && d.WidthMM != nil && d.WaterDepthMM != nil {
		v := *d.LengthMM * *d.WidthMM * *d.WaterDepthMM / 1e6
		d.VolumeL = &v
	} else {
		side := 100 * math.Cbrt(*d.VolumeL/lengthPerDepth) // mm: V = 2·side³
		const note = "a display twice as long as wide and as deep as wide holds the stated volume; give the lengths to replace it"
		assume(c, &d.LengthMM, lengthPerDepth*side, "display.length_mm", "mm", WhyCommonPractice, note)
		assume(c, &d.WidthMM, side, "display.width_mm", "mm", WhyCommonPractice, note)
		assume(c, &d.WaterDepthMM, side, "display.water_depth_mm", "mm", WhyCommonPractice, note)
	}
	s := c.p.Sump
	if s == nil {
		return
	}
	assume(c, &s.ReturnChamberMM, returnChamberShare*s.LengthMM, "sump.return_chamber_mm", "mm", WhyCommonPractice,
		"a quarter of the sump's length")
	assume(c, &s.BaffleMM, math.Min(s.WaterLevelMM+baffleAboveWaterMM, s.HeightMM), "sump.baffle_mm", "mm", WhyCommonPractice,
		"20 mm above the running level")
	assume(c, &s.ReturnIntakeMM, intakeShareOfLevel*s.WaterLevelMM, "sump.return_intake_mm", "mm", WhyCommonPractice,
		"the pump draws air at half the running level")
}

// What is said where a room's other states are assumed.
const (
	ColdestNote = "4 K below the usual room"
	WarmestNote = "6 K above the usual room, and at least 28 °C"
)

// OtherRoomsC returns the coldest and the warmest state of a room of which only the usual one is known, °C.
//
//	coldest = usual - 4,  warmest = max(usual + 6, 28)
//
// Accuracy: none is known; ask for both. Errors: none. Source: [CommonPractice].
func OtherRoomsC(usualC float64) (coldestC, warmestC float64) {
	return usualC - coldestBelowUsualK, math.Max(usualC+warmestAboveUsualK, warmestLeastC)
}

func (c *completion) room() {
	r := &c.p.Room
	coldest, warmest := OtherRoomsC(r.Usual.TempC)
	if r.Coldest == nil {
		r.Coldest = &RoomState{TempC: coldest, RHPercent: r.Usual.RHPercent}
		c.note("room.coldest.temp_c", coldest, "degC", WhyCommonPractice, ColdestNote)
	}
	if r.Warmest == nil {
		r.Warmest = &RoomState{TempC: warmest, RHPercent: r.Usual.RHPercent}
		c.note("room.warmest.temp_c", warmest, "degC", WhyCommonPractice, WarmestNote)
	}
}

func (c *completion) limits() {
	l, g := &c.p.Limits, limitsOf[c.p.Livestock]
	note := "usual for " + string(c.p.Livestock)
	set := func(field **float64, value float64, param, unit string) {
		assume(c, field, value, "limits."+param, unit, WhyCommonPractice, note)
	}
	set(&l.ComfortLowC, g.comfortLowC, "comfort_low_c", "degC")
	set(&l.ComfortHighC, g.comfortHighC, "comfort_high_c", "degC")
	set(&l.HarmLowC, g.harmLowC, "harm_low_c", "degC")
	set(&l.HarmHighC, g.harmHighC, "harm_high_c", "degC")
	set(&l.HarmTempAfterH, g.harmTempAfterH, "harm_temp_after_h", "h")
	set(&l.ComfortLowPSU, g.comfortLowPSU, "comfort_low_psu", "1")
	set(&l.ComfortHighPSU, g.comfortHighPSU, "comfort_high_psu", "1")
	set(&l.HarmLowPSU, g.harmLowPSU, "harm_low_psu", "1")
	set(&l.HarmHighPSU, g.harmHighPSU, "harm_high_psu", "1")
	set(&l.HarmSalinityAfterH, g.harmSalAfterH, "harm_salinity_after_h", "h")
	set(&l.ComfortDarkH, g.comfortDarkH, "comfort_dark_h", "h")
	set(&l.HarmLitH, g.harmLitH, "harm_lit_h", "h")
	set(&l.HarmDarkH, g.harmDarkH, "harm_dark_h", "h")
	set(&l.ComfortOxygenMgL, g.comfortOxygen, "comfort_oxygen_mg_l", "mg/L")
	set(&l.HarmOxygenMgL, g.harmOxygen, "harm_oxygen_mg_l", "mg/L")
	set(&l.HarmOxygenAfterH, g.harmOxygenAfterH, "harm_oxygen_after_h", "h")
	set(&l.HarmSpillL, spillL, "harm_spill_l", "L")
	assume(c, &c.p.Oxygen.DemandMgLH, g.oxygenDemandMgLH, "oxygen.demand_mg_l_h", "mg/(L h)", WhyCommonPractice, note)
}

func (c *completion) wetPlace() Place {
	if c.p.Sump != nil {
		return InSump
	}
	return InDisplay
}

// driven returns whether a control that regulates or times drives the device.
func (c *completion) driven(id string) bool {
	for _, k := range c.p.Controls {
		if k.Kind != Supervisor && slices.Contains(k.Outputs, id) {
			return true
		}
	}
	return false
}

func (c *completion) heatersAndChillers() {
	middle := math.Round(5*(*c.p.Limits.ComfortLowC+*c.p.Limits.ComfortHighC)) / 10
	for i := range c.p.Heaters {
		h := &c.p.Heaters[i]
		at := fmt.Sprintf("heaters[%d].", i)
		assume(c, &h.Place, c.wetPlace(), at+"place", "", WhyCommonPractice, "out of sight where there is a sump")
		if h.ThermostatC == nil && !c.driven(h.ID) {
			assume(c, &h.ThermostatC, middle, at+"thermostat_c", "degC", WhyDerived,
				"no control drives it, so its own thermostat is taken to hold the middle of the comfort band")
		}
	}
	for i := range c.p.Chillers {
		h := &c.p.Chillers[i]
		at := fmt.Sprintf("chillers[%d].", i)
		assume(c, &h.Place, c.wetPlace(), at+"place", "", WhyCommonPractice, "fed from the sump where there is one")
		if h.ThermostatC == nil && !c.driven(h.ID) {
			assume(c, &h.ThermostatC, *c.p.Limits.ComfortHighC-0.5, at+"thermostat_c", "degC", WhyDerived,
				"no control drives it, so its own thermostat is taken to hold half a kelvin below the comfort band's upper edge")
		}
	}
}

func (c *completion) pumps() {
	hasReturn, hasCirculation := false, false
	for _, p := range c.p.Pumps {
		hasReturn = hasReturn || p.Role == ReturnRole
		hasCirculation = hasCirculation || p.Role == CirculationRole
	}
	if c.p.Sump != nil && !hasReturn {
		flow := returnTurnoverPerH * *c.p.Display.VolumeL
		c.p.Pumps = append(c.p.Pumps, Pump{
			ID: c.freeID("return-pump"), Role: ReturnRole, FlowLH: flow, PowerW: flow * returnPumpWPerLH, HeatShare: 1,
		})
		c.note(fmt.Sprintf("pumps[%d].flow_l_h", len(c.p.Pumps)-1), flow, "L/h", WhyCommonPractice,
			"a sump needs a return pump; five display volumes an hour")
	}
	if c.p.Sump == nil && !hasReturn && !hasCirculation {
		v := *c.p.Display.VolumeL
		c.p.Pumps = append(c.p.Pumps, Pump{
			ID: c.freeID("circulation-pump"), Role: CirculationRole, FlowLH: circulationTurnover * v,
			PowerW: circulationPumpWPerL * v, HeatShare: 1,
		})
		c.note(fmt.Sprintf("pumps[%d].flow_l_h", len(c.p.Pumps)-1), circulationTurnover*v, "L/h", WhyCommonPractice,
			"a reef tank has moving water; one circulation pump is taken to move it")
	}
}

func (c *completion) topOff() {
	for i := range c.p.Reservoirs {
		r := &c.p.Reservoirs[i]
		if r.SiphonLH != nil {
			continue
		}
		for _, p := range c.p.TopOffPumps {
			if p.Reservoir == r.ID {
				assume(c, &r.SiphonLH, p.FlowLH, fmt.Sprintf("reservoirs[%d].siphon_l_h", i), "L/h", WhyCommonPractice,
					"a siphon through the pump is taken to run as fast as the pump")
			}
		}
	}
	for _, p := range c.p.TopOffPumps {
		if c.driven(p.ID) {
			continue
		}
		place, height := c.wetPlace(), 0.0
		sensor := c.freeID(p.ID + "-level-switch")
		control := c.freeID(p.ID + "-level-control")
		c.p.Sensors = append(c.p.Sensors, Sensor{ID: sensor, Kind: LevelKind, Place: &place, HeightMM: &height, HysteresisMM: 5})
		c.p.Controls = append(c.p.Controls, Control{
			ID: control, Kind: TopOff, Sensor: &sensor, Outputs: []string{p.ID}, OnSensorLoss: "off",
		})
		c.note(fmt.Sprintf("controls[%d].id", len(c.p.Controls)-1), control, "", WhyDerived,
			"nothing drives "+p.ID+", so one level switch at the normal line and a control without a run limit are taken to")
	}
}

func (c *completion) sensors() {
	for i := range c.p.Sensors {
		s := &c.p.Sensors[i]
		at := fmt.Sprintf("sensors[%d].", i)
		switch {
		case s.Kind == LeakKind:
			assume(c, &s.Place, OnFloor, at+"place", "", WhyDerived, "a leak sensor lies on the floor")
		case s.Kind == LevelKind && s.Reservoir != nil:
			assume(c, &s.Place, InReservoir, at+"place", "", WhyDerived, "it names a reservoir")
		default:
			assume(c, &s.Place, c.wetPlace(), at+"place", "", WhyCommonPractice, "in the sump where there is one")
		}
		if s.Kind == LevelKind && *s.Place != InReservoir {
			assume(c, &s.HeightMM, 0, at+"height_mm", "mm", WhyCommonPractice, "at the normal water line")
		}
	}
}

func (c *completion) lights() {
	for i := range c.p.Lights {
		l := &c.p.Lights[i]
		if l.Schedule != nil || c.driven(l.ID) {
			continue
		}
		on, off := lightOnHour, lightOffHour
		l.Schedule = &Schedule{OnHour: &on, OffHour: &off, RampMin: lightRampMin}
		c.note(fmt.Sprintf("lights[%d].schedule.on_at", i), "10:00", "", WhyCommonPractice, "no programme given: ten hours with ramps of an hour")
	}
}

// freeID returns the wanted id, or one like it that no element has.
func (c *completion) freeID(wanted string) string {
	ids := elementIDs(*c.p)
	for id, n := wanted, 2; ; n++ {
		if _, taken := ids[id]; !taken {
			return id
		}
		id = fmt.Sprintf("%s-%d", wanted, n)
	}
}

func (c *completion) circuits() {
	p := c.p
	if len(p.Power.Circuits) == 0 {
		p.Power.Circuits = []Circuit{{ID: c.freeID("house-circuit")}}
		c.note("power.circuits[0].id", p.Power.Circuits[0].ID, "", WhyDerived,
			"no circuit named, so everything is taken to hang on one without ground-fault protection")
	}
	first := p.Power.Circuits[0].ID
	set := func(field **string, param string) {
		if len(p.Power.Circuits) == 1 {
			if *field == nil {
				*field = &first // the only one there is: nothing assumed
			}
			return
		}
		assume(c, field, first, param, "", WhyDerived, "the first circuit named")
	}
	for i := range p.Heaters {
		set(&p.Heaters[i].Circuit, fmt.Sprintf("heaters[%d].circuit", i))
	}
	for i := range p.Chillers {
		set(&p.Chillers[i].Circuit, fmt.Sprintf("chillers[%d].circuit", i))
	}
	for i := range p.Fans {
		set(&p.Fans[i].Circuit, fmt.Sprintf("fans[%d].circuit", i))
	}
	for i := range p.Pumps {
		set(&p.Pumps[i].Circuit, fmt.Sprintf("pumps[%d].circuit", i))
	}
	for i := range p.TopOffPumps {
		set(&p.TopOffPumps[i].Circuit, fmt.Sprintf("top_off_pumps[%d].circuit", i))
	}
	for i := range p.Lights {
		set(&p.Lights[i].Circuit, fmt.Sprintf("lights[%d].circuit", i))
	}
	for i := range p.Controls {
		set(&p.Controls[i].Circuit, fmt.Sprintf("controls[%d].circuit", i))
	}
	for i := range p.Alarms {
		if !p.Alarms[i].OwnBattery {
			set(&p.Alarms[i].Circuit, fmt.Sprintf("alarms[%d].circuit", i))
		}
	}
	for i := range p.Sensors {
		if p.Sensors[i].Kind == PowerKind {
			set(&p.Sensors[i].Circuit, fmt.Sprintf("sensors[%d].circuit", i))
		}
	}
	set(&p.Power.NetworkCircuit, "power.network_circuit")
}

func (c *completion) attendance() {
	a := &c.p.Attendance
	assume(c, &a.LongestAbsenceH, a.LookEveryH, "attendance.longest_absence_h", "h", WhyDerived,
		"nobody is taken to be away longer than between two looks")
	assume(c, &a.ResponseH, responseH, "attendance.response_h", "h", WhyCommonPractice, "from alarm to hands on the tank")
}
