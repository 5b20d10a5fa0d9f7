package plan

import (
	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/plan"
)

type planRouter struct {
	ID             string   `json:"id"`
	BatteryH       float64  `json:"battery_h"`
	OutagesPerYear *float64 `json:"outages_per_year,omitempty"`
	OutageH        *float64 `json:"outage_h,omitempty"`
	Circuit        *string  `json:"circuit,omitempty"`
	Supply         *string  `json:"supply,omitempty"`
}

type planModem struct {
	ID       string  `json:"id"`
	BatteryH float64 `json:"battery_h"`
	Circuit  *string `json:"circuit,omitempty"`
	Supply   *string `json:"supply,omitempty"`
}

type planSiren struct {
	ID       string  `json:"id"`
	BatteryH float64 `json:"battery_h"`
	Circuit  *string `json:"circuit,omitempty"`
	Supply   *string `json:"supply,omitempty"`
}

type planPerson struct {
	ID            string          `json:"id"`
	ReachedBy     []string        `json:"reached_by"`
	AnsweredShare *float64        `json:"answered_share,omitempty"`
	ActsWithinH   *float64        `json:"acts_within_h,omitempty"`
	AnswerDelayH  *float64        `json:"answer_delay_h,omitempty"`
	AnswersFrom   *plan.ClockTime `json:"answers_from,omitempty"`
	AnswersUntil  *plan.ClockTime `json:"answers_until,omitempty"`
}

func (x planPerson) input() plan.Person {
	p := plan.Person(x)
	p.ReachedBy = some(x.ReachedBy)
	return p
}

func newPlanPerson(x plan.Person) planPerson {
	p := planPerson(x)
	p.ReachedBy = envelope.List(x.ReachedBy)
	return p
}
