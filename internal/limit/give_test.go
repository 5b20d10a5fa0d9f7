package limit

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func mustGive(t *testing.T, l Limiter, client string, cost int, taken Decision) Decision {
	t.Helper()
	d, err := l.Give(context.Background(), client, cost, taken)
	require.NoError(t, err)
	return d
}

// whole is a quota of 10 that grows back a unit in 6 s, of a client and of the network around it.
var whole = []Policy{
	{Name: "minute", Quota: 10, Window: time.Minute},
	{Name: "network", Quota: 20, Window: time.Minute, Client: "net"},
}

func TestUnitsThatComeBackAreExactlyThoseThatWereTaken(t *testing.T) {
	limiters := map[string]func(t *testing.T) (Limiter, func(time.Duration)){
		"memory": func(*testing.T) (Limiter, func(time.Duration)) {
			c := newClock()
			return NewMemory(c.now), c.pass
		},
		"store": func(t *testing.T) (Limiter, func(time.Duration)) {
			server, store := newStore(t)
			c := newClock()
			server.SetTime(c.now())
			return store, func(d time.Duration) {
				c.pass(d)
				server.SetTime(c.now())
				server.FastForward(d)
			}
		},
	}
	left := func(d Decision) []int { return []int{d.States[0].Remaining, d.States[1].Remaining} }
	for name, of := range limiters {
		t.Run(name, func(t *testing.T) {
			l, pass := of(t)
			mustTake(t, l, "a", 3, whole)
			taken := mustTake(t, l, "a", 5, whole)
			require.Equal(t, []int{2, 12}, left(taken))
			assert.Equal(t, []int{7, 17}, left(mustGive(t, l, "a", 5, taken)))
			assert.Equal(t, []int{7, 17}, left(mustTake(t, l, "a", 0, whole)), "and it stays so")

			taken = mustTake(t, l, "a", 7, whole)
			assert.False(t, mustTake(t, l, "a", 1, whole).Allowed)
			pass(30 * time.Second)
			assert.Equal(t, []int{10, 20}, left(mustGive(t, l, "a", 7, taken)), "never more than the whole")
			pass(time.Hour)
			assert.Equal(t, []int{10, 20}, left(mustGive(t, l, "a", 10, taken)), "not by giving twice either")
			assert.Equal(t, []int{10, 20}, left(mustGive(t, l, "stranger", 10, taken)))
			assert.Equal(t, []int{9, 19}, left(mustTake(t, l, "a", 1, whole)))
		})
	}
}

// As for Take: the script and the code are one algorithm written twice.
func TestMemoryAndStoreGiveBackAlike(t *testing.T) {
	server, store := newStore(t)
	c := newClock()
	memory := NewMemory(c.now)
	draw := rand.New(rand.NewPCG(3, 4))
	type due struct {
		who   string
		cost  int
		taken Decision
	}
	var owed []due
	gave := 0
	for i := range 2000 {
		server.SetTime(c.now())
		who, cost := fmt.Sprint(draw.IntN(3)), draw.IntN(6)
		a, b := mustTake(t, memory, who, cost, whole), mustTake(t, store, who, cost, whole)
		require.Equal(t, a, b, "request %d", i)
		if a.Allowed {
			owed = append(owed, due{who, cost, a})
		}
		if len(owed) > 0 && draw.IntN(3) == 0 {
			k := draw.IntN(len(owed))
			back := owed[k]
			owed = append(owed[:k], owed[k+1:]...)
			a = mustGive(t, memory, back.who, back.cost, back.taken)
			b = mustGive(t, store, back.who, back.cost, back.taken)
			require.Equal(t, a, b, "request %d", i)
			for _, st := range a.States {
				require.LessOrEqual(t, st.Remaining, st.Policy.Quota)
				require.GreaterOrEqual(t, st.Reset, time.Duration(0))
			}
			gave++
		}
		step := time.Duration(draw.IntN(9_000_000)) * time.Microsecond
		c.pass(step)
		server.FastForward(step)
	}
	assert.Greater(t, gave, 300)
}

// Units go back to where they were counted: a store that is well again gets none that this process took.
func TestUnitsGoBackToWhereTheyWereTaken(t *testing.T) {
	c := newClock()
	shared, local := NewMemory(c.now), NewMemory(c.now)
	store := &patient{Limiter: shared}
	failed := 0
	f := NewFallback(store, local, Watcher{Failed: func(error) { failed++ }, Left: func(error) {}, Back: func() {}})
	there := mustTake(t, f, "a", 4, whole)
	store.set(0, true)
	here := mustTake(t, f, "a", 6, whole)
	store.set(0, false)
	left := func(l Limiter) int { return mustTake(t, l, "a", 0, whole).States[0].Remaining }
	require.Equal(t, []int{6, 4}, []int{left(shared), left(local)})
	mustGive(t, f, "a", 6, here)
	assert.Equal(t, []int{6, 10}, []int{left(shared), left(local)})
	mustGive(t, f, "a", 4, there)
	assert.Equal(t, []int{10, 10}, []int{left(shared), left(local)})

	there = mustTake(t, f, "a", 4, whole)
	store.set(0, true)
	before := failed
	_, err := f.Give(context.Background(), "a", 4, there)
	assert.Error(t, err, "a lost store says so")
	assert.Equal(t, before+1, failed)
}
