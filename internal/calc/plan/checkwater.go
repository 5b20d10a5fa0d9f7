package plan

import (
	"fmt"
	"math"
	"slices"

	"saltwright/internal/calc/text"
)

func (c *checker) livestock() {
	if !slices.Contains(groups, c.p.Livestock) {
		var names []string
		for _, g := range groups {
			names = append(names, string(g))
		}
		c.conflict(text.Of("plan_unknown_livestock", text.Params{"groups": names}), "livestock")
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
			c.conflict(text.Of("plan_volume_and_lengths_differ", text.Params{"volume": v}),
				"display.volume_l", "display.length_mm", "display.width_mm", "display.water_depth_mm")
		}
	case lengths == 0 && d.VolumeL == nil, lengths > 0 && lengths < len(all):
		c.conflict(text.Of("plan_volume_or_lengths", nil), "display")
	}
	if d.WaterDepthMM != nil && d.DrainBackMM >= *d.WaterDepthMM {
		c.conflict(text.Of("plan_drains_more_than_depth", nil), "display.drain_back_mm", "display.water_depth_mm")
	}
	s := c.p.Sump
	if s == nil {
		return
	}
	if s.WaterLevelMM >= s.HeightMM {
		c.conflict(text.Of("plan_level_above_rim", nil), "sump.water_level_mm", "sump.height_mm")
	}
	if s.ReturnIntakeMM != nil && *s.ReturnIntakeMM >= s.WaterLevelMM {
		c.conflict(text.Of("plan_intake_above_level", nil),
			"sump.return_intake_mm", "sump.water_level_mm")
	}
	if s.BaffleMM != nil && (*s.BaffleMM < s.WaterLevelMM || *s.BaffleMM > s.HeightMM) {
		c.conflict(text.Of("plan_baffle_out_of_place", nil),
			"sump.baffle_mm", "sump.water_level_mm", "sump.height_mm")
	}
	if s.ReturnChamberMM != nil && *s.ReturnChamberMM > s.LengthMM {
		c.conflict(text.Of("plan_chamber_longer_than_sump", nil), "sump.return_chamber_mm", "sump.length_mm")
	}
}

func (c *checker) oxygen() {
	if c.p.Oxygen.DemandMgLH != nil && c.p.Oxygen.FishG != nil {
		c.conflict(text.Of("plan_demand_or_fish", nil), "oxygen.demand_mg_l_h",
			"oxygen.fish_g")
	}
}

func (c *checker) room() {
	r := c.p.Room
	if r.Coldest != nil && r.Coldest.TempC > r.Usual.TempC {
		c.conflict(text.Of("plan_coldest_above_usual", nil), "room.coldest.temp_c", "room.usual.temp_c")
	}
	if r.Warmest != nil && r.Warmest.TempC < r.Usual.TempC {
		c.conflict(text.Of("plan_warmest_below_usual", nil), "room.warmest.temp_c", "room.usual.temp_c")
	}
	if r.ColdestShare != nil && r.WarmestShare != nil && *r.ColdestShare+*r.WarmestShare > 1 {
		c.conflict(text.Of("plan_seasons_fill_more_than_a_year", nil), "room.coldest_share", "room.warmest_share")
	}
}

