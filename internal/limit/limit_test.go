package limit

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"sync"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"
	"github.com/redis/go-redis/v9"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// clock is a time that tests move.
type clock struct {
	mu sync.Mutex
	at time.Time
}

func newClock() *clock { return &clock{at: time.Unix(1_800_000_000, 0)} }

func (c *clock) now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.at
}

func (c *clock) pass(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.at = c.at.Add(d)
}

var tenAMinute = []Policy{{Name: "minute", Quota: 10, Window: time.Minute}}

func mustTake(t *testing.T, l Limiter, client string, cost int, p []Policy) Decision {
	t.Helper()
	d, err := l.Take(context.Background(), client, cost, p)
	require.NoError(t, err)
	return d
}

func TestAQuotaIsThereAtOnceAndGrowsBackEvenly(t *testing.T) {
	c := newClock()
	m := NewMemory(c.now)
	for i := range 10 {
		d := mustTake(t, m, "a", 1, tenAMinute)
		require.True(t, d.Allowed, "unit %d", i)
		assert.Equal(t, 9-i, d.States[0].Remaining)
	}
	d := mustTake(t, m, "a", 1, tenAMinute)
	assert.False(t, d.Allowed)
	assert.True(t, d.States[0].Violated)
	assert.Equal(t, 6*time.Second, d.States[0].Retry, "a tenth of the window")
	assert.Equal(t, time.Minute, d.States[0].Reset)
	assert.True(t, mustTake(t, m, "b", 1, tenAMinute).Allowed, "others have their own")

	c.pass(6*time.Second - time.Microsecond)
	assert.False(t, mustTake(t, m, "a", 1, tenAMinute).Allowed, "just before")
	c.pass(time.Microsecond)
	assert.True(t, mustTake(t, m, "a", 1, tenAMinute).Allowed, "just then")
	assert.False(t, mustTake(t, m, "a", 1, tenAMinute).Allowed)
}

func TestACostIsTakenWholeOrNotAtAll(t *testing.T) {
	c := newClock()
	m := NewMemory(c.now)
	require.True(t, mustTake(t, m, "a", 7, tenAMinute).Allowed)
	d := mustTake(t, m, "a", 4, tenAMinute)
	assert.False(t, d.Allowed)
	assert.Equal(t, 3, d.States[0].Remaining, "nothing was taken")
	assert.Equal(t, 6*time.Second, d.States[0].Retry)
	assert.True(t, mustTake(t, m, "a", 3, tenAMinute).Allowed)
	assert.Equal(t, 0, mustTake(t, m, "a", 0, tenAMinute).States[0].Remaining, "looking is free")
}

func TestEveryPolicyMustAllow(t *testing.T) {
	c := newClock()
	m := NewMemory(c.now)
	both := []Policy{{"minute", 10, time.Minute}, {"day", 15, 24 * time.Hour}}
	require.True(t, mustTake(t, m, "a", 10, both).Allowed)
	c.pass(time.Minute)
	d := mustTake(t, m, "a", 10, both)
	assert.False(t, d.Allowed)
	assert.False(t, d.States[0].Violated)
	assert.True(t, d.States[1].Violated, "the day's quota is what is short")
	assert.Equal(t, 10, d.States[0].Remaining, "the minute's was not touched")
	assert.True(t, mustTake(t, m, "a", 5, both).Allowed)
}

func TestWhatNobodyCouldPayIsRefused(t *testing.T) {
	m := NewMemory(newClock().now)
	for _, c := range []struct {
		name string
		cost int
		p    Policy
	}{
		{"cost above the quota", 11, tenAMinute[0]},
		{"negative cost", -1, tenAMinute[0]},
		{"no name", 1, Policy{Quota: 1, Window: time.Minute}},
		{"no quota", 0, Policy{Name: "x", Window: time.Minute}},
		{"no window", 1, Policy{Name: "x", Quota: 1}},
	} {
		_, err := m.Take(context.Background(), "a", c.cost, []Policy{c.p})
		assert.Error(t, err, c.name)
	}
}

func TestMemoryForgetsAndStaysBounded(t *testing.T) {
	c := newClock()
	m := NewMemory(c.now)
	count := func() (n int) {
		for i := range m.shards {
			n += len(m.shards[i].clients)
		}
		return n
	}
	for i := range shardCount * shardClients * 2 {
		mustTake(t, m, fmt.Sprint(i), 1, tenAMinute)
	}
	assert.LessOrEqual(t, count(), shardCount*shardClients)
	c.pass(time.Hour)
	for i := range shardCount * 700 {
		mustTake(t, m, fmt.Sprint("later", i), 1, tenAMinute)
	}
	assert.Less(t, count(), shardCount*shardClients/2, "whole quotas go first")
}

