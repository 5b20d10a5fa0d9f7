package transport

import (
	"bytes"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// attack is a request that costs its sender nothing.
type attack struct {
	name, method, path, body string
	fields                   http.Header
}

func attacks() []attack {
	members := func(n int, format string) string {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, format, i)
		}
		return "{" + strings.TrimSuffix(b.String(), ",") + "}"
	}
	query := url.Values{}
	for i := range 1500 {
		query.Set(fmt.Sprint("x", i), "1")
	}
	many := strings.Repeat("scale=psu&", 1500)
	post := func(name, body string) attack {
		return attack{name: name, method: http.MethodPost, path: "/v1/heater-sizing", body: body}
	}
	return []attack{
		post("deep lists", strings.Repeat("[", 60000)),
		post("deep objects", strings.Repeat(`{"a":`, 10000)),
		post("deep inside a member", `{"length_mm":`+strings.Repeat("[", 60000)),
		post("unknown members", members(4900, `"x%d":1,`)),
		post("unknown members with long names", `{"`+strings.Repeat("x", 60000)+`":1}`),
		post("many long unknown members", members(60, `"`+strings.Repeat("y", 900)+`%d":1,`)),
		post("one member again and again", "{"+strings.TrimSuffix(strings.Repeat(`"length_mm":1,`, 4000), ",")+"}"),
		post("giant exponent", `{"length_mm":1e5000000}`),
		post("giant number", `{"length_mm":`+strings.Repeat("9", 60000)+`}`),
		post("long text", `{"material":"`+strings.Repeat("a", 60000)+`"}`),
		post("escapes", `{"material":"`+strings.Repeat(`\u0041`, 10000)+`"}`),
		post("not UTF-8", `{"material":"`+strings.Repeat("\xff", 60000)+`"}`),
		post("blanks", strings.Repeat(" ", 60000)+"{}"),
		post("too large", strings.Repeat("x", maxBodyBytes+1)),
		{"many violations of a plan", http.MethodPost, "/v1/plan-audit",
			`{"heaters":[` + strings.Repeat(`{"id":"","power_w":-1},`, 600) + `{}]}`, nil},
		{"batch of nonsense", http.MethodPost, "/v1/batch", `{"calculations":[` +
			strings.TrimSuffix(strings.Repeat(`{"operation":"heater-sizing","request":{"x":[[[[[[]]]]]]}},`, 20), ",") +
			`]}`, nil},
		{"unknown parameters", http.MethodGet, "/v1/evaporation?" + query.Encode(), "", nil},
		{"repeated parameter", http.MethodGet, "/v1/salinity-conversion?" + many, "", nil},
		{"giant exponent in a query", http.MethodGet, "/v1/salinity-conversion?scale=specific_gravity&value=1e5000000",
			"", nil},
		{"long parameter", http.MethodGet, "/v1/salinity-conversion?scale=" + strings.Repeat("a", 12000) + "&value=1",
			"", nil},
		{"long path", http.MethodGet, "/v1/" + strings.Repeat("a/", 6000), "", nil},
		{"long problem code", http.MethodGet, "/problems/" + strings.Repeat("a", 12000), "", nil},
		{"many tags", http.MethodGet, salinityAt, "", http.Header{"If-None-Match": {strings.Repeat(`"x",`, 3000)}}},
		{"many codings", http.MethodGet, salinityAt, "",
			http.Header{"Accept-Encoding": {strings.Repeat(`x;q=0.1,`, 1500)}}},
		{"many types", http.MethodPost, "/v1/plan-audit", "{}",
			http.Header{"Accept": {strings.Repeat(`a/b;q=0.1,`, 1500)}}},
		{"long key", http.MethodGet, salinityAt, "", http.Header{"X-Api-Key": {strings.Repeat("k", 12000)}}},
		{"forwarded from everywhere", http.MethodGet, salinityAt, "",
			http.Header{"X-Forwarded-For": {strings.Repeat("1.2.3.4, ", 1500)}}},
	}
}

func (a attack) send(s *Server) *httptest.ResponseRecorder {
	req := httptest.NewRequest(a.method, a.path, bytes.NewReader([]byte(a.body)))
	req.Header.Set("Content-Type", "application/json")
	for name, values := range a.fields {
		req.Header[name] = values
	}
	rec := httptest.NewRecorder()
	s.ServeHTTP(rec, req)
	return rec
}

// processorTime is what this process has used.
func processorTime(t testing.TB) time.Duration {
	t.Helper()
	var u syscall.Rusage
	require.NoError(t, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// largestRefusal bounds what a hostile request gets back: 50 violations with their places.
const largestRefusal = 16 << 10

// Each costs little and gets little. The time is a guard against the seconds and
// gigabytes that validators spent on some of these, with room for slow machines;
// BenchmarkHostile has the figures.
func TestHostileRequestsAreCheap(t *testing.T) {
	s := newTestServer(t)
	for _, a := range attacks() {
		t.Run(a.name, func(t *testing.T) {
			before := processorTime(t)
			rec := a.send(s)
			used := processorTime(t) - before
			assert.Less(t, used, 200*time.Millisecond)
			if rec.Code != http.StatusOK { // a flood of header fields may be answered
				assert.GreaterOrEqual(t, rec.Code, 400)
				assert.Less(t, rec.Code, 500)
				assert.LessOrEqual(t, rec.Body.Len(), largestRefusal, "%.500s", rec.Body)
			}
			if a.name == "batch of nonsense" {
				require.Equal(t, http.StatusOK, rec.Code)
				assert.NotContains(t, rec.Body.String(), `"status":200`)
			}
		})
	}
}

// BenchmarkHostile gives the processor time of each.
func BenchmarkHostile(b *testing.B) {
	s := newTestServer(b)
	for _, a := range attacks() {
		b.Run(strings.ReplaceAll(a.name, " ", "-"), func(b *testing.B) {
			b.ReportAllocs()
			size := 0
			for b.Loop() {
				size = a.send(s).Body.Len()
			}
			b.ReportMetric(float64(size), "answer-B")
		})
	}
}
