package transport

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"net/netip"
	"runtime"
	"strconv"
	"time"

	"github.com/labstack/echo/v4"
	"golang.org/x/sync/semaphore"

	"saltwright/internal/limit"
)

// gate decides who may ask, how much, and when a long calculation may run.
type gate struct {
	quotas  []limit.Policy // of a client without a key
	keys    *Keys
	limiter limit.Limiter
	places  places
	budget  time.Duration // that a long calculation may take
	metrics *metrics
}

// visitor is who asks, what it may still use, and what it holds while it is served.
type visitor struct {
	gate     *gate
	class    string // for logs and metrics: anonymous or keyed
	client   string // for the limiter
	policies []limit.Policy
	prepaid  bool   // its batch has paid
	leaving  func() // gives back a place; nil where none is held
}

const visitorKey = "visitor"

func visitorOf(c echo.Context) *visitor {
	v, _ := c.Get(visitorKey).(*visitor)
	return v
}

func classOf(c echo.Context) string {
	if v := visitorOf(c); v != nil {
		return v.class
	}
	return ""
}

// identify finds out who asks: the holder of a key, or else an address.
func (g *gate) identify(c echo.Context) (*visitor, error) {
	v := &visitor{gate: g, class: "anonymous", policies: g.quotas}
	c.Set(visitorKey, v)
	if key := c.Request().Header.Get(apiKeyHeader); key != "" {
		h, err := g.keys.holder(key, c.Request().Header.Get(echo.HeaderOrigin))
		if err != nil {
			return v, err
		}
		v.class, v.client, v.policies = "keyed", "key:"+h.id, h.policies
		return v, nil
	}
	if len(v.policies) > 0 {
		v.client = clientOf(c.RealIP())
	}
	return v, nil
}

// clientOf names an address to the limiter: a hash, so that no store shows
// addresses, and of IPv6 the /64 that one customer is usually given.
func clientOf(address string) string {
	if a, err := netip.ParseAddr(address); err == nil {
		a = a.Unmap().WithZone("")
		address = a.String()
		if a.Is6() {
			if p, err := a.Prefix(64); err == nil {
				address = p.String()
			}
		}
	}
	sum := sha256.Sum256([]byte(address))
	return "address:" + hex.EncodeToString(sum[:12])
}

// attend serves one request of a visitor: who it is, a first unit for looking at the request at all, then the
// operation.
func (g *gate) attend(c echo.Context, serve func(echo.Context) error) error {
	v, err := g.identify(c)
	if err != nil {
		return err
	}
	if err := v.pay(c, 1); err != nil {
		return err
	}
	defer v.leave()
	return serve(c)
}

// start is called once a request is valid: it pays what the operation costs beyond the first unit, and, where that
// calculates for long, waits for a place and limits the time.
func (v *visitor) start(c echo.Context, cost int) error {
	if !v.prepaid {
		if err := v.pay(c, cost-1); err != nil {
			return err
		}
	}
	if cost < heavyCost || v.leaving != nil {
		return nil
	}
	ctx, cancel := context.WithTimeout(c.Request().Context(), v.gate.budget)
	release, err := v.gate.places.take(ctx)
	if err != nil {
		cancel()
		return err
	}
	v.leaving = func() { release(); cancel() }
	c.SetRequest(c.Request().WithContext(ctx))
	return nil
}

// pay takes units from the visitor's quotas and says in the answer what is left.
func (v *visitor) pay(c echo.Context, cost int) error {
	if len(v.policies) == 0 || cost <= 0 {
		return nil
	}
	for _, p := range v.policies {
		if cost > p.Quota {
			return &requestError{code: "quota_exceeded", violated: []string{p.Name},
				detail: fmt.Sprintf("This costs %d units and the quota never holds more than %d: ask for less at "+
					"once.",
					cost, p.Quota)}
		}
	}
	d, err := v.gate.limiter.Take(c.Request().Context(), v.client, cost, v.policies)
	if err != nil {
		return err
	}
	now, rules := make([]byte, 0, 64), make([]byte, 0, 64)
	for i, st := range d.States {
		if i > 0 {
			now, rules = append(now, ", "...), append(rules, ", "...)
		}
		now = field(now, st.Policy.Name, "r", st.Remaining, "t", seconds(st.Reset))
		rules = field(rules, st.Policy.Name, "q", st.Policy.Quota, "w", int(st.Policy.Window.Seconds()))
	}
	h := c.Response().Header()
	h["Ratelimit"], h["Ratelimit-Policy"] = []string{string(now)}, []string{string(rules)}
	if d.Allowed {
		return nil
	}
	re := &requestError{code: "quota_exceeded"}
	for _, st := range d.States {
		if st.Violated {
			re.violated = append(re.violated, st.Policy.Name)
			re.retryAfter = max(re.retryAfter, seconds(st.Retry))
			v.gate.metrics.denied.WithLabelValues(st.Policy.Name).Inc()
		}
	}
	re.detail = fmt.Sprintf("This request costs %d units more than are left. Wait %d s, or use a key with a larger "+
		"quota.",
		cost, re.retryAfter)
	return re
}

// field appends an item of a structured field (RFC 9651) with two parameters.
func field(to []byte, name, first string, a int, second string, b int) []byte {
	to = append(strconv.AppendQuote(to, name), ';')
	to = strconv.AppendInt(append(append(to, first...), '='), int64(a), 10)
	return strconv.AppendInt(append(append(append(to, ';'), second...), '='), int64(b), 10)
}

func seconds(d time.Duration) int { return int(math.Ceil(d.Seconds())) }

// Calculations that cost heavyCost or more run on as many cores as there are,
// with a short queue before them: what does not fit is told to come again
// instead of slowing everybody down.
const (
	heavyCost   = 5
	queuePlaces = 16
	queueWait   = 10 * time.Second
	queueRetry  = 5 // s
)

// places bounds what calculates at once.
type places struct {
	working *semaphore.Weighted
	inside  *semaphore.Weighted // working and waiting
}

func newPlaces() places {
	n := int64(runtime.GOMAXPROCS(0))
	return places{working: semaphore.NewWeighted(n), inside: semaphore.NewWeighted(n + queuePlaces)}
}

// take waits for a place, and returns how to give it back. Errors: overloaded, and the context's.
func (p places) take(ctx context.Context) (release func(), err error) {
	if !p.inside.TryAcquire(1) {
		return nil, &requestError{code: "overloaded", retryAfter: queueRetry}
	}
	waiting, cancel := context.WithTimeout(ctx, queueWait)
	defer cancel()
	if err := p.working.Acquire(waiting, 1); err != nil {
		p.inside.Release(1)
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		return nil, &requestError{code: "overloaded", retryAfter: queueRetry}
	}
	return func() { p.working.Release(1); p.inside.Release(1) }, nil
}

// leave gives back what the visitor held.
func (v *visitor) leave() {
	if v.leaving != nil {
		v.leaving()
		v.leaving = nil
	}
}
