package store

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"
	"github.com/hibiken/asynq"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/clients/bot"
)

func open(t *testing.T, server *miniredis.Miniredis, change func(*Limits)) *Queue {
	t.Helper()
	l := Limits{QueueLength: 3, Workers: 2, Remember: 24 * time.Hour, OneJob: time.Minute, Stop: 50 * time.Millisecond}
	if change != nil {
		change(&l)
	}
	q, err := Open(context.Background(), "redis://"+server.Addr()+"/0", l, slog.New(slog.DiscardHandler))
	require.NoError(t, err)
	return q
}

func job(id string) bot.Job {
	return bot.Job{Platform: "p", EventID: id, ReplyTo: "there", Question: "a text of " + id, Taken: time.Now()}
}

func TestAddressesAreRefused(t *testing.T) {
	_, err := Open(context.Background(), "http://user:password@x", Limits{}, nil)
	require.ErrorContains(t, err, "redis://host:port/0")
	assert.NotContains(t, err.Error(), "password")
	_, err = Open(context.Background(), "redis://127.0.0.1:1/0", Limits{}, nil)
	assert.ErrorContains(t, err, "store:", "a server that does not answer is no store")
}

func TestAnEventIsTakenOnce(t *testing.T) {
	server := miniredis.RunT(t)
	one, other := open(t, server, nil), open(t, server, nil)
	ctx := context.Background()
	n, err := one.Waiting(ctx)
	require.NoError(t, err)
	assert.Zero(t, n, "before anything was taken")
	require.NoError(t, one.Add(ctx, job("1")))
	assert.ErrorIs(t, one.Add(ctx, job("1")), bot.ErrKnown)
	assert.ErrorIs(t, other.Add(ctx, job("1")), bot.ErrKnown, "by whichever process")
	require.NoError(t, other.Add(ctx, job("2")))
	require.NoError(t, other.Add(ctx, job("3")))
	assert.ErrorIs(t, one.Add(ctx, job("4")), bot.ErrFull, "of both together")
	answered := make(chan bot.Job, 10)
	require.NoError(t, one.Start(func(_ context.Context, j bot.Job) error { answered <- j; return nil }))
	seen := map[string]bot.Job{}
	for range 3 {
		j := <-answered
		seen[j.EventID] = j
	}
	assert.Len(t, seen, 3)
	assert.Equal(t, "a text of 2", seen["2"].Question)
	assert.Equal(t, "there", seen["2"].ReplyTo)
	require.Eventually(t, func() bool { return errors.Is(other.Add(ctx, job("2")), bot.ErrKnown) }, 5*time.Second,
		time.Millisecond)
	require.NoError(t, one.Close(ctx))
	assert.ErrorIs(t, other.Add(ctx, job("1")), bot.ErrKnown, "for a day")
	assert.NotContains(t, server.Dump(), "a text of", "no text is kept once it is answered")
	server.FastForward(25 * time.Hour)
	assert.NoError(t, other.Add(ctx, job("1")))
	require.NoError(t, other.Close(ctx))
}

// Twenty events at once, each delivered to both of two processes, are answered once.
func TestTwoProcesses(t *testing.T) {
	server := miniredis.RunT(t)
	var mu sync.Mutex
	times := map[string]int{}
	wide := func(l *Limits) { l.QueueLength, l.Workers = 100, 4 }
	queues := []*Queue{open(t, server, wide), open(t, server, wide)}
	var known, taken atomic.Int64
	for _, q := range queues {
		require.NoError(t, q.Start(func(_ context.Context, j bot.Job) error {
			mu.Lock()
			defer mu.Unlock()
			times[j.EventID]++
			return nil
		}))
	}
	var all sync.WaitGroup
	for n := range 20 {
		for _, q := range queues {
			all.Go(func() {
				switch err := q.Add(context.Background(), job(fmt.Sprint(n))); {
				case errors.Is(err, bot.ErrKnown):
					known.Add(1)
				case err == nil:
					taken.Add(1)
				}
			})
		}
	}
	all.Wait()
	require.Eventually(t, func() bool {
		mu.Lock()
		defer mu.Unlock()
		return len(times) == 20
	}, 10*time.Second, time.Millisecond)
	for _, q := range queues {
		require.NoError(t, q.Close(context.Background()))
	}
	assert.EqualValues(t, 40, known.Load()+taken.Load())
	assert.GreaterOrEqual(t, taken.Load(), int64(20))
	for id, n := range times {
		assert.Equal(t, 1, n, id)
	}
}

