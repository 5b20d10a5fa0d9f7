package bot

import (
	"fmt"
	"math"

	"saltwright/clients/reading"
)

// middleOfLight is the hour around which a light's day is laid of which only the length is said: common practice, no
// source. The reply says so.
const middleOfLight = 15.0

// fillHoursOfLight gives a light whose day is said by its length alone the times of going on and off.
func (q *Question) fillHoursOfLight(used map[int]bool) {
	if q.Topic.member("channels.0.on_at") == nil || q.anyStated([]string{"channels.0.on_at", "channels.0.off_at"}) {
		return
	}
	for _, n := range q.heard.numbers {
		one := n.Group[0]
		if len(n.Group) > 1 || used[n.token] || one.Unit == nil || one.Unit.Dimension != reading.Days {
			continue
		}
		hours := one.In("h")
		if hours < 1 || hours > 18 {
			continue
		}
		clock := func(hour float64) Stated {
			minutes := int(math.Round(hour * 60))
			return Stated{reading.Quantity{Text: fmt.Sprintf("%02d:%02d", minutes/60, minutes%60)}, n.Text}
		}
		q.Derived["channels.0.on_at"] = clock(middleOfLight - hours/2)
		q.Derived["channels.0.off_at"] = clock(middleOfLight + hours/2)
		used[n.token] = true
		return
	}
}
