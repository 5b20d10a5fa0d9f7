package transport

import (
	"context"
	"fmt"
	"log/slog"
	"math"
	"net/http"
	"net/netip"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/labstack/echo/v4"
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
	places  *places
	budget  time.Duration // that a long calculation may take
	// begins to measure a calculation's processor time
	stopwatch func() (used func() time.Duration)
	metrics   *metrics

	log      *slog.Logger
	proxied  bool // proxies are trusted
	oneProxy sync.Once
}

// visitor is who asks, what it may still use, and what it holds while it is served.
type visitor struct {
	gate     *gate
	class    string // for logs and metrics: anonymous or keyed
	client   string // for the limiter
	share    string // of the places: who has a line of its own
	policies []limit.Policy
	cost     int    // units paid
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
	network := g.addressed(v, c.RealIP())
	v.share = network
	key := c.Request().Header.Get(apiKeyHeader)
	if key == "" {
		return v, nil
	}
	h, err := g.recognise(c, key, network)
	if err != nil {
		return v, err
	}
	v.class, v.client, v.policies = "keyed", "key:"+h.id, h.policies
	v.share = v.client
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

// A unit is so much of a processor's time. What costs more than one waits for a place.
const (
	unitTime = 20 * time.Millisecond
	light    = 1
)

// start is called once a request is valid: it pays what the operation may cost beyond the first unit, and, where that
// calculates for long, waits for a place and limits the time. What was not used comes back when the visitor leaves its
// place; what gets none is charged for the look at it.
func (v *visitor) start(c echo.Context, most int) error {
	paid, err := v.take(c, most-1)
	if err != nil {
		return err
	}
	if most <= light || v.leaving != nil {
		return nil
	}
	ctx, cancel := context.WithTimeout(c.Request().Context(), v.gate.budget)
	leave, err := v.gate.places.take(ctx, v.share, most)
	if err != nil {
		cancel()
		v.refund(c, most-1, paid)
		return err
	}
	used := v.gate.stopwatch()
	v.leaving = func() {
		units := min(most, max(1, int(math.Ceil(float64(used())/float64(unitTime)))))
		leave(units)
		cancel()
		v.refund(c, most-units, paid)
	}
	c.SetRequest(c.Request().WithContext(ctx))
	return nil
}

// stopwatch measures the processor time of what this goroutine does until it is asked. Call what it returns once, from
// the same goroutine.
func stopwatch() (used func() time.Duration) {
	runtime.LockOSThread()
	start := threadTime()
	return func() time.Duration {
		defer runtime.UnlockOSThread()
		return threadTime() - start
	}
}

// pay takes units from the visitor's quotas and says in the answer what is left.
func (v *visitor) pay(c echo.Context, cost int) error {
	_, err := v.take(c, cost)
	return err
}

// take is pay, and returns what refund wants to know.
func (v *visitor) take(c echo.Context, cost int) (limit.Decision, error) {
	if cost <= 0 {
		return limit.Decision{}, nil
	}
	if len(v.policies) == 0 { // no limits, or its batch has paid
		v.charged(c, cost, limit.Decision{})
		return limit.Decision{}, nil
	}
	for _, p := range v.policies {
		if cost > p.Quota {
			return limit.Decision{}, &requestError{code: "quota_exceeded", violated: []string{p.Name},
				detail: fmt.Sprintf("This costs %d units and the quota never holds more than %d: ask for less at "+
					"once.",
					cost, p.Quota)}
		}
	}
	d, err := v.gate.limiter.Take(c.Request().Context(), v.client, cost, v.policies)
	if err != nil {
		return d, err
	}
	if d.Allowed {
		v.charged(c, cost, d)
		return d, nil
	}
	v.charged(c, 0, d)
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
	return d, re
}

// refund gives back units that were not used. A store that fails keeps them, and they grow back.
func (v *visitor) refund(c echo.Context, cost int, paid limit.Decision) {
	if cost <= 0 || len(v.policies) == 0 {
		v.charged(c, -cost, limit.Decision{})
		return
	}
	d, err := v.gate.limiter.Give(context.WithoutCancel(c.Request().Context()), v.client, cost, paid)
	if err == nil {
		v.charged(c, -cost, d)
	}
}

// charged says in the answer what the request has cost so far, and what is left.
func (v *visitor) charged(c echo.Context, cost int, d limit.Decision) {
	v.cost += cost
	h := c.Response().Header()
	h[costHeader] = []string{strconv.Itoa(v.cost)}
	if len(d.States) == 0 {
		return
	}
	now, rules := make([]byte, 0, 64), make([]byte, 0, 64)
	for i, st := range d.States {
		if i > 0 {
			now, rules = append(now, ", "...), append(rules, ", "...)
		}
		now = field(now, st.Policy.Name, "r", st.Remaining, "t", seconds(st.Reset))
		rules = field(rules, st.Policy.Name, "q", st.Policy.Quota, "w", int(st.Policy.Window.Seconds()))
	}
	h["Ratelimit"], h["Ratelimit-Policy"] = []string{string(now)}, []string{string(rules)}
}

// field appends an item of a structured field (RFC 9651) with two parameters.
func field(to []byte, name, first string, a int, second string, b int) []byte {
	to = append(strconv.AppendQuote(to, name), ';')
	to = strconv.AppendInt(append(append(to, first...), '='), int64(a), 10)
	return strconv.AppendInt(append(append(append(to, ';'), second...), '='), int64(b), 10)
}

func seconds(d time.Duration) int { return int(math.Ceil(d.Seconds())) }

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