// What a process had not answered when it ended goes back, and the next one answers it.
func TestAStoppedProcessLeavesItsJobs(t *testing.T) {
	server := miniredis.RunT(t)
	first := open(t, server, nil)
	held := make(chan struct{}, 2)
	require.NoError(t, first.Start(func(ctx context.Context, _ bot.Job) error {
		held <- struct{}{}
		<-ctx.Done()
		return ctx.Err()
	}))
	for n := range 3 {
		require.NoError(t, first.Add(context.Background(), job(fmt.Sprint(n))))
	}
	<-held
	<-held
	require.NoError(t, first.Close(context.Background()))
	second, answered := open(t, server, nil), make(chan string, 10)
	require.NoError(t, second.Start(func(_ context.Context, j bot.Job) error { answered <- j.EventID; return nil }))
	got := map[string]bool{}
	for range 3 {
		select {
		case id := <-answered:
			got[id] = true
		case <-time.After(20 * time.Second):
			require.FailNow(t, "a job is lost")
		}
	}
	assert.Len(t, got, 3)
	require.NoError(t, second.Close(context.Background()))
}

func TestSendingIsNotedOnce(t *testing.T) {
	server := miniredis.RunT(t)
	one, other := open(t, server, nil), open(t, server, nil)
	ctx := context.Background()
	before, err := one.Sending(ctx, job("1"))
	require.NoError(t, err)
	assert.False(t, before)
	before, err = other.Sending(ctx, job("1"))
	require.NoError(t, err)
	assert.True(t, before)
	require.NoError(t, one.NotSent(ctx, job("1")))
	before, err = other.Sending(ctx, job("1"))
	require.NoError(t, err)
	assert.False(t, before, "the note was taken back")
	server.Close()
	_, err = one.Sending(ctx, job("2"))
	assert.Error(t, err)
	assert.Error(t, one.Add(ctx, job("2")))
	_, err = one.Waiting(ctx)
	assert.Error(t, err)
}

// Given up, a text does not stay.
func TestWhatIsGivenUpIsNotKept(t *testing.T) {
	server := miniredis.RunT(t)
	q := open(t, server, func(l *Limits) { l.tries, l.delay = 2, time.Millisecond })
	tried := make(chan struct{}, 10)
	require.NoError(t, q.Start(func(context.Context, bot.Job) error {
		tried <- struct{}{}
		return errors.New("the platform is down")
	}))
	require.NoError(t, q.Add(context.Background(), job("1")))
	<-tried
	<-tried
	require.Eventually(t, func() bool {
		n, err := q.Waiting(context.Background())
		return err == nil && n == 0
	}, 10*time.Second, 10*time.Millisecond)
	require.NoError(t, q.Close(context.Background()))
	assert.Empty(t, tried)
	assert.NotContains(t, server.Dump(), "a text of")
}

// A killed process is nobody's fault: its jobs do not wait as after a failure.
func TestDelays(t *testing.T) {
	delay := Limits{tries: mostTries, delay: firstDelay}.wait
	assert.Zero(t, delay(3, asynq.ErrLeaseExpired, nil))
	total := time.Duration(0)
	for n := range mostTries - 1 {
		total += delay(n, errors.New("down"), nil)
	}
	assert.InDelta(t, 42, total.Minutes(), 1)
}
