package transport

import (
	"net/http"
	"strconv"
	"time"

	"github.com/labstack/echo/v4"
	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promauto"
	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/codes"
	"go.opentelemetry.io/otel/trace"
)

// metrics are counters whose labels come from the contract, the problem table
// and the policies only: a caller cannot make new ones.
type metrics struct {
	registry *prometheus.Registry

	requests *prometheus.CounterVec   // route, method, code
	duration *prometheus.HistogramVec // route, method
	inFlight prometheus.Gauge
	answers  *prometheus.CounterVec // operation, client class, outcome
	problems *prometheus.CounterVec // code
	denied   *prometheus.CounterVec // policy
	panics   prometheus.Counter
	storeErr prometheus.Counter

	slowReaders prometheus.Counter
}

func newMetrics() *metrics {
	r := prometheus.NewRegistry()
	r.MustRegister(collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	f := promauto.With(r)
	counter := func(name, help string) prometheus.Counter {
		return f.NewCounter(prometheus.CounterOpts{Name: name, Help: help})
	}
	counters := func(name, help string, labels ...string) *prometheus.CounterVec {
		return f.NewCounterVec(prometheus.CounterOpts{Name: name, Help: help}, labels)
	}
	return &metrics{
		registry: r,
		requests: counters("http_requests_total", "Requests answered.", "route", "method", "code"),
		duration: f.NewHistogramVec(prometheus.HistogramOpts{
			Name: "http_request_duration_seconds", Help: "Time from the request's header to the end of its answer.",
			Buckets: []float64{.0002, .0005, .001, .002, .005, .01, .02, .05, .1, .2, .5, 1, 2, 5, 10, 30},
		}, []string{"route", "method"}),
		inFlight: f.NewGauge(prometheus.GaugeOpts{Name: "http_requests_in_flight", Help: "Requests being served."}),
		answers: counters(
			"saltwright_answers_total",
			"Operations answered, by kind of client and outcome.",
			"operation",
			"client",
			"outcome",
		),
		problems: counters("saltwright_problems_total", "Problems answered.", "code"),
		denied:   counters("saltwright_quota_denied_total", "Requests refused because a quota was used up.", "policy"),
		panics:   counter("saltwright_panics_total", "Panics turned into a problem."),
		storeErr: counter(
			"saltwright_limit_store_failures_total",
			"Failures of the shared limit store; the local limiter took over.",
		),
		slowReaders: counter("saltwright_slow_readers_total", "Connections cut off because nobody read the answer."),
	}
}

func (m *metrics) gauge(name, help string, value func() float64) {
	promauto.With(m.registry).NewGaugeFunc(prometheus.GaugeOpts{Name: name, Help: help}, value)
}

// watchBuild shows which contract is served, and which build of the program serves it.
func (m *metrics) watchBuild(version string) {
	b := ReadBuild()
	promauto.With(m.registry).NewGaugeFunc(prometheus.GaugeOpts{
		Name: "saltwright_build_info", Help: "1; the labels say which contract and which build this is.",
		ConstLabels: prometheus.Labels{"version": version, "commit": b.Commit, "go": b.Go},
	}, func() float64 { return 1 })
}

// watchWork shows how many long calculations are worked on and how many wait for a place.
func (m *metrics) watchWork(count func() (working, waiting int)) {
	m.gauge("saltwright_calculations_working", "Long calculations that have a place.", func() float64 {
		working, _ := count()
		return float64(working)
	})
	m.gauge("saltwright_calculations_waiting", "Long calculations that wait for a place.", func() float64 {
		_, waiting := count()
		return float64(waiting)
	})
}

// watchStore shows whether the shared limit store is left alone.
func (m *metrics) watchStore(degraded func() bool) {
	m.gauge("saltwright_limit_store_degraded",
		"1 while the shared limit store is left alone and each replica counts for itself.", func() float64 {
			if degraded() {
				return 1
			}
			return 0
		})
}

// observe measures every request: rate, errors, duration. A route that is not known has a path of the caller's making.
func (m *metrics) observe(known func(route string) bool) echo.MiddlewareFunc {
	return func(next echo.HandlerFunc) echo.HandlerFunc {
		return func(c echo.Context) error {
			m.inFlight.Inc()
			defer m.inFlight.Dec()
			start := time.Now()
			err := next(c)
			if err != nil {
				c.Error(err)
			}
			route, method, status := c.Path(), c.Request().Method, c.Response().Status
			if !known(route) {
				route = "none"
			}
			if !usual(method) {
				method = "other"
			}
			if span := trace.SpanFromContext(c.Request().Context()); span.IsRecording() {
				span.SetName(method + " " + route)
				span.SetAttributes(attribute.String("http.request.method", method),
					attribute.String("http.route", route), attribute.Int("http.response.status_code", status))
				if status >= http.StatusInternalServerError {
					span.SetStatus(codes.Error, "")
				}
			}
			m.requests.WithLabelValues(route, method, strconv.Itoa(status)).Inc()
			m.duration.WithLabelValues(route, method).Observe(time.Since(start).Seconds())
			return nil
		}
	}
}

func usual(method string) bool {
	switch method {
	case "GET", "HEAD", "POST", "OPTIONS":
		return true
	}
	return false
}
