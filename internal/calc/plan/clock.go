package plan

import (
	"fmt"
	"time"
)

// ClockTime is a time of day as a clock shows it, "00:00" … "23:59".
type ClockTime string

// Hour returns the hours since midnight, 0 … 24. Complete and Schedule.Check refuse what is no time
// of day; asking for its hour all the same is a programmer's mistake and panics.
//
// Accuracy: exact. Errors: none. Source: [Derived].
func (t ClockTime) Hour() float64 {
	hour, err := t.read()
	if err != nil {
		panic("plan: " + err.Error())
	}
	return hour
}

func (t ClockTime) read() (hour float64, err error) {
	at, err := time.Parse("15:04", string(t))
	if err != nil {
		return 0, fmt.Errorf("%q is not a time of day", string(t))
	}
	return float64(at.Hour()) + float64(at.Minute())/60, nil
}