// The script in the store and the code here are one algorithm written twice:
// random requests of several clients must get the same decisions from both.
func TestMemoryAndStoreDecideAlike(t *testing.T) {
	server := miniredis.RunT(t)
	client := redis.NewClient(&redis.Options{Addr: server.Addr()})
	t.Cleanup(func() { _ = client.Close() })
	store := NewRedis(client, "limit:")
	c := newClock()
	memory := NewMemory(c.now)
	both := []Policy{{"minute", 600, time.Minute}, {"day", 1700, 24 * time.Hour}}
	draw := rand.New(rand.NewPCG(1, 2))
	refused := 0
	for i := range 2000 {
		server.SetTime(c.now())
		who, cost := fmt.Sprint(draw.IntN(3)), draw.IntN(40)
		a, b := mustTake(t, memory, who, cost, both), mustTake(t, store, who, cost, both)
		require.Equal(t, a, b, "request %d", i)
		if !a.Allowed {
			refused++
		}
		step := time.Duration(draw.IntN(5_000_000)) * time.Microsecond
		c.pass(step)
		server.FastForward(step)
	}
	assert.Greater(t, refused, 100, "the draws must reach the limits")
	c.pass(48 * time.Hour)
	server.FastForward(48 * time.Hour)
	assert.Empty(t, server.Keys(), "a whole quota leaves nothing behind")
}

type brokenStore struct{ calls int }

func (b *brokenStore) Take(context.Context, string, int, []Policy) (Decision, error) {
	b.calls++
	return Decision{}, errors.New("connection refused")
}

func TestALostStoreIsReplacedAndAskedAgainLater(t *testing.T) {
	c := newClock()
	store, failures := &brokenStore{}, 0
	f := NewFallback(store, NewMemory(c.now), c.now, func(error) { failures++ })
	for range 10 {
		require.True(t, mustTake(t, f, "a", 1, tenAMinute).Allowed)
	}
	assert.False(t, mustTake(t, f, "a", 1, tenAMinute).Allowed, "the limit holds without the store")
	assert.Equal(t, 1, store.calls, "a lost store is left alone for a while")
	assert.Equal(t, 1, failures)
	assert.True(t, f.Degraded())
	c.pass(storePause)
	assert.False(t, f.Degraded())
	mustTake(t, f, "a", 1, tenAMinute)
	assert.Equal(t, 2, store.calls)

	gone, cancel := context.WithCancel(context.Background())
	cancel()
	c.pass(storePause)
	_, err := f.Take(gone, "a", 1, tenAMinute)
	assert.ErrorIs(t, err, context.Canceled)
	assert.Equal(t, 2, failures, "a caller that went away is no failure of the store")
}

func TestMemoryUnderConcurrencyAdmitsTheQuota(t *testing.T) {
	c := newClock()
	m := NewMemory(c.now)
	p := []Policy{{"minute", 1000, time.Minute}}
	var admitted sync.Map
	var wg sync.WaitGroup
	for w := range 8 {
		wg.Go(func() {
			n := 0
			for range 500 {
				if d, err := m.Take(context.Background(), "a", 1, p); err == nil && d.Allowed {
					n++
				}
			}
			admitted.Store(w, n)
		})
	}
	wg.Wait()
	total := 0
	admitted.Range(func(_, n any) bool { total += n.(int); return true })
	assert.Equal(t, 1000, total)
}

func BenchmarkMemoryTake(b *testing.B) {
	m := NewMemory(time.Now)
	both := []Policy{{"minute", 1 << 30, time.Minute}, {"day", 1 << 30, 24 * time.Hour}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := m.Take(context.Background(), "198.51.100.7", 1, both); err != nil {
			b.Fatal(err)
		}
	}
}

// FuzzTake holds whatever is asked to what a quota means: never below nothing,
// never above the whole, and refused only where it does not fit.
func FuzzTake(f *testing.F) {
	f.Add(10, 60, uint16(3), uint16(9), uint32(1000))
	f.Add(1, 1, uint16(1), uint16(1), uint32(0))
	f.Fuzz(func(t *testing.T, quota, seconds int, first, second uint16, waitMS uint32) {
		p := []Policy{{Name: "x", Quota: quota, Window: time.Duration(seconds) * time.Second}}
		c := newClock()
		m := NewMemory(c.now)
		for _, cost := range []int{int(first), int(second)} {
			if Check(cost, p) != nil || seconds > 1<<20 || quota > 1<<30 {
				return
			}
			before, err := m.Take(context.Background(), "a", 0, p)
			if err != nil {
				t.Fatal(err)
			}
			d, err := m.Take(context.Background(), "a", cost, p)
			if err != nil {
				t.Fatal(err)
			}
			left := d.States[0].Remaining
			if left < 0 || left > quota || d.States[0].Retry < 0 || d.States[0].Reset > p[0].Window {
				t.Fatalf("%+v", d)
			}
			if !d.Allowed && before.States[0].Remaining > cost {
				t.Fatalf("%d refused with %d left", cost, before.States[0].Remaining)
			}
			c.pass(time.Duration(waitMS) * time.Millisecond)
		}
	})
}
