package plan

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"saltwright/internal/calc"
)

// checker collects every conflict of a plan.
type checker struct {
	p    Plan
	ids  map[string]string // id -> path
	errs []error
}

func (c *checker) conflict(reason string, params ...string) {
	c.errs = append(c.errs, &calc.ConflictError{Params: params, Reason: reason})
}

// checkSaid refuses what the plan says about itself: references, loops and
// geometry that cannot be built.
func checkSaid(p Plan) error {
	c := &checker{p: p, ids: elementIDs(p)}
	c.duplicates()
	c.vessels()
	c.room()
	c.devices()
	c.sensors()
	c.controls()
	c.loops()
	c.alarms()
	c.power()
	return errors.Join(c.errs...)
}

// checkCompleted refuses what only shows once the assumed values are in.
func checkCompleted(p Plan) error {
	c := &checker{p: p, ids: elementIDs(p)}
	c.limits()
	c.setpoints()
	c.heights()
	return errors.Join(c.errs...)
}

func (c *checker) duplicates() {
	seen := map[string]string{}
	each(c.p, func(id, path string) {
		if first, taken := seen[id]; taken {
			c.conflict(fmt.Sprintf("both have the id %q; give each element an id of its own", id), first+".id", path+".id")
			return
		}
		seen[id] = path
	})
}

func (c *checker) vessels() {
	d := c.p.Display
	lengths := 0
	for _, l := range []*float64{d.LengthMM, d.WidthMM, d.WaterDepthMM} {
		if l != nil {
			lengths++
		}
	}
	switch {
	case lengths == 3 && d.VolumeL != nil:
		v := *d.LengthMM * *d.WidthMM * *d.WaterDepthMM / 1e6
		if math.Abs(v-*d.VolumeL) > 0.05*v {
			c.conflict(fmt.Sprintf("the three lengths make %.0f L; leave out the volume or correct a length", v),
				"display.volume_l", "display.length_mm", "display.width_mm", "display.water_depth_mm")
		}
	case lengths == 0 && d.VolumeL == nil, lengths > 0 && lengths < 3:
		c.conflict("give volume_l, or all of length_mm, width_mm and water_depth_mm", "display")
	}
	if d.WaterDepthMM != nil && d.DrainBackMM >= *d.WaterDepthMM {
		c.conflict("more would drain back than the display is deep", "display.drain_back_mm", "display.water_depth_mm")
	}
	s := c.p.Sump
	if s == nil {
		return
	}
	if s.WaterLevelMM >= s.HeightMM {
		c.conflict("the running water level must lie below the sump's rim", "sump.water_level_mm", "sump.height_mm")
	}
	if s.ReturnIntakeMM != nil && *s.ReturnIntakeMM >= s.WaterLevelMM {
		c.conflict("the return pump's intake must lie below the running water line, or it only ever draws air",
			"sump.return_intake_mm", "sump.water_level_mm")
	}
	if s.BaffleMM != nil && (*s.BaffleMM < s.WaterLevelMM || *s.BaffleMM > s.HeightMM) {
		c.conflict("the last baffle must end between the return chamber's running level and the sump's rim",
			"sump.baffle_mm", "sump.water_level_mm", "sump.height_mm")
	}
	if s.ReturnChamberMM != nil && *s.ReturnChamberMM > s.LengthMM {
		c.conflict("the return chamber cannot be longer than the sump", "sump.return_chamber_mm", "sump.length_mm")
	}
}

func (c *checker) room() {
	r := c.p.Room
	if r.Coldest != nil && r.Coldest.TempC > r.Usual.TempC {
		c.conflict("the coldest room cannot be warmer than the usual one", "room.coldest.temp_c", "room.usual.temp_c")
	}
	if r.Warmest != nil && r.Warmest.TempC < r.Usual.TempC {
		c.conflict("the warmest room cannot be colder than the usual one", "room.warmest.temp_c", "room.usual.temp_c")
	}
}

func (c *checker) place(place *Place, path string) {
	if place != nil && *place == InSump && c.p.Sump == nil {
		c.conflict("the plan has no sump to put it in; describe the sump or say display", path+".place", "sump")
	}
}

