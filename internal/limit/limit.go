// Package limit counts what each client has used and says when it is enough:
// the generic cell rate algorithm (ITU-T I.371, annex A; from memory) with a cost per
// request, in memory or shared by replicas through Redis or Valkey.
package limit

import (
	"cmp"
	"context"
	"fmt"
	"time"
)

// Policy allows Quota units in every Window. A client that has been quiet may
// use the whole quota at once; after that it grows back evenly.
type Policy struct {
	Name   string
	Quota  int           // units, at least 1
	Window time.Duration // at least 1 s
	Client string        // who is counted; empty: the client that asks. So clients may share a wider quota.
}

// owner is whom a policy counts when client asks.
func (p Policy) owner(client string) string { return cmp.Or(p.Client, client) }

// State is where a client stands with one policy.
type State struct {
	Policy    Policy
	Remaining int           // units it may use at once
	Reset     time.Duration // until the whole quota is there again
	Violated  bool          // this request is more than it allows
	Retry     time.Duration // until this request would be allowed; 0 when it is
}

// Decision is the answer to one request. Nothing is used up unless every policy allows it.
type Decision struct {
	Allowed bool
	States  []State // one for each policy, in their order

	here bool // counted in this process in place of a shared store
}

// Limiter takes units from a client's quotas.
type Limiter interface {
	// Take uses cost units of every policy, or of none. Policies must be valid
	// and cost lie within 0 and the smallest quota; 0 only looks.
	Take(ctx context.Context, client string, cost int, policies []Policy) (Decision, error)

	// Give takes back what Take allowed: as many units of the same policies. No quota grows above its size by it.
	Give(ctx context.Context, client string, cost int, taken Decision) (Decision, error)
}

// policies are those that a decision was about.
func (d Decision) policies() []Policy {
	out := make([]Policy, len(d.States))
	for i, st := range d.States {
		out[i] = st.Policy
	}
	return out
}

// Check refuses policies that nothing could be counted by, and costs no client could ever pay.
func Check(cost int, policies []Policy) error {
	if cost < 0 {
		return fmt.Errorf("cost %d: want 0 or more", cost)
	}
	for _, p := range policies {
		switch {
		case p.Name == "" || p.Quota < 1 || p.Window < time.Second:
			return fmt.Errorf("policy %q of %d in %v: want a name, a quota of at least 1 and a window of at least 1 s",
				p.Name, p.Quota, p.Window)
		case cost > p.Quota:
			return fmt.Errorf("cost %d is more than the quota %d of policy %q: no client could ever pay it",
				cost, p.Quota, p.Name)
		}
	}
	return nil
}

// Times are whole microseconds, in a store since 1970, as Redis' TIME gives them:
// exact in the doubles of its scripts until the year 2255.

// charge is what a cost adds to the theoretical arrival time.
func (p Policy) charge(cost int) int64 {
	return int64(float64(cost) * float64(p.Window.Microseconds()) / float64(p.Quota))
}

// believed is the theoretical arrival time, or now where it lies further ahead than any request can have moved it:
// then the clock has been set back, what was used is not known any more, and nobody is to wait for the clock to
// catch up.
func (p Policy) believed(arrival, now int64) int64 {
	if arrival < now || arrival-now > p.Window.Microseconds() {
		return now
	}
	return arrival
}

// next returns the theoretical arrival time after a cost, and whether it lies within the window.
func (p Policy) next(arrival, now int64, cost int) (int64, bool) {
	after := arrival + p.charge(cost)
	return after, after-now <= p.Window.Microseconds()
}

// given returns the theoretical arrival time after units came back: never earlier than now, which is a full quota.
func (p Policy) given(arrival, now int64, cost int) int64 {
	return max(now, p.believed(arrival, now)-p.charge(cost))
}

// state describes a client whose theoretical arrival time is arrival, and whom cost units were refused or not.
func (p Policy) state(arrival, now int64, cost int, refused bool) State {
	debt := arrival - now
	s := State{
		Policy: p, Reset: time.Duration(debt) * time.Microsecond, Violated: refused,
		Remaining: int(float64(p.Window.Microseconds()-debt) * float64(p.Quota) / float64(p.Window.Microseconds())),
	}
	if refused {
		s.Retry = time.Duration(debt+p.charge(cost)-p.Window.Microseconds()) * time.Microsecond
	}
	return s
}

// decide turns the arrival times before a request into the ones after it.
func decide(arrivals []int64, now int64, cost int, policies []Policy) (after []int64, d Decision) {
	d.Allowed = true
	fits := make([]bool, len(policies))
	before := make([]int64, len(policies))
	after = make([]int64, len(policies))
	for i, p := range policies {
		before[i] = p.believed(arrivals[i], now)
		after[i], fits[i] = p.next(before[i], now, cost)
		d.Allowed = d.Allowed && fits[i]
	}
	if !d.Allowed {
		after = before
	}
	d.States = make([]State, len(policies))
	for i, p := range policies {
		d.States[i] = p.state(after[i], now, cost, !fits[i])
	}
	return after, d
}

// restore turns the arrival times before units come back into the ones after it.
func restore(arrivals []int64, now int64, cost int, policies []Policy) (after []int64, d Decision) {
	d = Decision{Allowed: true, States: make([]State, len(policies))}
	after = make([]int64, len(policies))
	for i, p := range policies {
		after[i] = p.given(arrivals[i], now, cost)
		d.States[i] = p.state(after[i], now, 0, false)
	}
	return after, d
}
