package plan

import (
	"cmp"
	"math"
	"slices"

	"saltwright/internal/calc/quantity"
)

// People returns whom alarms reach: the persons of a completed plan, or where it names none the one that its attendance
// speaks of.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (p Plan) People() []Person {
	if len(p.Persons) > 0 {
		return p.Persons
	}
	a := p.Attendance
	return []Person{{ReachedBy: p.waysOut(), AnsweredShare: a.AnsweredShare, ActsWithinH: a.ResponseH,
		AnswerDelayH: a.AnswerDelayH}}
}

// waysOut lists the ways of alarms that leave the house.
func (p Plan) waysOut() []string {
	out := []string{string(NetworkPath), string(CellularPath)}
	for _, r := range p.Routers {
		out = append(out, r.ID)
	}
	for _, m := range p.Modems {
		out = append(out, m.ID)
	}
	return out
}

// Ways returns by what an alarm of a completed plan travels: ids of routers, modems and sirens, or its own path.
//
// Errors: none. Source: [Derived].
func (p Plan) Ways(a Alarm) []string {
	if len(a.Paths) > 0 {
		return a.Paths
	}
	if a.Path != NetworkPath || len(p.Routers) == 0 {
		return []string{string(a.Path)}
	}
	var out []string
	for _, r := range p.Routers {
		out = append(out, r.ID)
	}
	return out
}

// byDay tells whether somebody answers at some hours only.
func (p Person) byDay() bool { return p.AnswersFrom != nil }

// CountedOn tells whether somebody answers alarms at all. Verdicts always count on whom a plan does not name.
//
// Errors: none. Source: [Derived].
func (p Person) CountedOn() bool { return p.ID == "" || p.AnsweredShare == nil || *p.AnsweredShare > 0 }

// hourTolerance is below any interval that matters, h.
const hourTolerance = 1e-9

// waitH is how long an alarm waits that comes at an hour of the day when somebody may not answer.
func (p Person) waitH(clockH float64) float64 {
	if !p.byDay() {
		return 0
	}
	day := func(h float64) float64 {
		h = math.Mod(h, quantity.HoursPerDay)
		if h < 0 {
			h += quantity.HoursPerDay
		}
		return h
	}
	from, until := p.AnswersFrom.Hour(), p.AnswersUntil.Hour()
	if day(clockH-from+hourTolerance) < day(until-from) {
		return 0
	}
	return day(from - clockH)
}

// Help returns the call that first brings somebody to the tank, and when they have acted: at the worst hour of the day
// for the fault to come, where somebody answers by day only. Not ok where nobody is called.
//
//	max over the hours of the day of min over the calls of (call + wait + response)
//
// Accuracy: exact, the worst hour being one at which somebody's day has just ended. Errors: none. Source: [Derived].
func Help(people []Person, calls []Call) (first Call, actsH float64, ok bool) {
	at := func(startH float64) (Call, float64) {
		best, soonest := calls[0], math.Inf(1)
		for _, c := range calls {
			p := people[c.Person]
			if h := c.AtH + p.waitH(startH+c.AtH) + *p.ActsWithinH; h < soonest {
				best, soonest = c, h
			}
		}
		return best, soonest
	}
	if len(calls) == 0 {
		return Call{}, 0, false
	}
	first, actsH = at(0)
	for _, c := range calls {
		if p := people[c.Person]; p.byDay() {
			if call, h := at(p.AnswersUntil.Hour() - c.AtH); h > actsH {
				first, actsH = call, h
			}
		}
	}
	return first, actsH, true
}

// Unanswered returns the longest stretch of a day in which none of some people answers; not ok: there is none.
//
// Accuracy: exact, a stretch beginning where somebody's day ends. Errors: none. Source: [Derived].
func Unanswered(people []Person) (from, until ClockTime, ok bool) {
	longest := hourTolerance
	for _, p := range people {
		if !p.byDay() {
			return "", "", false
		}
		next, soonest := p, math.Inf(1)
		for _, x := range people {
			if !x.byDay() {
				return "", "", false
			}
			if h := x.waitH(p.AnswersUntil.Hour()); h < soonest {
				next, soonest = x, h
			}
		}
		if soonest > longest {
			longest, from, until, ok = soonest, *p.AnswersUntil, *next.AnswersFrom, true
		}
	}
	return from, until, ok
}

// FirstCall returns the earliest of some calls; nil: there is none.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func FirstCall(calls []Call) *Call {
	if len(calls) == 0 {
		return nil
	}
	first := slices.MinFunc(calls, func(a, b Call) int { return cmp.Compare(a.AtH, b.AtH) })
	return &first
}
