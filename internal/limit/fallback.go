package limit

import (
	"context"
	"sync/atomic"
	"time"
)

// Fallback asks a shared store and, when that fails, counts in this process:
// a lost store must not stop the service, nor open it to anybody.
type Fallback struct {
	shared   Limiter
	local    Limiter
	now      func() time.Time
	failed   func(error)
	downTill atomic.Int64 // microseconds since 1970; until then the store is not asked
}

// How long a store may take to answer, and how long it is left alone after it did not.
const (
	storeTimeout = 50 * time.Millisecond
	storePause   = time.Second
)

// NewFallback joins a shared limiter and a local one; failed is told of every failure of the store.
func NewFallback(shared, local Limiter, now func() time.Time, failed func(error)) *Fallback {
	return &Fallback{shared: shared, local: local, now: now, failed: failed}
}

// Degraded tells whether the store is left alone at the moment.
func (f *Fallback) Degraded() bool { return f.now().UnixMicro() < f.downTill.Load() }

// Take implements Limiter. It fails only on policies or a cost that Check refuses,
// or when the caller has given up.
func (f *Fallback) Take(ctx context.Context, client string, cost int, policies []Policy) (Decision, error) {
	if err := Check(cost, policies); err != nil {
		return Decision{}, err
	}
	if !f.Degraded() {
		asked, cancel := context.WithTimeout(ctx, storeTimeout)
		defer cancel()
		d, err := f.shared.Take(asked, client, cost, policies)
		if err == nil {
			return d, nil
		}
		if ctx.Err() != nil { // the caller is gone; the store may be well
			return Decision{}, ctx.Err()
		}
		f.downTill.Store(f.now().Add(storePause).UnixMicro())
		f.failed(err)
	}
	return f.local.Take(ctx, client, cost, policies)
}
