package transport

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"net/http"
	"net/url"
	"sync"
	"time"

	"saltwright/internal/contract"
)

// trials are the operations whose example in the contract is calculated again to
// tell whether this process still calculates what it promised.
var trials = []string{"postSalinityConversion", "postEvaporation", "postHeaterSizing", "postTopOffEndurance",
	"postLightScheduleScore"}

// trialTolerance is how far a number may be from the contract's example:
// processors differ in the last bits of an exponential.
const trialTolerance = 1e-9

// trialEvery is how long an outcome is believed.
const trialEvery = 10 * time.Second

// readiness remembers the last trial, and whether the process is about to stop.
type readiness struct {
	desk     *desk
	mu       sync.Mutex
	draining bool
	at       time.Time
	err      error
}

func (r *readiness) drain() {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.draining = true
}

// check tells whether requests should be sent here: not draining, and the contract's examples come out as they should.
func (r *readiness) check(ctx context.Context) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.draining {
		return fmt.Errorf("draining: this process is about to stop")
	}
	if now := time.Now(); now.Sub(r.at) > trialEvery {
		err := r.trial(ctx)
		if ctx.Err() != nil { // the asker went away; that says nothing about the calculations
			return ctx.Err()
		}
		r.at, r.err = now, err
	}
	return r.err
}

func (r *readiness) trial(ctx context.Context) error {
	for _, id := range trials {
		o := r.desk.contract.Operation(id)
		request, want, err := example(o)
		if err != nil {
			return err
		}
		got, err := r.desk.run(ctx, "", o, url.Values{}, request, "00000000-0000-4000-8000-000000000000")
		if err != nil {
			return err
		}
		value, err := decodeJSON(got.Body)
		if err != nil {
			return err
		}
		if got.Status != http.StatusOK || !alike(want, value) {
			return fmt.Errorf("%s does not answer as the contract's example says", id)
		}
	}
	return nil
}

// example returns the first example request of an operation and its answer.
func example(o *contract.Operation) (request []byte, answer any, err error) {
	named := func(all []contract.Example) []byte {
		for _, e := range all {
			if e.Name == "example" {
				return e.Value
			}
		}
		return nil
	}
	ok := o.Answer("200", asJSON)
	if ok == nil || named(o.Examples) == nil || named(ok.Examples) == nil {
		return nil, nil, fmt.Errorf("%s has no example in the contract", o.ID)
	}
	answer, err = decodeJSON(named(ok.Examples))
	return named(o.Examples), answer, err
}

func decodeJSON(data []byte) (any, error) {
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	var v any
	if err := dec.Decode(&v); err != nil {
		return nil, fmt.Errorf("decoding our own JSON: %w", err)
	}
	return v, nil
}

// alike compares two decoded JSON values, numbers within trialTolerance.
func alike(a, b any) bool {
	switch x := a.(type) {
	case map[string]any:
		y, ok := b.(map[string]any)
		if !ok || len(x) != len(y) {
			return false
		}
		for name := range x {
			if !alike(x[name], y[name]) {
				return false
			}
		}
		return true
	case []any:
		y, ok := b.([]any)
		if !ok || len(x) != len(y) {
			return false
		}
		for i := range x {
			if !alike(x[i], y[i]) {
				return false
			}
		}
		return true
	case json.Number:
		y, ok := b.(json.Number)
		if !ok {
			return false
		}
		f, errF := x.Float64()
		g, errG := y.Float64()
		return errF == nil && errG == nil && math.Abs(f-g) <= trialTolerance*math.Max(1, math.Abs(f))
	}
	return a == b
}

// say answers an operator or a load balancer in plain text.
func say(w http.ResponseWriter, status int, text string) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.Header().Set(cacheControl, "no-store")
	w.WriteHeader(status)
	_, _ = io.WriteString(w, text+"\n") // an asker that went away needs no answer
}

// healthz says that the process lives.
func healthz(w http.ResponseWriter, _ *http.Request) { say(w, http.StatusOK, "ok") }

// readyz says whether requests should be sent here.
func (r *readiness) readyz(w http.ResponseWriter, req *http.Request) {
	if err := r.check(req.Context()); err != nil {
		say(w, http.StatusServiceUnavailable, err.Error())
		return
	}
	say(w, http.StatusOK, "ready")
}
