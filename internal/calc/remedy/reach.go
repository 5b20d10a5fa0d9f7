package remedy

import (
	"slices"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// modemBatteryH is how long a second modem works by itself; common practice, no source.
const modemBatteryH = 24.0

// reach lets alarms come to somebody else, or by another way, where nobody comes in time.
func (c *candidates) reach() {
	if c.thin() || c.nobodyBy(audit.TooLate) != nil || c.nobodyBy(audit.NobodyCalled) != nil {
		c.add("second_person", text.Of("remedy_second_person", text.Params{"time": audit.NeighbourActsH}),
			func(p *plan.Plan) { c.addPerson(p, "neighbour", nil) })
	}
	if alarms := c.nobodyBy(audit.OnlyInRoom); alarms != nil {
		c.add("louder", text.Of("remedy_louder", text.Params{"alarms": alarms, "time": audit.NeighbourActsH}),
			func(p *plan.Plan) {
				heard := []string{string(plan.AudiblePath)}
				for _, s := range p.Sirens {
					heard = append(heard, s.ID)
				}
				c.addPerson(p, "neighbour", heard)
			})
	}
	for i, a := range given(c.p.Alarms, c.sent.Alarms) {
		if len(a.Paths) == 0 || !c.silent(audit.WayDown, a.ID) && !c.silent(audit.NetworkDown, a.ID) {
			continue
		}
		c.add("second_way", text.Of("remedy_second_way", text.Params{"id": a.ID, "time": modemBatteryH}),
			func(p *plan.Plan) {
				modem := plan.Modem{ID: plan.FreeID(*p, "second-modem"), BatteryH: modemBatteryH}
				p.Modems = append(p.Modems, modem)
				p.Alarms[i].Paths = append(slices.Clone(p.Alarms[i].Paths), modem.ID)
				for k, x := range p.Persons {
					if len(x.ReachedBy) > 0 {
						p.Persons[k].ReachedBy = append(slices.Clone(x.ReachedBy), modem.ID)
					}
				}
			})
	}
}

// thin tells whether something is rescued by too little time to count on.
func (c *candidates) thin() bool {
	return slices.ContainsFunc(c.report.Faults, func(f audit.FaultReport) bool { return f.Thin() })
}

// nobodyBy lists the alarms that bring no help for that reason against what ends badly; nil: none does.
func (c *candidates) nobodyBy(why audit.WhyNoHelp) []string {
	var out []string
	for _, a := range given(c.p.Alarms, c.sent.Alarms) {
		if c.silent(why, a.ID) {
			out = append(out, a.ID)
		}
	}
	return out
}

// addPerson adds somebody who acts soon; where the plan names nobody, whom its attendance speaks of is named besides.
func (c *candidates) addPerson(p *plan.Plan, id string, reachedBy []string) {
	if len(p.Persons) == 0 {
		p.Persons = append(p.Persons, plan.Person{ID: plan.FreeID(*p, "keeper")})
	}
	acts := audit.NeighbourActsH
	p.Persons = append(p.Persons, plan.Person{ID: plan.FreeID(*p, id), ReachedBy: reachedBy, ActsWithinH: &acts})
}
