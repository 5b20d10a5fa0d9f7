package transport

import (
	"bytes"
	"context"
	"encoding/json"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/prometheus/client_golang/prometheus/testutil"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// logged are the lines of a log, the fields of each by name.
func logged(t *testing.T, log *bytes.Buffer) (lines []map[string]any) {
	t.Helper()
	for line := range strings.Lines(log.String()) {
		var fields map[string]any
		require.NoError(t, json.Unmarshal([]byte(line), &fields))
		lines = append(lines, fields)
	}
	return lines
}

// A caller that goes away is no fault of ours: no error in the log, no 500 in the metrics.
func TestACallerThatGoesAwayIsNoFailure(t *testing.T) {
	var log bytes.Buffer
	s := newServer(t, Config{Quotas: Quotas("anon", 500, 1000), Logger: slog.New(slog.NewJSONHandler(&log, nil))})
	plan, err := os.ReadFile(root(t) + "/testdata/api/postPlanRisk/example.request.json")
	require.NoError(t, err)
	for name, body := range map[string]string{
		"/v1/plan-risk": string(plan),
		"/v1/batch":     `{"calculations":[{"operation":"plan-risk","request":` + string(plan) + `}]}`,
	} {
		t.Run(name, func(t *testing.T) {
			log.Reset()
			ctx, leave := context.WithCancel(context.Background())
			time.AfterFunc(20*time.Millisecond, leave)
			req := httptest.NewRequest(http.MethodPost, name, strings.NewReader(body)).WithContext(ctx)
			req.Header.Set("Content-Type", "application/json")
			rec := httptest.NewRecorder()
			s.ServeHTTP(rec, req)
			assert.Equal(t, statusAbandoned, rec.Code)
			assert.Empty(t, rec.Body)
			lines := logged(t, &log)
			require.Len(t, lines, 1)
			assert.Equal(t, "INFO", lines[0]["level"])
			assert.Equal(t, 499.0, lines[0]["status"])
			assert.Equal(t, "", lines[0]["problem"])
			assert.InDelta(t, 0.02, lines[0]["took_s"], 1, "seconds")
			requests := s.metrics.requests
			assert.Equal(t, 1.0, testutil.ToFloat64(requests.WithLabelValues(name, "POST", "499")))
			assert.Equal(t, 0.0, testutil.ToFloat64(requests.WithLabelValues(name, "POST", "500")))
		})
	}
	assert.Equal(t, 1.0, testutil.ToFloat64(s.metrics.answers.WithLabelValues("postPlanRisk", "anonymous",
		"abandoned")))
	working, waiting := s.gate.places.occupied()
	assert.Equal(t, [2]int{0, 0}, [2]int{working, waiting}, "its place is given back")
}

// Who is refused can be told from others, without an address; who is served cannot.
func TestTheLogNamesWhoIsRefusedByAPseudonym(t *testing.T) {
	var log bytes.Buffer
	s := stopped(t, Config{Quotas: Quotas("anon", 500, 500), Logger: slog.New(slog.NewJSONHandler(&log, nil))})
	for range 502 {
		from(t, s, "198.51.100.7", salinityAt)
	}
	from(t, s, "198.51.100.8", salinityAt)
	lines := logged(t, &log)
	require.Len(t, lines, 503)
	assert.Equal(t, "", lines[499]["who"])
	assert.Regexp(t, "^address:[A-Za-z0-9_-]{22}$", lines[500]["who"])
	assert.Equal(t, lines[500]["who"], lines[501]["who"])
	assert.Equal(t, "", lines[502]["who"])
	assert.NotContains(t, log.String(), "198.51")
}
