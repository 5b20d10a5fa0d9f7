package plan

import (
	"fmt"

	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// chemistry refuses what cannot be dosed, changed or let in.
func (c *checker) chemistry() {
	for i, x := range c.p.DosingPumps {
		at := fmt.Sprintf("dosing_pumps[%d]", i)
		c.doses(x.ID, x.Doses, at)
		brings := x.Container
		switch {
		case brings.AlkalinityMeqL > 0 && brings.MagnesiumMgL > 0:
			c.conflict(text.Of("plan_container_alkalinity_and_magnesium", nil), at+".container.magnesium_mg_l",
				at+".container.alkalinity_meq_l")
		case brings.AlkalinityMeqL == 0 && brings.CalciumMgL == 0 && brings.MagnesiumMgL == 0:
			c.conflict(text.Of("plan_container_brings_nothing", nil), at+".container.alkalinity_meq_l",
				at+".container.calcium_mg_l")
		case brings.AlkalinityMeqL > 0 && brings.CalciumMgL > 0 && brings.Form != HydroxideForm:
			c.conflict(text.Of("plan_container_of_both", nil), at+".container.calcium_mg_l", at+".container.form")
		}
	}
	for i, x := range c.p.ChangePumps {
		at := fmt.Sprintf("change_pumps[%d]", i)
		c.doses(x.ID, x.Doses, at)
		switch {
		case x.Role == NewWater && x.Container == nil:
			c.conflict(text.Of("plan_new_water_needs_container", nil), at+".container", at+".role")
		case x.Role == Drain && x.Container != nil:
			c.conflict(text.Of("plan_drain_has_no_container", nil), at+".container", at+".role")
		case x.Role == NewWater && x.InletMM != nil:
			c.conflict(text.Of("plan_inlet_of_drain", nil), at+".inlet_mm", at+".role")
		}
	}
	for i, x := range c.p.CarbonDioxide {
		at := fmt.Sprintf("carbon_dioxide[%d]", i)
		c.doses(x.ID, x.Doses, at)
		if x.Into == IntoReactor && x.Doses == nil && (c.p.Chemistry == nil || c.p.Chemistry.DemandDKHD == nil) {
			c.conflict(text.Of("plan_reactor_needs_demand", nil), "chemistry.daily_demand_dkh", at+".doses")
		}
	}
}

// doses refuses a programme that does not fit into a day, and a pump that nothing runs.
func (c *checker) doses(id string, d *Doses, at string) {
	if d == nil {
		if !c.p.driven(id) {
			c.conflict(text.Of("plan_nothing_runs_it", text.Params{"id": id}), at+".doses", "controls")
		}
		return
	}
	if _, ok := d.FirstAt.read(); !ok {
		c.conflict(notATime(d.FirstAt), at+".doses.first_at")
	}
	if float64(d.ADay)*d.RunS >= quantity.SecondsPerDay {
		c.conflict(text.Of("plan_doses_fill_the_day", nil), at+".doses.run_s", at+".doses.a_day")
	}
}

// chemicalLimits refuses limits that do not rise, and water that is kept beyond harm.
func (c *checker) chemicalLimits() {
	l := c.p.Limits
	if c.p.Chemistry == nil {
		return
	}
	for _, x := range []struct {
		member, kept string
		is           *float64
		rising       []*float64
	}{
		{"dkh", "alkalinity_dkh", &c.p.Chemistry.AlkalinityDKH,
			[]*float64{l.LossLowDKH, l.HarmLowDKH, l.ComfortLowDKH, l.ComfortHighDKH, l.HarmHighDKH, l.LossHighDKH}},
		{"ph", "ph", &c.p.Chemistry.PH,
			[]*float64{l.LossLowPH, l.HarmLowPH, l.ComfortLowPH, l.ComfortHighPH, l.HarmHighPH, l.LossHighPH}},
		{"aragonite", "", nil,
			[]*float64{nil, l.HarmLowAragonite, l.ComfortLowAragonite, l.ComfortHighAragonite, l.HarmHighAragonite,
				nil}},
		{"magnesium_mg_l", "magnesium_mg_l", c.p.Chemistry.MagnesiumMgL,
			[]*float64{nil, l.HarmLowMagnesiumMgL, l.ComfortLowMagnesiumMgL, l.ComfortHighMagnesiumMgL,
				l.HarmHighMagnesiumMgL, nil}},
	} {
		names := []string{"loss_low_", "harm_low_", "comfort_low_", "comfort_high_", "harm_high_", "loss_high_"}
		for i := 1; i < len(x.rising); i++ {
			if low, high := x.rising[i-1], x.rising[i]; low != nil && high != nil && *low >= *high {
				c.conflict(text.Of("plan_chemical_limits_not_rising", nil), "limits."+names[i-1]+x.member,
					"limits."+names[i]+x.member)
			}
		}
		if x.is != nil && (*x.is <= *x.rising[1] || *x.is >= *x.rising[4]) {
			c.conflict(text.Of("plan_water_beyond_harm", nil), "chemistry."+x.kept, "limits.harm_low_"+x.member,
				"limits.harm_high_"+x.member)
		}
	}
	for i, x := range c.p.ChangePumps {
		if x.Role != Drain {
			continue
		}
		at, floor := fmt.Sprintf("change_pumps[%d].inlet_mm", i), c.p.floorMM()
		switch {
		case *x.InletMM >= 0:
			c.conflict(text.Of("plan_inlet_above_water", nil), at)
		case *x.InletMM < floor:
			c.conflict(text.Of("plan_inlet_below_floor", text.Params{"floor": floor}), at)
		}
	}
	for i, k := range c.p.Controls {
		if k.SetpointPH != nil && (*k.SetpointPH <= *l.HarmLowPH || *k.SetpointPH >= *l.HarmHighPH) {
			c.conflict(text.Of("plan_ph_beyond_harm", text.Params{"low": *l.HarmLowPH, "high": *l.HarmHighPH}),
				fmt.Sprintf("controls[%d].setpoint_ph", i), "limits.harm_low_ph", "limits.harm_high_ph")
		}
	}
}