func (c *checker) limits() {
	l := c.p.Limits
	ascending := func(code string, params []string, values ...*float64) {
		for i := 1; i < len(values); i++ {
			if *values[i-1] >= *values[i] {
				c.conflict(text.Of(code, nil), "limits."+params[i-1], "limits."+params[i])
			}
		}
	}
	ascending("plan_temperature_limits_not_rising",
		[]string{"harm_low_c", "comfort_low_c", "comfort_high_c", "harm_high_c"},
		l.HarmLowC, l.ComfortLowC, l.ComfortHighC, l.HarmHighC)
	ascending("plan_salinity_limits_not_rising",
		[]string{"harm_low_psu", "comfort_low_psu", "comfort_high_psu", "harm_high_psu"},
		l.HarmLowPSU, l.ComfortLowPSU, l.ComfortHighPSU, l.HarmHighPSU)
	if c.p.SalinityPSU <= *l.HarmLowPSU || c.p.SalinityPSU >= *l.HarmHighPSU {
		c.conflict(text.Of("plan_salinity_beyond_harm", text.Params{"low": *l.HarmLowPSU, "high": *l.HarmHighPSU}),
			"salinity_psu", "limits.harm_low_psu", "limits.harm_high_psu")
	}
	for _, x := range usualLosses {
		if harm := x.harm(&l); x.unit != "h" && (**x.of(&l)-**harm)*x.outwards < 0 {
			c.conflict(text.Of("plan_loss_before_harm", nil), "limits."+x.member)
		}
	}
	if *l.HarmOxygenMgL >= *l.ComfortOxygenMgL {
		c.conflict(text.Of("plan_oxygen_limits_not_rising", nil), "limits.harm_oxygen_mg_l",
			"limits.comfort_oxygen_mg_l")
	}
	for _, x := range []struct {
		comfort, harm float64
		member        string
	}{
		{*l.ComfortSumpC, *l.HarmSumpC, "sump_c"}, {*l.ComfortChangeK, *l.HarmChangeK, "change_k"},
		{*l.ComfortChangePSU, *l.HarmChangePSU, "change_psu"},
	} {
		if x.comfort >= x.harm {
			c.conflict(text.Of("plan_harm_below_comfort", nil), "limits.comfort_"+x.member,
				"limits.harm_"+x.member)
		}
	}
	if 24-*l.ComfortDarkH >= *l.HarmLitH {
		c.conflict(text.Of("plan_lit_harm_before_comfort", nil),
			"limits.comfort_dark_h", "limits.harm_lit_h")
	}
}

func (c *checker) setpoints() {
	l := c.p.Limits
	// The own dial of what a control drives is often turned as far as it goes: that is a finding, no contradiction.
	driven := func(id string) bool {
		return slices.ContainsFunc(c.p.Controls, func(k Control) bool {
			return (k.Kind == Heating || k.Kind == Cooling) && slices.Contains(k.Outputs, id)
		})
	}
	inside := func(value float64, path string) {
		if value <= *l.HarmLowC || value >= *l.HarmHighC {
			c.conflict(text.Of("plan_setpoint_beyond_harm", text.Params{"low": *l.HarmLowC, "high": *l.HarmHighC}),
				path, "limits.harm_low_c", "limits.harm_high_c")
		}
	}
	for i, h := range c.p.Heaters {
		if t := h.ThermostatC; t != nil && !(driven(h.ID) && *t >= *l.HarmHighC) {
			inside(*t, fmt.Sprintf("heaters[%d].thermostat_c", i))
		}
	}
	for i, h := range c.p.Chillers {
		if t := h.ThermostatC; t != nil && !(driven(h.ID) && *t <= *l.HarmLowC) {
			inside(*t, fmt.Sprintf("chillers[%d].thermostat_c", i))
		}
	}
	for i, k := range c.p.Controls {
		if k.SetpointC != nil {
			inside(*k.SetpointC, fmt.Sprintf("controls[%d].setpoint_c", i))
		}
	}
}

func (c *checker) heights() {
	low, high, where := -*c.p.Display.WaterDepthMM, c.p.Display.FreeboardMM, "display.freeboard_mm"
	if s := c.p.Sump; s != nil {
		low, high, where = -s.WaterLevelMM, s.HeightMM-s.WaterLevelMM, "sump.height_mm"
	}
	if c.p.Sump == nil && c.p.Display.IntakeDropMM >= *c.p.Display.WaterDepthMM {
		c.conflict(text.Of("plan_heater_below_floor", nil), "display.intake_drop_mm",
			"display.water_depth_mm")
	}
	for i, s := range c.p.Sensors {
		at := fmt.Sprintf("sensors[%d]", i)
		if s.Kind != LevelKind || *s.Place == InReservoir {
			continue
		}
		if c.p.Sump != nil && *s.Place == InDisplay {
			c.conflict(text.Of("plan_level_sensor_in_display", nil), at+".place", "sump")
			continue
		}
		if *s.HeightMM <= low || *s.HeightMM >= high {
			c.conflict(text.Of("plan_level_sensor_outside", text.Params{"low": low, "high": high}), at+".height_mm",
				where)
		}
	}
}
