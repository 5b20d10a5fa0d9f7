package plan

import (
	"cmp"
	"math"
	"slices"

	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// What people and rooms do where the keeper does not say.
const (
	answeredShare = 0.9 // an operator answers an alarm in time; common practice, no source: failure_rates.csv
	answerDelayH  = 0.7 // so that three in ten are not acted on within the first hour; as above
	seasonShare   = 0.1 // of the year is as cold, and as warm: five weeks; common practice, no source
	// Of the alarms that somebody misses, the share that all miss who are reached by the same ways: as for equal parts
	// in one place; failure_rates.csv, common practice, no source.
	missedTogether = 0.1
	rareShare      = 0.01 // a house without heating, or a heat wave: four days a year; common practice, no source
)

// Chances are what the risk of a plan takes from people and rooms.
type Chances struct {
	People                     []Person // nothing of them left out but the hours of the day
	ColdestShare, WarmestShare float64  // of the year
}

// ChancesOf returns how often alarms are answered and how long rooms last, with what had to be assumed. The plan has
// been completed.
//
// Accuracy: every assumed value is stated. Errors: none. Source: [CommonPractice].
func ChancesOf(p Plan) (Chances, []Assumption) {
	c := &completion{p: &p}
	a, r := &p.Attendance, &p.Room
	if len(p.Persons) == 0 || slices.ContainsFunc(p.Persons, func(x Person) bool { return x.AnsweredShare == nil }) {
		assume(c, &a.AnsweredShare, answeredShare, "attendance.answered_share", "1", WhyCommonPractice,
			text.Of("assumed_plan_answered_share", nil))
	}
	if len(p.Persons) == 0 || slices.ContainsFunc(p.Persons, func(x Person) bool { return x.AnswerDelayH == nil }) {
		assume(c, &a.AnswerDelayH, answerDelayH, "attendance.answer_delay_h", "h", WhyCommonPractice,
			text.Of("assumed_plan_answer_delay", nil))
	}
	people := slices.Clone(p.People())
	for i := range people {
		x := &people[i]
		x.AnsweredShare = cmp.Or(x.AnsweredShare, a.AnsweredShare)
		x.AnswerDelayH = cmp.Or(x.AnswerDelayH, a.AnswerDelayH)
	}
	season := func(rare bool) float64 {
		if rare {
			return rareShare
		}
		return seasonShare
	}
	// What is stated leaves the rest of the year to be shared.
	left := func(other *float64) float64 {
		if other == nil {
			return 1
		}
		return 1 - *other
	}
	cold, warm := math.Min(season(r.ColdestWithoutHeating), left(r.WarmestShare)),
		math.Min(season(r.WarmestInHeatWave), left(r.ColdestShare))
	assume(c, &r.ColdestShare, cold, "room.coldest_share", "1", WhyCommonPractice,
		text.Of("assumed_plan_coldest_share", nil))
	assume(c, &r.WarmestShare, warm, "room.warmest_share", "1", WhyCommonPractice,
		text.Of("assumed_plan_warmest_share", nil))
	return Chances{people, *r.ColdestShare, *r.WarmestShare}, c.list
}

// AnsweredWithin returns the share of the alarms on which somebody has acted within some hours of a fault. A fault
// comes at any hour of the day.
//
//	1 - Π over the ways of (b + (1 - b) Π (q_i - b)/(1 - b)),  b = 0.1 min q_i of those who share all their ways
//	q   1 - s (1 - exp(-(h - a - w - r)/d)) from a + w + r hours on, 1 before; alone b = 0
//
//	h     since the fault  [h]
//	a, w  when somebody is called, and how long they sleep on  [h]
//	s     share that they answer at last
//	r     the planned response, d  mean delay beyond it  [h]
//
// The one place that says how people answer.
// Accuracy: s, d and b are orders of magnitude. Errors: none. Source: [CommonPractice], [NUREGCR4780] (b).
func (c Chances) AnsweredWithin(h float64, calls []Call) float64 {
	if !slices.ContainsFunc(calls, func(x Call) bool { return c.People[x.Person].byDay() }) {
		return 1 - c.missed(h, calls, 0)
	}
	missed := 0.0
	for hour := range int(quantity.HoursPerDay) {
		missed += c.missed(h, calls, float64(hour)+0.5)
	}
	return 1 - missed/quantity.HoursPerDay
}

// missed is the chance that nobody has acted within some hours of a fault that comes at an hour of the day.
func (c Chances) missed(h float64, calls []Call, startH float64) float64 {
	together := map[string][]float64{}
	var ways []string // in an order that does not change
	for _, x := range calls {
		q := c.missedBy(x, h, startH)
		if q == 1 {
			continue // not called in time: nothing to miss together
		}
		if together[x.Ways] == nil {
			ways = append(ways, x.Ways)
		}
		together[x.Ways] = append(together[x.Ways], q)
	}
	none := 1.0
	for _, w := range ways {
		list, both := together[w], 0.0
		if len(list) > 1 {
			both = missedTogether * slices.Min(list)
		}
		each := 1.0
		for _, q := range list {
			each *= (q - both) / (1 - both)
		}
		none *= both + (1-both)*each
	}
	return none
}

// missedBy is the chance that one person has not acted.
func (c Chances) missedBy(x Call, h, startH float64) float64 {
	p := c.People[x.Person]
	switch late := h - x.AtH - p.waitH(startH+x.AtH) - *p.ActsWithinH; {
	case late < 0:
		return 1
	case *p.AnswerDelayH == 0:
		return 1 - *p.AnsweredShare
	default:
		return 1 + *p.AnsweredShare*math.Expm1(-late / *p.AnswerDelayH)
	}
}

// SoonestH returns when the first of those who are called has acted if each answers at once; nil: nobody is called.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (c Chances) SoonestH(calls []Call) *float64 {
	var out *float64
	for _, x := range calls {
		if h := x.AtH + *c.People[x.Person].ActsWithinH; out == nil || h < *out {
			out = &h
		}
	}
	return out
}
