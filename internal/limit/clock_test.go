package limit

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// A clock that is set forward, and then right again, gives a client its quota anew at each step and no more, and keeps
// nobody out afterwards.
func TestAClockSetForwardAndBackGivesOneQuotaAStep(t *testing.T) {
	server, store := newStore(t)
	c := newClock()
	server.SetTime(c.now())
	limiters := map[string]Limiter{"memory": NewMemory(c.now), "store": store}
	for _, step := range []time.Duration{0, time.Hour, -time.Hour, 48 * time.Hour, -48 * time.Hour, time.Second} {
		c.pass(step)
		server.SetTime(c.now())
		for name, l := range limiters {
			admitted := 0
			for range 50 {
				d := mustTake(t, l, "a", 1, tenAMinute)
				if d.Allowed {
					admitted++
				}
				assert.GreaterOrEqual(t, d.States[0].Remaining, 0, "%s, set by %v", name, step)
				assert.LessOrEqual(t, d.States[0].Retry, 6*time.Second, "%s, set by %v: the next unit", name, step)
			}
			want := tenAMinute[0].Quota
			if step == time.Second {
				want = 0 // a second is no step: a sixth of a unit
			}
			assert.Equal(t, want, admitted, "%s, set by %v", name, step)
		}
	}
}
