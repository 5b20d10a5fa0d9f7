package plan

import (
	"fmt"
	"time"

	"saltwright/internal/calc/text"
)

// ClockTime is a time of day as a clock shows it, "00:00" … "23:59".
type ClockTime string

// Hour returns the hours since midnight, 0 … 24. Complete and Schedule.Check refuse what is no time
// of day; asking for its hour all the same is a programmer's mistake and panics.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (t ClockTime) Hour() float64 {
	hour, ok := t.read()
	if !ok {
		panic(fmt.Sprintf("plan: %q is no time of day", string(t)))
	}
	return hour
}

func (t ClockTime) read() (hour float64, ok bool) {
	at, err := time.Parse("15:04", string(t))
	return float64(at.Hour()) + float64(at.Minute())/60, err == nil
}

func notATime(t ClockTime) text.Text {
	return text.Of("plan_not_a_time_of_day", text.Params{"given": string(t)})
}
