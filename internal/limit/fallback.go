package limit

import (
	"context"
	"sync/atomic"
	"time"
)

// Fallback asks a shared store and, when that fails, counts in this process:
// a lost store must not stop the service, nor open it to anybody.
//
// A store that fails several times in a row is left alone: no request waits for
// it again until it has answered a look from behind, in time.
type Fallback struct {
	shared  Limiter
	local   Limiter
	watcher Watcher
	inARow  atomic.Int64 // failures since the last answer
	alone   atomic.Bool  // the store is left alone
}

// Watcher is told how a store does.
type Watcher struct {
	Failed func(error) // one request or look
	Left   func(error) // it is left alone from now on
	Back   func()      // it is asked again
}

const (
	storeTimeout  = 50 * time.Millisecond // that one request may wait for a store
	storeFailures = 3                     // in a row, after which it is left alone
	storePause    = time.Second           // between two looks at it
)

// NewFallback joins a shared limiter and a local one.
func NewFallback(shared, local Limiter, w Watcher) *Fallback {
	return &Fallback{shared: shared, local: local, watcher: w}
}

// Degraded tells whether the store is left alone at the moment.
func (f *Fallback) Degraded() bool { return f.alone.Load() }

// Take implements Limiter. It fails only on policies or a cost that Check refuses,
// or when the caller has given up.
func (f *Fallback) Take(ctx context.Context, client string, cost int, policies []Policy) (Decision, error) {
	if err := Check(cost, policies); err != nil {
		return Decision{}, err
	}
	if !f.alone.Load() {
		d, err := f.ask(ctx, storeTimeout, client, cost, policies)
		if err == nil {
			f.inARow.Store(0)
			return d, nil
		}
		if ctx.Err() != nil { // the caller is gone; the store may be well
			return Decision{}, ctx.Err()
		}
		f.watcher.Failed(err)
		if f.inARow.Add(1) >= storeFailures && f.alone.CompareAndSwap(false, true) {
			f.watcher.Left(err)
			time.AfterFunc(storePause, f.look)
		}
	}
	d, err := f.local.Take(ctx, client, cost, policies)
	d.here = true
	return d, err
}

// Give implements Limiter: units go back to where they were taken. A store that fails keeps them, and they grow back.
func (f *Fallback) Give(ctx context.Context, client string, cost int, taken Decision) (Decision, error) {
	if taken.here {
		return f.local.Give(ctx, client, cost, taken)
	}
	ctx, cancel := context.WithTimeout(ctx, storeTimeout)
	defer cancel()
	d, err := f.shared.Give(ctx, client, cost, taken)
	if err != nil {
		f.watcher.Failed(err)
	}
	return d, err
}

func (f *Fallback) ask(ctx context.Context, wait time.Duration, client string, cost int, p []Policy) (Decision, error) {
	ctx, cancel := context.WithTimeout(ctx, wait)
	defer cancel()
	return f.shared.Take(ctx, client, cost, p)
}

// look asks the store for nothing, first with time to connect, then with half the time of a request, so that a store
// at the edge of its time stays alone. It comes again until the store is well.
func (f *Fallback) look() {
	nothing := []Policy{{Name: "look", Quota: 1, Window: time.Second}}
	for _, wait := range []time.Duration{dialTimeout, storeTimeout / 2} {
		if _, err := f.ask(context.Background(), wait, "look", 0, nothing); err != nil {
			f.watcher.Failed(err)
			time.AfterFunc(storePause, f.look)
			return
		}
	}
	f.inARow.Store(0)
	f.alone.Store(false)
	f.watcher.Back()
}
