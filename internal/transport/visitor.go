package transport

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"net/netip"
	"runtime"
	"strings"
	"time"

	"github.com/labstack/echo/v4"
	"golang.org/x/sync/semaphore"

	"saltwright/internal/limit"
)

// visitor is who asks, what it may still use, and what it holds while it is served.
type visitor struct {
	server   *Server
	class    string // for logs and metrics: anonymous or keyed
	client   string // for the limiter
	policies []limit.Policy
	prepaid  bool // its batch has paid
	release  func()
}

const visitorKey = "visitor"

func visitorOf(c echo.Context) *visitor {
	v, _ := c.Get(visitorKey).(*visitor)
	return v
}

// apiKeyHeader carries an optional key.
const apiKeyHeader = "X-API-Key"

// welcome finds out who asks: the holder of a key, or else an address.
func (s *Server) welcome(c echo.Context) (*visitor, error) {
	v := &visitor{server: s, class: "anonymous", policies: s.quotas}
	c.Set(visitorKey, v)
	if key := c.Request().Header.Get(apiKeyHeader); key != "" {
		h, err := s.keys.holder(key, c.Request().Header.Get(echo.HeaderOrigin))
		if err != nil {
			return v, err
		}
		v.class, v.client, v.policies = "keyed", "key:"+h.id, h.policies
		return v, nil
	}
	v.client = clientOf(c.RealIP())
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

// attend serves one operation to one visitor: who it is, a first unit for
// looking at the request at all, the time it may take, then the operation.
func (s *Server) attend(c echo.Context, o *operation, serve handler) error {
	v, err := s.welcome(c)
	if err != nil {
		return err
	}
	if err := v.pay(c, 1); err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(c.Request().Context(), s.budget)
	defer cancel()
	c.SetRequest(c.Request().WithContext(ctx))
	defer v.leave()
	return serve(c, o)
}

// start is called once the request is valid: it pays for the rest of the
// operation and waits for a place where that calculates for long.
func (v *visitor) start(c echo.Context, o *operation) error {
	cost := o.cost(o.sampling(c).samples)
	if !v.prepaid {
		if err := v.pay(c, cost-1); err != nil {
			return err
		}
	}
	return v.admit(c.Request().Context(), cost)
}

// pay takes units from the visitor's quotas and says in the answer what is left.
func (v *visitor) pay(c echo.Context, cost int) error {
	if len(v.policies) == 0 || cost <= 0 {
		return nil
	}
	h := c.Response().Header()
	for _, p := range v.policies {
		if cost > p.Quota {
			return &requestError{code: "quota_exceeded", violated: []string{p.Name},
				detail: fmt.Sprintf("This costs %d units and the quota never holds more than %d: ask for less at once.", cost, p.Quota)}
		}
	}
	d, err := v.server.limiter.Take(c.Request().Context(), v.client, cost, v.policies)
	if err != nil {
		return err
	}
	now, rules := make([]string, len(d.States)), make([]string, len(d.States))
	re := &requestError{code: "quota_exceeded"}
	for i, st := range d.States {
		now[i] = fmt.Sprintf("%q;r=%d;t=%d", st.Policy.Name, st.Remaining, seconds(st.Reset))
		rules[i] = fmt.Sprintf("%q;q=%d;w=%d", st.Policy.Name, st.Policy.Quota, int(st.Policy.Window.Seconds()))
		if st.Violated {
			re.violated = append(re.violated, st.Policy.Name)
			re.retryAfter = max(re.retryAfter, seconds(st.Retry))
			v.server.metrics.denied.WithLabelValues(st.Policy.Name).Inc()
		}
	}
	h.Set("RateLimit", strings.Join(now, ", "))
	h.Set("RateLimit-Policy", strings.Join(rules, ", "))
	if d.Allowed {
		return nil
	}
	re.detail = fmt.Sprintf("This request costs %d units more than are left. Wait %d s, or use a key with a larger quota.", cost, re.retryAfter)
	return re
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

// counter bounds what calculates at once.
type counter struct {
	working *semaphore.Weighted
	inside  *semaphore.Weighted // working and waiting
}

func newCounter() counter {
	n := int64(runtime.GOMAXPROCS(0))
	return counter{working: semaphore.NewWeighted(n), inside: semaphore.NewWeighted(n + queuePlaces)}
}

func (v *visitor) admit(ctx context.Context, cost int) error {
	if cost < heavyCost || v.release != nil {
		return nil
	}
	heavy := v.server.heavy
	if !heavy.inside.TryAcquire(1) {
		return &requestError{code: "overloaded", retryAfter: queueRetry}
	}
	waiting, cancel := context.WithTimeout(ctx, queueWait)
	defer cancel()
	if err := heavy.working.Acquire(waiting, 1); err != nil {
		heavy.inside.Release(1)
		if ctx.Err() != nil {
			return ctx.Err()
		}
		return &requestError{code: "overloaded", retryAfter: queueRetry}
	}
	v.release = func() { heavy.working.Release(1); heavy.inside.Release(1) }
	return nil
}

// leave gives back what the visitor held.
func (v *visitor) leave() {
	if v.release != nil {
		v.release()
		v.release = nil
	}
}

// cost is what an operation takes from a quota, by the contract.
func (o *operation) cost(samples int) int {
	return o.baseCost + o.costPer100*((samples+99)/100)
}

// costliest is the most that a single calculation may cost.
func (c *contract) costliest() int {
	most := 0
	for _, o := range c.operations {
		n := 0
		if p := o.route.Operation.Parameters.GetByInAndName("query", "samples"); p != nil {
			n = int(*p.Schema.Value.Max)
		}
		most = max(most, o.cost(n))
	}
	return most
}
