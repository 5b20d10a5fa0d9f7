package bot

import (
	"fmt"
	"regexp"
	"strconv"

	"saltwright/clients/reading"
)

var clockPattern = regexp.MustCompile(`^([0-9]{1,2})(?::([0-9]{2}))? ?([ap]m)?`)

// clockTime writes a time of day as the contract does, or returns nothing for any other piece.
func clockTime(p reading.Piece) string {
	if p.Aside != "time of day" {
		return ""
	}
	m := clockPattern.FindStringSubmatch(folded(p.Text))
	if m == nil {
		return ""
	}
	hour, _ := strconv.Atoi(m[1])
	minute, _ := strconv.Atoi(m[2])
	switch {
	case m[3] == "pm" && hour < 12:
		hour += 12
	case m[3] == "am" && hour == 12:
		hour = 0
	}
	if hour > 23 || minute > 59 {
		return ""
	}
	return fmt.Sprintf("%02d:%02d", hour, minute)
}
