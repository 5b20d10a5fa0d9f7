package transport

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"net/http"
	"net/url"
	"sync"
	"time"

	"github.com/prometheus/client_golang/prometheus/promhttp"

	"saltwright/internal/answer/envelope"
)

// trials are the operations whose example in the contract is calculated again to
// tell whether this process still calculates what it promised.
var trials = []string{"postSalinityConversion", "postEvaporation", "postHeaterSizing", "postTopOffEndurance", "postLightScheduleScore"}

// trialTolerance is how far a number may be from the contract's example:
// processors differ in the last bits of an exponential.
const trialTolerance = 1e-9

// trialEvery is how long an outcome is believed.
const trialEvery = 10 * time.Second

// readiness remembers the last trial, and whether the process is about to stop.
type readiness struct {
	mu       sync.Mutex
	draining bool
	at       time.Time
	err      error
}

// Drain makes readiness fail, so that a load balancer sends nobody here any
// more. Requests are served as before.
func (s *Server) Drain() {
	s.ready.mu.Lock()
	defer s.ready.mu.Unlock()
	s.ready.draining = true
}

// Ready tells whether requests should be sent here: not draining, and the
// contract's examples come out as they should.
func (s *Server) Ready(ctx context.Context) error {
	s.ready.mu.Lock()
	defer s.ready.mu.Unlock()
	if s.ready.draining {
		return fmt.Errorf("draining: this process is about to stop")
	}
	if now := time.Now(); now.Sub(s.ready.at) > trialEvery {
		err := s.trial(ctx)
		if ctx.Err() != nil { // the asker went away; that says nothing about the calculations
			return ctx.Err()
		}
		s.ready.at, s.ready.err = now, err
	}
	return s.ready.err
}

func (s *Server) trial(ctx context.Context) error {
	for _, id := range trials {
		o := s.contract.operations[id]
		request, want, err := o.example()
		if err != nil {
			return err
		}
		got, err := s.inside(ctx, o, url.Values{}, request, "00000000-0000-4000-8000-000000000000")
		if err != nil {
			return err
		}
		value, err := envelope.DecodeJSON(got.Body)
		if err != nil {
			return err
		}
		if got.Status != http.StatusOK || !alike(want, value) {
			return fmt.Errorf("%s does not answer as the contract's example says", id)
		}
	}
	return nil
}

// example returns the first example request of the contract and its answer.
func (o *operation) example() (request []byte, answer any, err error) {
	media := o.route.Operation.RequestBody.Value.Content.Get("application/json")
	answers := o.route.Operation.Responses.Value("200").Value.Content.Get("application/json").Examples
	e, ok := media.Examples["example"]
	if !ok || answers["example"] == nil {
		return nil, nil, fmt.Errorf("%s has no example in the contract", o.id)
	}
	if request, err = json.Marshal(e.Value.Value); err != nil {
		return nil, nil, err
	}
	raw, err := json.Marshal(answers["example"].Value.Value)
	if err != nil {
		return nil, nil, err
	}
	answer, err = envelope.DecodeJSON(raw)
	return request, answer, err
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
func (s *Server) healthz(w http.ResponseWriter, _ *http.Request) { say(w, http.StatusOK, "ok") }

// readyz says whether requests should be sent here.
func (s *Server) readyz(w http.ResponseWriter, r *http.Request) {
	if err := s.Ready(r.Context()); err != nil {
		say(w, http.StatusServiceUnavailable, err.Error())
		return
	}
	say(w, http.StatusOK, "ready")
}

// Admin answers the operators of the service, on an address of its own:
// /metrics, /healthz and /readyz.
func (s *Server) Admin() http.Handler {
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", promhttp.HandlerFor(s.metrics.registry, promhttp.HandlerOpts{}))
	mux.HandleFunc("GET /healthz", s.healthz)
	mux.HandleFunc("GET /readyz", s.readyz)
	return mux
}