func (c *checker) devices() {
	for i, e := range c.p.Heaters {
		c.place(e.Place, fmt.Sprintf("heaters[%d]", i))
	}
	for i, e := range c.p.Chillers {
		c.place(e.Place, fmt.Sprintf("chillers[%d]", i))
	}
	returns := []string{}
	for i, e := range c.p.Pumps {
		if e.Role == ReturnRole {
			returns = append(returns, fmt.Sprintf("pumps[%d].role", i))
		}
	}
	if c.p.Sump == nil && len(returns) > 0 {
		c.conflict("a return pump needs a sump to return from; describe the sump or call it circulation", append(returns, "sump")...)
	}
	for i, e := range c.p.TopOffPumps {
		at := fmt.Sprintf("top_off_pumps[%d].", i)
		if e.PipeLimitLH != nil && e.FlowLH > *e.PipeLimitLH {
			c.conflict(fmt.Sprintf("the pump would push %g L/h through a pipe that carries %g L/h; correct one of them", e.FlowLH, *e.PipeLimitLH),
				at+"flow_l_h", at+"pipe_limit_l_h")
		}
		if !slices.ContainsFunc(c.p.Reservoirs, func(r Reservoir) bool { return r.ID == e.Reservoir }) {
			c.unknown(e.Reservoir, at+"reservoir", "a reservoir")
		}
	}
	for i, e := range c.p.Lights {
		if e.Schedule != nil {
			c.schedule(*e.Schedule, fmt.Sprintf("lights[%d].schedule", i))
		}
	}
}

func (c *checker) unknown(id, path, what string) {
	reason := fmt.Sprintf("%q is not the id of %s in this plan", id, what)
	if where, ok := c.ids[id]; ok {
		reason += "; it is " + where
	} else if like := c.like(id); like != "" {
		reason += fmt.Sprintf("; did you mean %q?", like)
	}
	c.conflict(reason, path)
}

// like returns the id that shares the longest beginning with the given one.
func (c *checker) like(id string) string {
	best, most := "", 2
	each(c.p, func(other, _ string) {
		n := 0
		for n < len(id) && n < len(other) && strings.EqualFold(id[n:n+1], other[n:n+1]) {
			n++
		}
		if n > most {
			best, most = other, n
		}
	})
	return best
}

// CheckSchedule refuses a programme that says too little, too much or the impossible.
//
//	path  where the programme stands, for the names in the error
//
// Errors: every conflict found, joined, each a *calc.ConflictError. Source: [Derived].
func CheckSchedule(s Schedule, path string) error {
	c := &checker{}
	c.schedule(s, path)
	return errors.Join(c.errs...)
}

func (c *checker) schedule(s Schedule, path string) {
	onOff := s.OnHour != nil && s.OffHour != nil
	switch {
	case len(s.Points) > 0 && (s.OnHour != nil || s.OffHour != nil):
		c.conflict("give either points, or on and off times, not both", path+".points", path+".on_at", path+".off_at")
	case len(s.Points) == 0 && !onOff:
		c.conflict("give points, or both an on and an off time", path)
	case onOff && *s.OnHour == *s.OffHour:
		c.conflict("the on and off times are the same, which says neither always on nor always off", path+".on_at", path+".off_at")
	case onOff && 2*s.RampMin/60 > math.Mod(*s.OffHour-*s.OnHour+24, 24):
		c.conflict("the two ramps are longer than the light is on", path+".ramp_min", path+".on_at", path+".off_at")
	}
	for i := 1; i < len(s.Points); i++ {
		if s.Points[i].Hour < s.Points[i-1].Hour {
			c.conflict("points must be in the order of the day", fmt.Sprintf("%s.points[%d]", path, i), fmt.Sprintf("%s.points[%d]", path, i-1))
		}
		if i >= 2 && s.Points[i].Hour == s.Points[i-2].Hour {
			c.conflict("at most two points, a step, may share a time", fmt.Sprintf("%s.points[%d]", path, i))
		}
	}
}

func (c *checker) sensor(id string) (Sensor, bool) {
	for _, s := range c.p.Sensors {
		if s.ID == id {
			return s, true
		}
	}
	return Sensor{}, false
}

