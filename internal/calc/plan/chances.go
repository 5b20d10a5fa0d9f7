package plan

import (
	"math"

	"saltwright/internal/calc/text"
)

// What people and rooms do where the keeper does not say.
const (
	answeredShare = 0.9  // an operator answers an alarm in time; common practice, no source: failure_rates.csv
	answerDelayH  = 0.7  // so that three in ten are not acted on within the first hour; as above
	seasonShare   = 0.1  // of the year is as cold, and as warm: five weeks; common practice, no source
	rareShare     = 0.01 // a house without heating, or a heat wave: four days a year; common practice, no source
)

// Chances are what the risk of a plan takes from people and rooms.
type Chances struct {
	ResponseH                  float64 // the quickest answer to an alarm
	AnsweredShare              float64 // of alarms, at last
	AnswerDelayH               float64 // mean, beyond ResponseH
	ColdestShare, WarmestShare float64 // of the year
}

// ChancesOf returns how often alarms are answered and how long rooms last, with what had to be assumed. The plan has
// been completed.
//
// Accuracy: every assumed value is stated. Errors: none. Source: [CommonPractice].
func ChancesOf(p Plan) (Chances, []Assumption) {
	c := &completion{p: &p}
	a, r := &p.Attendance, &p.Room
	assume(c, &a.AnsweredShare, answeredShare, "attendance.answered_share", "1", WhyCommonPractice,
		text.Of("assumed_plan_answered_share", nil))
	assume(c, &a.AnswerDelayH, answerDelayH, "attendance.answer_delay_h", "h", WhyCommonPractice,
		text.Of("assumed_plan_answer_delay", nil))
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
	return Chances{*a.ResponseH, *a.AnsweredShare, *a.AnswerDelayH, *r.ColdestShare, *r.WarmestShare}, c.list
}

// AnsweredWithin returns the share of the alarms that somebody is reached by and has acted on within some hours.
//
//	s (1 - exp(-(h - r)/d)) after r hours, 0 before
//
//	s  share that is answered at last
//	r  the planned response, d  mean delay beyond it  [h]
//
// The one place that says how people answer.
// Accuracy: s and d are orders of magnitude. Errors: none. Source: [CommonPractice].
func (c Chances) AnsweredWithin(h float64) float64 {
	switch late := h - c.ResponseH; {
	case late < 0:
		return 0
	case c.AnswerDelayH == 0:
		return c.AnsweredShare
	default:
		return -c.AnsweredShare * math.Expm1(-late/c.AnswerDelayH)
	}
}
