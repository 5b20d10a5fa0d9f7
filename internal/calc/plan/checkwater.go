package plan

import (
	"fmt"
	"math"
	"slices"
)

func (c *checker) livestock() {
	if !slices.Contains(groups, c.p.Livestock) {
		c.conflict(fmt.Sprintf("the livestock must be one of %v", groups), "livestock")
	}
}

func (c *checker) vessels() {
	d := c.p.Display
	lengths, all := 0, []*float64{d.LengthMM, d.WidthMM, d.WaterDepthMM}
	for _, l := range all {
		if l != nil {
			lengths++
		}
	}
	switch {
	case lengths == len(all) && d.VolumeL != nil:
		if v := d.InnerL(); math.Abs(v-*d.VolumeL) > 0.05*v {
			c.conflict(fmt.Sprintf("the three lengths make %.0f L; leave out the volume or correct a length", v),
				"display.volume_l", "display.length_mm", "display.width_mm", "display.water_depth_mm")
		}
	case lengths == 0 && d.VolumeL == nil, lengths > 0 && lengths < len(all):
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

func (c *checker) limits() {
	l := c.p.Limits
	ascending := func(what string, params []string, values ...*float64) {
		for i := 1; i < len(values); i++ {
			if *values[i-1] >= *values[i] {
				c.conflict(what+" must rise in this order: harm low, comfort low, comfort high, harm high",
					"limits."+params[i-1], "limits."+params[i])
			}
		}
	}
	ascending("temperature limits", []string{"harm_low_c", "comfort_low_c", "comfort_high_c", "harm_high_c"},
		l.HarmLowC, l.ComfortLowC, l.ComfortHighC, l.HarmHighC)
	ascending("salinity limits", []string{"harm_low_psu", "comfort_low_psu", "comfort_high_psu", "harm_high_psu"},
		l.HarmLowPSU, l.ComfortLowPSU, l.ComfortHighPSU, l.HarmHighPSU)
	if c.p.SalinityPSU <= *l.HarmLowPSU || c.p.SalinityPSU >= *l.HarmHighPSU {
		c.conflict("the tank's salinity lies outside its own harm limits",
			"salinity_psu", "limits.harm_low_psu", "limits.harm_high_psu")
	}
	for _, x := range usualLosses {
		if harm := x.harm(&l); x.unit != "h" && (**x.of(&l)-**harm)*x.outwards < 0 {
			c.conflict("a limit of loss must not be nearer than the harm limit, nor one of rapid loss nearer than "+
				"that of loss", "limits."+x.member)
		}
	}
	if *l.HarmOxygenMgL >= *l.ComfortOxygenMgL {
		c.conflict("the harm limit must lie below the comfort edge", "limits.harm_oxygen_mg_l",
			"limits.comfort_oxygen_mg_l")
	}
	if 24-*l.ComfortDarkH >= *l.HarmLitH {
		c.conflict("light without a break must harm later than it leaves the comfort band",
			"limits.comfort_dark_h", "limits.harm_lit_h")
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
		c.conflict("the heater or intake cannot sit below the floor", "display.intake_drop_mm",
			"display.water_depth_mm")
	}
	for i, s := range c.p.Sensors {
		at := fmt.Sprintf("sensors[%d]", i)
		if s.Kind != LevelKind || *s.Place == InReservoir {
			continue
		}
		if c.p.Sump != nil && *s.Place == InDisplay {
			c.conflict("with a sump the display's level is held by its overflow and never moves; "+
				"put the level sensor in the sump", at+".place", "sump")
			continue
		}
		if *s.HeightMM <= low || *s.HeightMM >= high {
			c.conflict(fmt.Sprintf("the sensor must sit between %g and %g mm from the normal water line, inside the "+
				"vessel",
				low, high), at+".height_mm", where)
		}
	}
}
