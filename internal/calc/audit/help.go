package audit

import (
	"slices"
	"strings"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
)

// calls returns, of each person whom an alarm reaches that the faults raise, the first.
func (rm *room) calls(raised [][]float64, injections []sim.Injection) []plan.Call {
	var out []plan.Call
	for person := range rm.crew.people {
		if slices.ContainsFunc(injections, func(in sim.Injection) bool {
			return in.Fault == sim.PersonGone && in.Index == person
		}) {
			continue
		}
		first := plan.Call{Person: person, AtH: -1}
		var ways []string
		for i, list := range raised {
			for k, at := range list {
				way := rm.system.Alarms[i].Ways[k]
				if !rm.crew.reached[person][way] || !rm.raisedByFault(i, at) {
					continue
				}
				if id := rm.system.Ways[way].ID; len(rm.crew.people) > 1 && !slices.Contains(ways, id) {
					ways = append(ways, id)
				}
				if h := at / secondsPerHour; first.AtH < 0 || sooner(h, first.AtH) {
					first.AtH, first.Alarm = h, rm.system.Alarms[i].ID
				}
			}
		}
		if first.AtH >= 0 {
			slices.Sort(ways)
			first.Ways = strings.Join(ways, " ")
			out = append(out, first)
		}
	}
	return out
}

// actsH returns when the first of those who are called has acted; nil: nobody is called.
func (rm *room) actsH(calls []plan.Call) *float64 {
	if _, h, ok := plan.Help(rm.crew.people, calls); ok {
		return &h
	}
	return nil
}

// onlyHeard tells whether all ways of an alarm are only heard in the house.
func onlyHeard(s *sim.System, a sim.Alarm) bool {
	return !slices.ContainsFunc(a.Ways, func(way int) bool { return s.Ways[way].Kind != sim.Audible })
}

// reaches tells whether an alarm comes to anybody.
func (rm *room) reaches(alarm int, raised []float64, injections []sim.Injection) bool {
	for person, by := range rm.crew.reached {
		gone := slices.ContainsFunc(injections, func(in sim.Injection) bool {
			return in.Fault == sim.PersonGone && in.Index == person
		})
		for k, way := range rm.system.Alarms[alarm].Ways {
			if !gone && by[way] && raised[k] != sim.Never {
				return true
			}
		}
	}
	return false
}
