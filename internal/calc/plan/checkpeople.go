package plan

import (
	"fmt"
	"slices"
	"strings"

	"saltwright/internal/calc/text"
)

// wayLists are the lists of what an alarm may travel by.
var wayLists = []string{"routers", "modems", "sirens"}

// isWay tells whether an id is that of a router, a modem or a siren.
func (c *checker) isWay(id string) bool {
	list, _, _ := strings.Cut(c.ids[id], "[")
	return slices.Contains(wayLists, list)
}

// paths refuses alarms that travel by nothing, by two things at once, or by what is no way.
func (c *checker) paths() {
	for i, a := range c.p.Alarms {
		at := fmt.Sprintf("alarms[%d]", i)
		if (a.Path == "") == (len(a.Paths) == 0) {
			c.conflict(text.Of("plan_path_or_paths", nil), at+".path", at+".paths")
		}
		for j, id := range a.Paths {
			path := fmt.Sprintf("%s.paths[%d]", at, j)
			switch {
			case !c.isWay(id):
				c.unknown(id, path, "way")
			case slices.Contains(a.Paths[:j], id):
				c.conflict(text.Of("plan_output_named_twice", text.Params{"id": id}), path)
			}
		}
	}
	if len(c.p.Routers) > 0 && c.p.Power.NetworkCircuit != nil {
		c.conflict(text.Of("plan_router_or_network_circuit", nil), "routers", "power.network_circuit")
	}
}

// persons refuses persons whom nothing could reach as they say, and hours that are none.
func (c *checker) persons() {
	own := []string{string(AudiblePath), string(NetworkPath), string(CellularPath)}
	for i, x := range c.p.Persons {
		at := fmt.Sprintf("persons[%d]", i)
		for j, id := range x.ReachedBy {
			if !c.isWay(id) && !slices.Contains(own, id) {
				c.unknown(id, fmt.Sprintf("%s.reached_by[%d]", at, j), "way")
			}
		}
		from, until := x.AnswersFrom, x.AnswersUntil
		if (from == nil) != (until == nil) {
			c.conflict(text.Of("plan_answers_from_and_until", nil), at+".answers_from", at+".answers_until")
			continue
		}
		if from == nil {
			continue
		}
		for _, hour := range []struct {
			member string
			at     ClockTime
		}{{"answers_from", *from}, {"answers_until", *until}} {
			if _, ok := hour.at.read(); !ok {
				c.conflict(notATime(hour.at), at+"."+hour.member)
			}
		}
		if *from == *until {
			c.conflict(text.Of("plan_answers_at_no_hour", nil), at+".answers_from", at+".answers_until")
		}
	}
}
