package plan

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// who is somebody who answers a share of the alarms, at once or not at all, and acts within an hour.
func who(id string, share float64) Person {
	return Person{ID: id, AnsweredShare: new(share), ActsWithinH: new(1.0), AnswerDelayH: new(0.0)}
}

// Worked by hand: two persons who answer 0.7 each miss 0.3 * 0.3 = 0.09. Where they share their way, 0.03 of the misses
// is common and each misses (0.3 - 0.03)/0.97 besides: 0.03 + 0.97 * 0.27835^2 = 0.10515.
func TestTwoPersonsAreHeardMoreOftenThanOne(t *testing.T) {
	c := Chances{People: []Person{who("a", 0.7), who("b", 0.7)}}
	one := []Call{{Person: 0, Ways: "modem"}}
	assert.InDelta(t, 0.7, c.AnsweredWithin(2, one), 1e-12)
	assert.InDelta(t, 0.91, c.AnsweredWithin(2, append(one, Call{Person: 1, Ways: "router"})), 1e-12)
	assert.InDelta(t, 0.89485, c.AnsweredWithin(2, append(one, Call{Person: 1, Ways: "modem"})), 1e-5)
	assert.InDelta(t, 0.7, c.AnsweredWithin(2, append(one, Call{Person: 1, Ways: "modem", AtH: 1.5})), 1e-12,
		"the second is not called in time")
	assert.Zero(t, c.AnsweredWithin(2, nil))
	assert.Zero(t, c.AnsweredWithin(0.5, one))
}

// Somebody answers from 8 to 20 o'clock. An alarm at 20:00 waits 12 h, so that they have acted after 13 h at the worst.
// A second one, from 20 to 8 o'clock and within 3 h, leaves 3 h. Over the day half of the alarms wait, evenly between
// 0 and 12 h: within 7 h half and a quarter of it have been acted on.
func TestSomebodyWhoAnswersByDayOnly(t *testing.T) {
	day := who("day", 1)
	day.AnswersFrom, day.AnswersUntil = new(ClockTime("08:00")), new(ClockTime("20:00"))
	night := who("night", 1)
	night.ActsWithinH = new(3.0)
	night.AnswersFrom, night.AnswersUntil = new(ClockTime("20:00")), new(ClockTime("08:00"))
	people := []Person{day, night}
	calls := []Call{{Person: 0, AtH: 2}}
	_, acts, ok := Help(people, calls)
	require.True(t, ok)
	assert.InDelta(t, 2+12+1, acts, 1e-6)
	first, acts, _ := Help(people, append(calls, Call{Person: 1, AtH: 2}))
	assert.InDelta(t, 2+3, acts, 1e-6)
	assert.Equal(t, 1, first.Person)
	_, _, ok = Help(people, nil)
	assert.False(t, ok)

	c := Chances{People: people}
	assert.InDelta(t, 0.75, c.AnsweredWithin(2+7, calls), 1e-12)
	assert.InDelta(t, 0.5, c.AnsweredWithin(2+1, calls), 1e-12)
	assert.InDelta(t, 1, c.AnsweredWithin(2+13, calls), 1e-12)
	assert.Zero(t, c.AnsweredWithin(2.9, calls))
}

// Help at the worst hour, by trying every minute of the day.
func TestTheWorstHourOfTheDay(t *testing.T) {
	hours := []ClockTime{"06:00", "09:30", "13:00", "18:15", "22:00"}
	for n := range 60 {
		var people []Person
		var calls []Call
		for i := range 3 {
			x := who("x", 1)
			x.ActsWithinH = new(float64(1 + (n*7+i*5)%6))
			if (n+i)%4 > 0 {
				from := (n + i) % len(hours)
				x.AnswersFrom, x.AnswersUntil = &hours[from], &hours[(from+1+n%3)%len(hours)]
			}
			people, calls = append(people, x), append(calls, Call{Person: i, AtH: float64((n*3 + i*11) % 9)})
		}
		_, got, _ := Help(people, calls)
		want := 0.0
		for minute := range 24 * 60 {
			soonest := math.Inf(1)
			for _, c := range calls {
				p := people[c.Person]
				soonest = min(soonest, c.AtH+p.waitH(float64(minute)/60+c.AtH)+*p.ActsWithinH)
			}
			want = max(want, soonest)
		}
		assert.InDelta(t, want, got, 1e-6, "draw %d", n)
	}
}

// The stretch in which nobody answers, by trying every minute of the day.
func TestHoursThatNobodyAnswers(t *testing.T) {
	hours := []ClockTime{"06:00", "09:30", "13:00", "18:15", "22:00"}
	gaps := 0
	for n := range 80 {
		var people []Person
		for i := range 1 + n%3 {
			from := (n*3 + i*2) % len(hours)
			x := who("x", 1)
			x.AnswersFrom, x.AnswersUntil = &hours[from], &hours[(from+1+(n/3+i)%4)%len(hours)]
			people = append(people, x)
		}
		silent := func(minute int) bool {
			for _, x := range people {
				if x.waitH(float64(minute%1440)/60) == 0 {
					return false
				}
			}
			return true
		}
		longest, run := 0, 0
		for minute := range 2 * 1440 {
			if run++; !silent(minute) {
				run = 0
			}
			longest = max(longest, min(run, 1440))
		}
		from, until, ok := Unanswered(people)
		assert.Equal(t, longest > 0, ok, "draw %d", n)
		if ok {
			gaps++
			length := math.Mod(until.Hour()-from.Hour()+24, 24) * 60
			assert.InDelta(t, longest, length, 1e-6, "draw %d: %s to %s", n, from, until)
		}
	}
	assert.Greater(t, gaps, 20)
	_, _, ok := Unanswered([]Person{who("always", 1)})
	assert.False(t, ok)
}
