package audit

import (
	"slices"

	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/text"
)

// reach reports persons and alarms that do not come together, and what all of them depend on. It says nothing of plans
// that name nobody: their attendance speaks of somebody whom every way out of the house reaches.
func (w *writer) reach() {
	if len(w.p.Persons) == 0 || len(w.p.Alarms) == 0 {
		return
	}
	reached := w.reachings()
	w.unheard(reached)
	if len(reached) == 0 {
		return
	}
	w.oneWay(reached)
	w.nobodyAtSomeHours(reached)
	w.neverInTime(reached)
}

// unheard reports alarms that come to nobody, and persons to whom no alarm comes.
func (w *writer) unheard(reached []reaching) {
	for _, a := range w.p.Alarms {
		if !slices.ContainsFunc(reached, func(x reaching) bool { return x.alarm.ID == a.ID }) {
			w.add(Finding{
				Code: "alarm_reaches_nobody", Severity: Weak, Elements: []string{a.ID},
				Message: text.Of("alarm_reaches_nobody", text.Params{"alarm": a.ID}),
				Answer:  w.heardBySomebody(a),
			})
		}
	}
	for _, x := range w.p.Persons {
		switch {
		case !x.CountedOn():
			w.add(Finding{
				Code: "person_answers_nothing", Severity: Note, Elements: []string{x.ID},
				Message: text.Of("person_answers_nothing", text.Params{"person": x.ID}),
				Change:  text.Of("change_ask_person", text.Params{"person": x.ID}),
			})
		case !slices.ContainsFunc(reached, func(r reaching) bool { return r.person.ID == x.ID }):
			w.add(Finding{
				Code: "no_alarm_reaches_person", Severity: Weak, Elements: []string{x.ID},
				Message: text.Of("no_alarm_reaches_person", text.Params{"person": x.ID}),
				Answer:  w.reachedByAlarms(x),
			})
		}
	}
}

// oneWay reports a way, a service or a supply without which no alarm comes to anybody.
func (w *writer) oneWay(reached []reaching) {
	ways, mobile := []string{}, true
	for _, x := range reached {
		ways = elementsOnce(append(ways, x.way)...)
		mobile = mobile && w.isMobile(x.way)
	}
	switch {
	case len(ways) == 1:
		w.add(Finding{
			Code: "everybody_by_one_way", Severity: Weak, Elements: ways,
			Message: text.Of("everybody_by_one_way", text.Params{"way": ways[0]}),
			Answer:  w.secondWay(reached, mobile),
		})
		return
	case mobile:
		w.add(Finding{
			Code: "everybody_by_one_service", Severity: Weak, Elements: ways,
			Message: text.Of("everybody_by_one_service", text.Params{"ways": ways}),
			Answer:  w.secondWay(reached, mobile),
		})
	}
	for _, supply := range w.needs(reached[0]) {
		if slices.ContainsFunc(reached, func(x reaching) bool { return !slices.Contains(w.needs(x), supply) }) {
			continue
		}
		w.add(Finding{
			Code: "everybody_by_one_supply", Severity: Weak, Elements: []string{supply},
			Message: text.Of("everybody_by_one_supply", text.Params{"supply": supply, "ways": ways}),
			Answer:  w.batteryOfWay(reached[0].way),
		})
		return
	}
}

// needs lists the supplies that an alarm and its way cannot do without, each of them from where it is plugged in up to
// what a backup carries.
func (w *writer) needs(x reaching) []string {
	var out []string
	if !x.alarm.OwnBattery {
		out = w.carriedBy(*x.alarm.Circuit)
	}
	on, batteryH := w.wayFeed(x.way)
	if on != nil && batteryH == 0 {
		out = append(out, w.carriedBy(*on)...)
	}
	return out
}

// carriedBy is a supply and what it hangs on, as far as no backup bridges the loss of it.
func (w *writer) carriedBy(supply string) []string {
	power := w.p.Power
	above := power.Above(supply)
	for i, id := range above {
		backed := slices.ContainsFunc(power.Backups, func(x plan.Backup) bool {
			return x.Starts != plan.ByHand && slices.Contains(x.Supplies, id)
		}) || slices.ContainsFunc(power.Circuits, func(x plan.Circuit) bool { return x.ID == id && x.BackupH > 0 })
		if backed {
			return above[:i+1]
		}
	}
	return above
}

// nobodyAtSomeHours reports the longest stretch of a day in which nobody answers.
func (w *writer) nobodyAtSomeHours(reached []reaching) {
	var people []plan.Person
	var ids []string
	for _, x := range reached {
		if !slices.Contains(ids, x.person.ID) {
			people, ids = append(people, x.person), append(ids, x.person.ID)
		}
	}
	from, until, ok := plan.Unanswered(people)
	if !ok {
		return
	}
	w.add(Finding{
		Code: "nobody_at_some_hours", Severity: Weak, Elements: ids,
		Message: text.Of("nobody_at_some_hours", text.Params{"from": string(from), "until": string(until)}),
		Answer:  w.secondPerson(reached, &from, &until),
	})
}

// neverInTime reports that whoever is quickest comes no sooner than the one who comes home.
func (w *writer) neverInTime(reached []reaching) {
	quickest := reached[0].person
	for _, x := range reached {
		if *x.person.ActsWithinH < *quickest.ActsWithinH {
			quickest = x.person
		}
	}
	away := *w.p.Attendance.LongestAbsenceH
	if *quickest.ActsWithinH < away {
		return
	}
	w.add(Finding{
		Code: "nobody_in_time", Severity: Weak, Elements: []string{quickest.ID},
		Message: text.Of("nobody_before_home", text.Params{"person": quickest.ID, "time": *quickest.ActsWithinH,
			"away": away}),
		Answer: w.secondPerson(reached, nil, nil),
	})
}

// tooSlow reports that alarms call, that nobody whom the plan names comes before harm, whatever breaks, and by how much
// the nearest one is late.
func (w *writer) tooSlow(r Report) {
	if len(r.Plan.Persons) == 0 {
		return
	}
	var late *FaultReport
	lateH, ids := 0.0, []string{}
	for i := range r.Faults {
		f := &r.Faults[i]
		if f.Verdict == Rescued {
			return
		}
		for _, n := range f.NoHelp {
			if n.Why == TooLate {
				ids = append(ids, f.Fault.ID)
				if late == nil || sooner(*n.LateH, lateH) {
					late, lateH = f, *n.LateH
				}
			}
		}
	}
	if late == nil {
		return
	}
	w.add(Finding{
		Code: "nobody_in_time", Severity: Weak, Faults: ids, Elements: elementsOnce(late.Alarm.Person),
		Message: text.Of("nobody_in_time", text.Params{"count": len(ids), "fault": late.Fault.Sentence, "late": lateH}),
		Answer:  w.secondPerson(w.reachings(), nil, nil),
	})
}
