package audit

import (
	"slices"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// NeighbourActsH is how soon somebody who lives nearby acts, h; common practice, no source.
const NeighbourActsH = 1.0

// waysOut lists the ways that leave the house and reach somebody who answers.
func (w *writer) waysOut() []string {
	var out []string
	for _, x := range w.p.Persons {
		for _, way := range x.ReachedBy {
			outside := !slices.ContainsFunc(w.p.Sirens, func(s plan.Siren) bool { return s.ID == way })
			if x.CountedOn() && outside && way != string(plan.AudiblePath) {
				out = elementsOnce(append(out, way)...)
			}
		}
	}
	return out
}

// heardBySomebody lets an alarm that comes to nobody travel by a way that reaches somebody; nil: no way does.
func (w *writer) heardBySomebody(a plan.Alarm) *Change {
	ways := w.waysOut()
	if len(ways) == 0 {
		return nil
	}
	to := ways[0]
	own := slices.Contains([]string{string(plan.NetworkPath), string(plan.CellularPath)}, to)
	return &Change{"alarm_way", text.Of("remedy_alarm_way", text.Params{"id": a.ID, "way": to}), func(p *plan.Plan) {
		for i := range p.Alarms {
			switch x := &p.Alarms[i]; {
			case x.ID != a.ID:
			case own:
				x.Path, x.Paths = plan.AlarmPath(to), nil
			default:
				x.Path, x.Paths = "", append(slices.Clone(x.Paths), to)
			}
		}
	}}
}

// reachedByAlarms lets the alarms call somebody, too, by whatever leaves the house; nil: none leaves it.
func (w *writer) reachedByAlarms(x plan.Person) *Change {
	var ways []string
	for _, a := range w.p.Alarms {
		if !w.onlyHeard(a) {
			ways = elementsOnce(append(ways, w.p.Ways(a)...)...)
		}
	}
	if len(ways) == 0 {
		return nil
	}
	return &Change{"person_ways", text.Of("remedy_person_ways", text.Params{"id": x.ID, "ways": ways}),
		func(p *plan.Plan) {
			for i := range p.Persons {
				if p.Persons[i].ID == x.ID {
					p.Persons[i].ReachedBy = elementsOnce(append(slices.Clone(x.ReachedBy), ways...)...)
				}
			}
		}}
}

// secondWay adds a way that does not depend on the first: a modem, or a router where all travel by the mobile network
// already; with a battery, for every alarm and for whom they reach. Nil where an alarm travels by no part of the plan.
func (w *writer) secondWay(reached []reaching, mobile bool) *Change {
	var alarms, persons []string
	for _, x := range reached {
		if len(x.alarm.Paths) == 0 {
			return nil
		}
		alarms = elementsOnce(append(alarms, x.alarm.ID)...)
		persons = elementsOnce(append(persons, x.person.ID)...)
	}
	change := AnotherWay(w.p.Power.LongestOutageH, mobile, alarms, persons)
	return &change
}

// AnotherWay adds a modem, or a router where all travel by the mobile network already, with a battery, by which some
// alarms travel, too.
//
//	hours            the battery lasts: the longest outage
//	alarms, persons  ids of those that use it besides; of persons those who are reached by some ways only
//
// Accuracy: exact. Errors: none. Source: [Derived].
func AnotherWay(hours float64, mobile bool, alarms, persons []string) Change {
	code, sentence := "second_modem", "remedy_second_modem"
	if mobile {
		code, sentence = "second_router", "remedy_second_router"
	}
	return Change{code, text.Of(sentence, text.Params{"time": hours}), func(p *plan.Plan) {
		var id string
		if mobile {
			id = plan.FreeID(*p, "second-router")
			p.Routers = append(p.Routers, plan.Router{ID: id, BatteryH: hours})
			p.Power.NetworkCircuit = nil
		} else {
			id = plan.FreeID(*p, "second-modem")
			p.Modems = append(p.Modems, plan.Modem{ID: id, BatteryH: hours})
		}
		for i := range p.Alarms {
			if x := &p.Alarms[i]; slices.Contains(alarms, x.ID) {
				x.Paths = append(slices.Clone(x.Paths), id)
			}
		}
		for i := range p.Persons {
			x := &p.Persons[i]
			if slices.Contains(persons, x.ID) && len(x.ReachedBy) > 0 { // none: whatever leaves the house
				x.ReachedBy = append(slices.Clone(x.ReachedBy), id)
			}
		}
	}}
}

// batteryOfWay gives a way a battery, and the alarms that travel by it one of their own; nil: it is no part of the
// plan.
func (w *writer) batteryOfWay(way string) *Change {
	if on, _ := w.wayFeed(way); on == nil || way == string(plan.NetworkPath) {
		return nil
	}
	var alarms []string
	for _, a := range w.p.Alarms {
		if slices.Contains(w.p.Ways(a), way) {
			alarms = append(alarms, a.ID)
		}
	}
	hours := w.p.Power.LongestOutageH
	params := text.Params{"id": way, "time": hours, "alarms": alarms}
	return &Change{"way_battery", text.Of("remedy_way_battery", params), func(p *plan.Plan) {
		for i := range p.Routers {
			if p.Routers[i].ID == way {
				p.Routers[i].BatteryH = hours
			}
		}
		for i := range p.Modems {
			if p.Modems[i].ID == way {
				p.Modems[i].BatteryH = hours
			}
		}
		for i := range p.Sirens {
			if p.Sirens[i].ID == way {
				p.Sirens[i].BatteryH = hours
			}
		}
		for i := range p.Alarms {
			if slices.Contains(alarms, p.Alarms[i].ID) {
				p.Alarms[i].OwnBattery = true
			}
		}
	}}
}

// secondPerson adds somebody nearby, reached as the others are, between two hours of the day or, where none are given,
// at every hour.
func (w *writer) secondPerson(reached []reaching, from, until *plan.ClockTime) *Change {
	if len(reached) == 0 {
		return nil
	}
	var ways []string
	for _, x := range reached {
		ways = elementsOnce(append(ways, x.way)...)
	}
	said := text.Of("remedy_second_person", text.Params{"time": NeighbourActsH})
	if from != nil {
		said = text.Of("remedy_person_at_hours",
			text.Params{"time": NeighbourActsH, "from": string(*from), "until": string(*until)})
	}
	change := AnotherPerson("second_person", said, ways, from, until)
	return &change
}

// AnotherPerson adds somebody nearby; where the plan names nobody, whom its attendance speaks of is named besides.
//
//	code, said   of the change
//	ways         by which alarms reach them; none: whatever leaves the house
//	from, until  the hours at which they answer; nil: every hour
//
// Accuracy: exact. Errors: none. Source: [Derived].
func AnotherPerson(code string, said text.Text, ways []string, from, until *plan.ClockTime) Change {
	return Change{code, said, func(p *plan.Plan) {
		if len(p.Persons) == 0 {
			p.Persons = append(p.Persons, plan.Person{ID: plan.FreeID(*p, "keeper")})
		}
		p.Persons = append(p.Persons, plan.Person{
			ID: plan.FreeID(*p, "second-person"), ReachedBy: ways, ActsWithinH: new(NeighbourActsH),
			AnswersFrom: from, AnswersUntil: until,
		})
	}}
}
