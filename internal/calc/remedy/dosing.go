package remedy

import (
	"math"
	"slices"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// The values of changes about what is dosed and changed; all of them common practice, no source.
const (
	fillShare       = 0.95 // of what does no harm at once
	leastDosedL     = 0.01 // a plan takes no smaller container
	slowerTimes     = 8.0
	slowestMLMin    = 0.05  // a plan takes no slower pump
	mostDosingShare = 0.5   // of the day
	doseAtMin       = 600.0 // 10:00
	doseSlackMin    = 2.0   // before and after
	mostDoseMin     = 240.0 // of one dose a day
	inletBelowMM    = 10.0  // the normal line, of a drain
	// leastMissingDKHD of a day's demand is worth a word.
	leastMissingDKHD = 0.05
	guardShare       = 0.5  // of the way from comfort to harm
	guardBeyondPH    = 0.25 // of the pH that is kept, where that comes sooner
)

// dosed are the kinds of harm by what is dosed, changed or let in.
var dosed = []string{"alkalinity_low", "alkalinity_high", "ph_low", "ph_high", "dissolving", "falling_out",
	"magnesium_low", "magnesium_high"}

// dosing limits what a pump, a valve or a water change that never stops can do. Where there is one, or such a harm,
// what is dissolved is followed.
func (c *candidates) dosing() {
	changed := len(c.sent.ChangePumps) > 0 &&
		c.has("diluted", "concentrated", "run_dry", "flooded", "salinity_shock", "airless")
	if !c.has(dosed...) && !changed {
		return
	}
	c.lessReady()
	c.weakerLime()
	c.chemicalGuards()
	if changed {
		c.waterChanges()
	}
	c.slowerDosers()
	for _, x := range given(c.p.DosingPumps, c.sent.DosingPumps) {
		c.onceADay(x.ID, x.Doses)
	}
	for _, x := range given(c.p.CarbonDioxide, c.sent.CarbonDioxide) {
		c.onceADay(x.ID, x.Doses)
	}
	for _, x := range given(c.p.ChangePumps, c.sent.ChangePumps) {
		c.onceADay(x.ID, x.Doses)
	}
}

// lessReady fills no more into a container, or a reservoir of lime water, than may come at once.
func (c *candidates) lessReady() {
	for _, x := range c.report.Containers {
		litres := math.Floor(100*fillShare*x.LargestL) / 100
		if x.Gas || x.Harmless() || litres < leastDosedL {
			continue
		}
		c.take(x.Filled("smaller_container", "remedy_smaller_container", litres))
	}
}

// weakerLime mixes lime water so weak that all of a reservoir may come at once, and says what it no longer covers. What
// the tank uses is stated then, so that the audit of the change sees what is missing.
func (c *candidates) weakerLime() {
	demand := *c.p.Chemistry.DemandDKHD
	for i, v := range given(c.p.Reservoirs, c.sent.Reservoirs) {
		held := slices.IndexFunc(c.report.Containers, func(x audit.Container) bool { return x.Element == v.ID })
		if held < 0 || c.report.Containers[held].Harmless() {
			continue
		}
		share := math.Floor(100*fillShare**v.LimeShare*c.report.Containers[held].LargestL/
			c.report.Containers[held].HoldsL) / 100
		if share <= 0 {
			continue
		}
		weaker := c.p.Clone()
		weaker.Reservoirs[i].LimeShare = &share
		said := text.Of("remedy_weaker_lime", text.Params{"id": v.ID, "share": share})
		if missing := demand - weaker.Given().DKHD; missing > leastMissingDKHD {
			said = text.Of("remedy_weaker_lime_short",
				text.Params{"id": v.ID, "share": share, "missing": missing, "demand": demand})
		}
		c.add("weaker_lime", said, func(p *plan.Plan) {
			uses := *c.p.Chemistry
			p.Reservoirs[i].LimeShare, p.Chemistry = &share, &uses
		})
	}
}

// chemicalGuards cut by a pH or a salinity, with sensors of their own.
func (c *candidates) chemicalGuards() {
	l := c.p.Limits
	guard := func(id string, kind plan.SensorKind, sentence string, when plan.When, comfort, harm float64,
		outputs []string, set func(k *plan.Control, cut *float64)) {
		if len(outputs) == 0 {
			return
		}
		cut := comfort + guardShare*(harm-comfort)
		if kept := c.p.Chemistry.PH; kind == plan.PHKind && when == plan.Above {
			cut = math.Min(cut, kept+guardBeyondPH)
		} else if kind == plan.PHKind {
			cut = math.Max(cut, kept-guardBeyondPH)
		}
		cut = math.Round(100*cut) / 100
		c.add("chemical_guard", text.Of(sentence, text.Params{"cut": cut, "pumps": outputs}), func(p *plan.Plan) {
			probe := plan.NewSensor(id+"-probe", kind)
			probe.Place = new(plan.InDisplay)
			set(addSupervisor(p, id, addSensor(p, probe), when, outputs), &cut)
		})
	}
	byPH := func(k *plan.Control, cut *float64) { k.ThresholdPH = cut }
	byPSU := func(k *plan.Control, cut *float64) { k.ThresholdPSU = cut }
	if c.has("ph_high", "alkalinity_high", "falling_out") {
		var pumps []string
		for _, x := range given(c.p.DosingPumps, c.sent.DosingPumps) {
			if x.Container.AlkalinityMeqL > 0 {
				pumps = append(pumps, x.ID)
			}
		}
		pumps = append(pumps, c.limePumps()...)
		guard("high-ph-guard", plan.PHKind, "remedy_high_ph_guard", plan.Above, *l.ComfortHighPH, *l.HarmHighPH,
			pumps, byPH)
	}
	if c.has("ph_low", "dissolving", "alkalinity_high") {
		valves := ids(given(c.p.CarbonDioxide, c.sent.CarbonDioxide),
			func(x plan.CarbonDioxide) string { return x.ID })
		guard("low-ph-guard", plan.PHKind, "remedy_low_ph_guard", plan.Below, *l.ComfortLowPH, *l.HarmLowPH,
			valves, byPH)
	}
	if len(c.sent.ChangePumps) == 0 {
		return
	}
	if c.has("diluted", "run_dry", "salinity_shock", "alkalinity_low") {
		var pumps []string
		for _, x := range given(c.p.ChangePumps, c.sent.ChangePumps) {
			if x.Role == plan.Drain {
				pumps = append(pumps, x.ID)
			}
		}
		pumps = append(pumps, ids(given(c.p.TopOffPumps, c.sent.TopOffPumps),
			func(x plan.TopOffPump) string { return x.ID })...)
		guard("low-salt-guard", plan.ConductivityKind, "remedy_low_salt_guard", plan.Below, *l.ComfortLowPSU,
			*l.HarmLowPSU, pumps, byPSU)
	}
	if c.has("concentrated", "flooded", "salinity_shock") {
		var pumps []string
		for _, x := range given(c.p.ChangePumps, c.sent.ChangePumps) {
			if x.Role == plan.NewWater {
				pumps = append(pumps, x.ID)
			}
		}
		guard("high-salt-guard", plan.ConductivityKind, "remedy_high_salt_guard", plan.Above, *l.ComfortHighPSU,
			*l.HarmHighPSU, pumps, byPSU)
	}
}

// limePumps are the top-off pumps that bring lime water.
func (c *candidates) limePumps() []string {
	var out []string
	for _, q := range given(c.p.TopOffPumps, c.sent.TopOffPumps) {
		for _, v := range c.p.Reservoirs {
			if v.ID == q.Reservoir && v.LimeShare != nil && *v.LimeShare > 0 {
				out = append(out, q.ID)
			}
		}
	}
	return out
}

// slowerDosers give the same dose in more time, so that a pump that sticks leaves more of it.
func (c *candidates) slowerDosers() {
	for i, x := range given(c.p.DosingPumps, c.sent.DosingPumps) {
		if x.Doses == nil {
			continue
		}
		slow := math.Round(100*x.FlowMLMin/slowerTimes) / 100
		run := x.Doses.RunS * x.FlowMLMin / slow
		if slow < slowestMLMin || float64(x.Doses.ADay)*run > mostDosingShare*quantity.SecondsPerDay {
			continue
		}
		c.add("slower_doser", text.Of("remedy_slower_doser", text.Params{
			"id": x.ID, "flow": slow / 1000 * quantity.MinutesPerHour, "run": run / quantity.SecondsPerMinute}),
			func(p *plan.Plan) {
				q := &p.DosingPumps[i]
				doses := *q.Doses
				doses.RunS = run
				q.FlowMLMin, q.Doses = slow, &doses
			})
	}
}

// onceADay lets a pump run once a day, behind a timer: a programme that sticks is over with the timer's time.
func (c *candidates) onceADay(id string, d *plan.Doses) {
	if d == nil {
		return
	}
	seconds := float64(d.ADay) * d.RunS
	minutes := math.Ceil(seconds / quantity.SecondsPerMinute)
	if minutes > mostDoseMin {
		return
	}
	on, off := clock(doseAtMin-doseSlackMin), clock(doseAtMin+minutes+doseSlackMin)
	once := &plan.Doses{ADay: 1, RunS: seconds, FirstAt: clock(doseAtMin)}
	c.add("timer_in_series", text.Of("remedy_dose_timer",
		text.Params{"id": id, "on": string(on), "off": string(off)}), func(p *plan.Plan) {
		for i := range p.DosingPumps {
			if p.DosingPumps[i].ID == id {
				p.DosingPumps[i].Doses = once
			}
		}
		for i := range p.ChangePumps {
			if p.ChangePumps[i].ID == id {
				p.ChangePumps[i].Doses = once
			}
		}
		for i := range p.CarbonDioxide {
			if p.CarbonDioxide[i].ID == id {
				p.CarbonDioxide[i].Doses = once
			}
		}
		addTimer(p, id+"-timer", on, off, id)
	})
}

// waterChanges let drain and new water run together, and the drain draw from little below the line.
func (c *candidates) waterChanges() {
	drain, fresh := -1, -1
	for i, x := range given(c.p.ChangePumps, c.sent.ChangePumps) {
		if x.Role == plan.NewWater {
			fresh = i
			continue
		}
		drain = i
		if *x.InletMM < -inletBelowMM {
			c.add("drain_inlet", text.Of("remedy_drain_inlet", text.Params{"id": x.ID, "depth": inletBelowMM}),
				func(p *plan.Plan) { p.ChangePumps[i].InletMM = new(-inletBelowMM) })
		}
	}
	if drain < 0 || fresh < 0 || c.p.ChangePumps[fresh].Doses == nil || c.p.ChangePumps[drain].Doses == nil {
		return
	}
	in, out := c.p.ChangePumps[fresh], c.p.ChangePumps[drain]
	flow := math.Min(in.FlowLH, out.FlowLH)
	dayL := in.FlowLH * float64(in.Doses.ADay) * in.Doses.RunS / quantity.SecondsPerHour
	minutes := math.Max(1, math.Round(dayL/flow*quantity.MinutesPerHour))
	if minutes > mostDoseMin {
		return
	}
	on, off := clock(doseAtMin), clock(doseAtMin+minutes)
	c.add("one_contactor", text.Of("remedy_one_contactor", text.Params{
		"drain": out.ID, "new": in.ID, "on": string(on), "off": string(off), "flow": flow}), func(p *plan.Plan) {
		for _, i := range []int{drain, fresh} {
			p.ChangePumps[i].Doses, p.ChangePumps[i].FlowLH = nil, flow
		}
		contactor := plan.Contactor{ID: plan.FreeID(*p, "change-contactor"), Outputs: []string{out.ID, in.ID}}
		p.Contactors = append(p.Contactors, contactor)
		addTimer(p, "change-timer", on, off, contactor.ID)
	})
}
