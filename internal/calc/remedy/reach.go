package remedy

import (
	"slices"

	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// reach lets alarms come to somebody else, or by another way, where nobody comes in time.
func (c *candidates) reach() {
	if c.thin() || c.nobodyBy(audit.TooLate) != nil || c.nobodyBy(audit.NobodyCalled) != nil {
		c.take(audit.AnotherPerson("second_person",
			text.Of("remedy_second_person", text.Params{"time": audit.NeighbourActsH}), nil, nil, nil))
	}
	if alarms := c.nobodyBy(audit.OnlyInRoom); alarms != nil {
		heard := append([]string{string(plan.AudiblePath)},
			ids(c.sent.Sirens, func(x plan.Siren) string { return x.ID })...)
		c.take(audit.AnotherPerson("louder", text.Of("remedy_louder",
			text.Params{"alarms": alarms, "time": audit.NeighbourActsH}), heard, nil, nil))
	}
	silent := append(c.nobodyBy(audit.WayDown), c.nobodyBy(audit.NetworkDown)...)
	for _, a := range given(c.p.Alarms, c.sent.Alarms) {
		if len(a.Paths) == 0 { // it travels by no part of the plan
			silent = slices.DeleteFunc(silent, func(id string) bool { return id == a.ID })
		}
	}
	if len(silent) > 0 {
		c.take(audit.AnotherWay(c.p.Power.LongestOutageH, false, silent,
			ids(c.sent.Persons, func(x plan.Person) string { return x.ID })))
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
