package main

import (
	"context"
	"net/http"
	"runtime"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promauto"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"saltwright/clients/bot"
	"saltwright/clients/bot/service"
)

// watch counts what the bot does. Labels come from the platforms, verdicts and outcomes only: no event can make one.
type watch struct {
	registry *prometheus.Registry
	events   *prometheus.CounterVec   // platform, verdict
	replies  *prometheus.HistogramVec // platform, outcome

	waiting func(context.Context) (int, error) // set before the handler serves
}

func newWatch() *watch {
	r := prometheus.NewRegistry()
	r.MustRegister(collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	f := promauto.With(r)
	w := &watch{
		registry: r,
		events: f.NewCounterVec(prometheus.CounterOpts{
			Name: "saltwright_bot_events_total", Help: "Events that platforms reported, by what is done with them.",
		}, []string{"platform", "verdict"}),
		replies: f.NewHistogramVec(prometheus.HistogramOpts{
			Name:    "saltwright_bot_reply_seconds",
			Help:    "Time from an event to the end of its job, by how that ended.",
			Buckets: []float64{.05, .1, .2, .5, 1, 2, 5, 10, 30, 60, 300, 900},
		}, []string{"platform", "outcome"}),
	}
	f.NewGaugeFunc(prometheus.GaugeOpts{
		Name: "saltwright_bot_waiting", Help: "Events that wait for an answer; -1 while the store does not say.",
	}, func() float64 {
		ctx, cancel := context.WithTimeout(context.Background(), 2*time.Second)
		defer cancel()
		n, err := w.waiting(ctx)
		if err != nil {
			return -1
		}
		return float64(n)
	})
	f.NewGaugeFunc(prometheus.GaugeOpts{
		Name: "saltwright_bot_build_info", Help: "1; the labels say which contract it knows, and its Go.",
		ConstLabels: prometheus.Labels{"contract": service.Contract, "go": runtime.Version()},
	}, func() float64 { return 1 })
	return w
}

// Took implements bot.Observer.
func (w *watch) Took(platform string, v bot.Verdict) {
	w.events.WithLabelValues(platform, string(v)).Inc()
}

// Replied implements bot.Observer.
func (w *watch) Replied(platform string, o bot.Outcome, after time.Duration) {
	w.replies.WithLabelValues(platform, string(o)).Observe(after.Seconds())
}

func (w *watch) handler() http.Handler {
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", promhttp.HandlerFor(w.registry, promhttp.HandlerOpts{}))
	return mux
}