func (c *checker) sensors() {
	for i, s := range c.p.Sensors {
		at := fmt.Sprintf("sensors[%d]", i)
		c.place(s.Place, at)
		reservoir := s.Reservoir != nil || (s.Place != nil && *s.Place == InReservoir)
		switch {
		case reservoir && s.Kind != LevelKind:
			c.conflict("only a level sensor can be in a reservoir", at+".kind", at+".reservoir")
		case reservoir && (s.Reservoir == nil || s.AtL == nil):
			c.conflict("a level sensor in a reservoir needs the reservoir's id and at_l, the litres left at which it turns dry", at+".reservoir", at+".at_l")
		case s.Place != nil && *s.Place == OnFloor && s.Kind != LeakKind, s.Place != nil && *s.Place != OnFloor && s.Kind == LeakKind:
			c.conflict("a leak sensor lies on the floor and nothing else does", at+".kind", at+".place")
		}
		if s.Reservoir != nil {
			j := slices.IndexFunc(c.p.Reservoirs, func(r Reservoir) bool { return r.ID == *s.Reservoir })
			if j < 0 {
				c.unknown(*s.Reservoir, at+".reservoir", "a reservoir")
			} else if s.AtL != nil && *s.AtL >= c.p.Reservoirs[j].VolumeL {
				c.conflict("it would be dry even with the reservoir full", at+".at_l", fmt.Sprintf("reservoirs[%d].volume_l", j))
			}
		}
		if s.Kind == FlowKind && c.p.Sump == nil {
			c.conflict("a flow sensor watches the return flow, and the plan has no sump", at+".kind", "sump")
		}
	}
}

// readable tells which readings a sensor of a kind can give.
func readable(kind SensorKind, when When) bool {
	switch kind {
	case TemperatureKind:
		return when == Above || when == Below
	case LevelKind:
		return when == Wet || when == Dry
	case LeakKind:
		return when == Wet
	case FlowKind:
		return when == NoFlow
	default:
		return when == NoPower
	}
}

func (c *checker) reading(id string, when When, threshold *float64, path string) {
	s, ok := c.sensor(id)
	if !ok {
		c.unknown(id, path+".sensor", "a sensor")
		return
	}
	if !readable(s.Kind, when) {
		c.conflict(fmt.Sprintf("a %s sensor cannot report %q", s.Kind, when), path+".when", path+".sensor")
		return
	}
	if (s.Kind == TemperatureKind) != (threshold != nil) {
		c.conflict("a threshold belongs to a temperature sensor, and that needs one", path+".threshold_c", path+".sensor")
	}
}

func (c *checker) alarms() {
	for i, a := range c.p.Alarms {
		c.reading(a.Sensor, a.When, a.ThresholdC, fmt.Sprintf("alarms[%d]", i))
	}
	for i, t := range c.p.ProofTests {
		if _, ok := c.ids[t.Element]; !ok {
			c.unknown(t.Element, fmt.Sprintf("proof_tests[%d].element", i), "an element")
		}
	}
}

func (c *checker) power() {
	circuit := func(id *string, path string) {
		if id != nil && !slices.ContainsFunc(c.p.Power.Circuits, func(x Circuit) bool { return x.ID == *id }) {
			c.unknown(*id, path, "a circuit")
		}
	}
	for i, e := range c.p.Heaters {
		circuit(e.Circuit, fmt.Sprintf("heaters[%d].circuit", i))
	}
	for i, e := range c.p.Chillers {
		circuit(e.Circuit, fmt.Sprintf("chillers[%d].circuit", i))
	}
	for i, e := range c.p.Fans {
		circuit(e.Circuit, fmt.Sprintf("fans[%d].circuit", i))
	}
	for i, e := range c.p.Pumps {
		circuit(e.Circuit, fmt.Sprintf("pumps[%d].circuit", i))
	}
	for i, e := range c.p.TopOffPumps {
		circuit(e.Circuit, fmt.Sprintf("top_off_pumps[%d].circuit", i))
	}
	for i, e := range c.p.Lights {
		circuit(e.Circuit, fmt.Sprintf("lights[%d].circuit", i))
	}
	for i, e := range c.p.Sensors {
		circuit(e.Circuit, fmt.Sprintf("sensors[%d].circuit", i))
	}
	for i, e := range c.p.Controls {
		circuit(e.Circuit, fmt.Sprintf("controls[%d].circuit", i))
	}
	for i, e := range c.p.Alarms {
		circuit(e.Circuit, fmt.Sprintf("alarms[%d].circuit", i))
	}
	circuit(c.p.Power.NetworkCircuit, "power.network_circuit")
}

