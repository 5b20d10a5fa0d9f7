package transport

import (
	"context"
	"fmt"
	"log/slog"
	"math"
	"net/http"
	"runtime"
	"strconv"
	"sync"
	"sync/atomic"
	"time"

	"github.com/labstack/echo/v4"
	"golang.org/x/sync/semaphore"

	"net/netip"
	"strings"

	"saltwright/internal/limit"
)

// gate decides who may ask, how much, and when a long calculation may run.
type gate struct {
	quotas  []limit.Policy // of a client without a key
	wide    []limit.Policy // of the network around it
	names   *limit.Pseudonyms
	keys    *Keys
	guesses limit.Limiter // of keys
	limiter limit.Limiter
	places  places
	budget  time.Duration // that a long calculation may take
	metrics *metrics

	log      *slog.Logger
	proxied  bool // proxies are trusted
	oneProxy sync.Once
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

// whoOf names who was refused for asking too much or too often, so that an operator can tell one abuser from many
// visitors: the holder of a key, or the pseudonym of an address. Who is served has no name in the log.
func whoOf(c echo.Context) string {
	status := c.Response().Status
	if v := visitorOf(c); v != nil && (status == http.StatusTooManyRequests ||
		status == http.StatusServiceUnavailable) {
		return v.client
	}
	return ""
}

func classOf(c echo.Context) string {
	if v := visitorOf(c); v != nil {
		return v.class
	}
	return ""
}

// identify finds out who asks: the holder of a key, or else an address. With an error it is the address that pays.
func (g *gate) identify(c echo.Context) (*visitor, error) {
	v := &visitor{gate: g, class: "anonymous"}
	c.Set(visitorKey, v)
	g.noticeProxy(c)
	key := c.Request().Header.Get(apiKeyHeader)
	if key == "" && len(g.quotas) == 0 {
		return v, nil
	}
	network := g.addressed(v, c.RealIP())
	if key == "" {
		return v, nil
	}
	h, err := g.recognise(c, key, network)
	if err != nil {
		return v, err
	}
	v.class, v.client, v.policies = "keyed", "key:"+h.id, h.policies
	return v, nil
}

// attend serves one request of a visitor: who it is, a first unit for looking at the request at all, then the
// operation.
func (g *gate) attend(c echo.Context, serve func(echo.Context) error) error {
	v, unrecognised := g.identify(c)
	if err := v.pay(c, 1); err != nil {
		return err
	}
	if unrecognised != nil {
		return unrecognised
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
	queued  *atomic.Int64       // waiting
	busy    *atomic.Int64       // working
}

// occupied is how many work, and how many wait.
func (p places) occupied() (working, waiting int) { return int(p.busy.Load()), int(p.queued.Load()) }

func newPlaces() places {
	n := int64(runtime.GOMAXPROCS(0))
	return places{working: semaphore.NewWeighted(n), inside: semaphore.NewWeighted(n + queuePlaces),
		queued: new(atomic.Int64), busy: new(atomic.Int64)}
}

// take waits for a place, and returns how to give it back. Errors: overloaded, and the context's.
func (p places) take(ctx context.Context) (release func(), err error) {
	if !p.inside.TryAcquire(1) {
		return nil, &requestError{code: "overloaded", retryAfter: queueRetry}
	}
	waiting, cancel := context.WithTimeout(ctx, queueWait)
	defer cancel()
	p.queued.Add(1)
	defer p.queued.Add(-1)
	if err := p.working.Acquire(waiting, 1); err != nil {
		p.inside.Release(1)
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		return nil, &requestError{code: "overloaded", retryAfter: queueRetry}
	}
	p.busy.Add(1)
	return func() { p.busy.Add(-1); p.working.Release(1); p.inside.Release(1) }, nil
}

// leave gives back what the visitor held.
func (v *visitor) leave() {
	if v.leaving != nil {
		v.leaving()
		v.leaving = nil
	}
}

// addressed sets whom a visitor without a key is counted as, and returns the name of the network it comes from.
func (g *gate) addressed(v *visitor, address string) (network string) {
	link, customer := networksOf(address)
	v.client = "address:" + g.names.Of(link)
	if link == customer {
		v.policies = g.quotas
		return v.client
	}
	network = "network:" + g.names.Of(customer)
	v.policies = append(make([]limit.Policy, 0, 2*len(g.quotas)), g.quotas...)
	for _, p := range g.wide {
		p.Client = network
		v.policies = append(v.policies, p)
	}
	return network
}

// noticeProxy says once that a proxy seems to stand before this service which nobody has told it to believe:
// everybody behind it has one quota together. The neighbour is a private one, since any stranger can send this
// field.
func (g *gate) noticeProxy(c echo.Context) {
	if g.proxied || c.Request().Header.Get(echo.HeaderXForwardedFor) == "" {
		return
	}
	neighbour, err := netip.ParseAddrPort(c.Request().RemoteAddr)
	if at := neighbour.Addr().Unmap(); err != nil || !at.IsPrivate() && !at.IsLoopback() {
		return
	}
	g.oneProxy.Do(func() {
		g.log.Warn(strings.Join([]string{
			"X-Forwarded-For came from a private network, but trusted-proxies is empty:",
			"if that is a proxy of yours, all its visitors are counted as one",
		}, " "))
	})
}

// wrongKeys is how many keys that nobody holds may come from one network. Past it no key from there is looked at, so
// that nobody can try as many as the line carries; requests without a key are served as before.
var wrongKeys = []limit.Policy{{Name: "wrong-keys", Quota: 30, Window: time.Minute}}

// recognise returns who holds a key that came from a network, or the problem there is with it.
func (g *gate) recognise(c echo.Context, key, network string) (keyHolder, error) {
	guessed := func(cost int) (limit.State, error) {
		d, err := g.guesses.Take(c.Request().Context(), network, cost, wrongKeys)
		if err != nil {
			return limit.State{}, err
		}
		return d.States[0], nil
	}
	if st, err := guessed(0); err != nil {
		return keyHolder{}, err
	} else if p := st.Policy; st.Remaining < 1 {
		return keyHolder{}, &requestError{
			code: "quota_exceeded", violated: []string{p.Name}, retryAfter: seconds(p.Window / time.Duration(p.Quota)),
			detail: "Too many wrong keys came from your network: check the key, or leave X-API-Key out; " +
				"no operation needs one.",
		}
	}
	h, err := g.keys.holder(key, c.Request().Header.Get(echo.HeaderOrigin))
	if re := asRequestError(err); re != nil && re.code == "unknown_key" {
		if _, err := guessed(1); err != nil {
			return h, err
		}
	}
	return h, err
}