func (c *checker) limits() {
	l := c.p.Limits
	ascending := func(what string, params []string, values ...*float64) {
		for i := 1; i < len(values); i++ {
			if *values[i-1] >= *values[i] {
				c.conflict(what+" must rise in this order: harm low, comfort low, comfort high, harm high", "limits."+params[i-1], "limits."+params[i])
			}
		}
	}
	ascending("temperature limits", []string{"harm_low_c", "comfort_low_c", "comfort_high_c", "harm_high_c"},
		l.HarmLowC, l.ComfortLowC, l.ComfortHighC, l.HarmHighC)
	ascending("salinity limits", []string{"harm_low_psu", "comfort_low_psu", "comfort_high_psu", "harm_high_psu"},
		l.HarmLowPSU, l.ComfortLowPSU, l.ComfortHighPSU, l.HarmHighPSU)
	if c.p.SalinityPSU <= *l.HarmLowPSU || c.p.SalinityPSU >= *l.HarmHighPSU {
		c.conflict("the tank's salinity lies outside its own harm limits", "salinity_psu", "limits.harm_low_psu", "limits.harm_high_psu")
	}
	if *l.HarmOxygenMgL >= *l.ComfortOxygenMgL {
		c.conflict("the harm limit must lie below the comfort edge", "limits.harm_oxygen_mg_l", "limits.comfort_oxygen_mg_l")
	}
	if 24-*l.ComfortDarkH >= *l.HarmLitH {
		c.conflict("light without a break must harm later than it leaves the comfort band", "limits.comfort_dark_h", "limits.harm_lit_h")
	}
}

func (c *checker) setpoints() {
	l := c.p.Limits
	inside := func(value *float64, path string) {
		if value != nil && (*value <= *l.HarmLowC || *value >= *l.HarmHighC) {
			c.conflict(fmt.Sprintf("it must lie between the harm limits, %g and %g °C", *l.HarmLowC, *l.HarmHighC),
				path, "limits.harm_low_c", "limits.harm_high_c")
		}
	}
	for i, h := range c.p.Heaters {
		inside(h.ThermostatC, fmt.Sprintf("heaters[%d].thermostat_c", i))
	}
	for i, h := range c.p.Chillers {
		inside(h.ThermostatC, fmt.Sprintf("chillers[%d].thermostat_c", i))
	}
	for i, k := range c.p.Controls {
		inside(k.SetpointC, fmt.Sprintf("controls[%d].setpoint_c", i))
	}
}

func (c *checker) heights() {
	low, high, where := -*c.p.Display.WaterDepthMM, c.p.Display.FreeboardMM, "display.freeboard_mm"
	if s := c.p.Sump; s != nil {
		low, high, where = -s.WaterLevelMM, s.HeightMM-s.WaterLevelMM, "sump.height_mm"
	}
	if c.p.Sump == nil && c.p.Display.IntakeDropMM >= *c.p.Display.WaterDepthMM {
		c.conflict("the heater or intake cannot sit below the floor", "display.intake_drop_mm", "display.water_depth_mm")
	}
	for i, s := range c.p.Sensors {
		at := fmt.Sprintf("sensors[%d]", i)
		if s.Kind != LevelKind || *s.Place == InReservoir {
			continue
		}
		if c.p.Sump != nil && *s.Place == InDisplay {
			c.conflict("with a sump the display's level is held by its overflow and never moves; put the level sensor in the sump", at+".place", "sump")
			continue
		}
		if *s.HeightMM <= low || *s.HeightMM >= high {
			c.conflict(fmt.Sprintf("the sensor must sit between %g and %g mm from the normal water line, inside the vessel", low, high), at+".height_mm", where)
		}
	}
}
