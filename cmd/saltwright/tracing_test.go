package main

import (
	"context"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// sentTraces serves one request of a caller who names a trace of its own, and returns what the collector of traces
// was sent, and the log.
func sentTraces(t *testing.T, args ...string) (sent, log string) {
	t.Helper()
	got := make(chan string, 10)
	collector := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		body, err := io.ReadAll(r.Body)
		if err == nil {
			got <- r.URL.Path + " " + string(body)
		}
		w.Header().Set("Content-Type", "application/x-protobuf")
	}))
	defer collector.Close()
	t.Setenv("OTEL_EXPORTER_OTLP_ENDPOINT", collector.URL)
	t.Setenv("OTEL_SERVICE_NAME", "saltwright-under-test")
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	var out output
	done := make(chan error, 1)
	go func() { done <- run(ctx, append(args, "--addr", "127.0.0.1:0"), os.Getenv, &out) }()
	address := regexp.MustCompile(`http://127\.0\.0\.1:\d+`)
	listens := regexp.MustCompile(`"as":"service"`)
	require.Eventually(t, func() bool { return listens.MatchString(out.String()) }, 30*time.Second, 10*time.Millisecond)
	_, line, _ := strings.Cut(out.String(), `"as":"service"`)
	req, err := http.NewRequest(http.MethodGet, address.FindString(line)+"/v1/sources?secret=question", nil)
	require.NoError(t, err)
	req.Header.Set("User-Agent", "a-callers-program")
	req.Header.Set("Traceparent", "00-"+strangersTrace+"-00f067aa0ba902b7-01")
	res, err := http.DefaultClient.Do(req)
	require.NoError(t, err)
	require.NoError(t, res.Body.Close())
	stop()
	require.NoError(t, <-done)
	select {
	case sent = <-got: // what is pending is sent at the end
	case <-time.After(5 * time.Second):
		t.Fatal("no trace was sent")
	}
	assert.True(t, strings.HasPrefix(sent, "/v1/traces "))
	for _, of := range []string{
		"saltwright-under-test", "GET /v1/sources", "http.route", "http.request.method", "http.response.status_code",
	} {
		assert.Contains(t, sent, of)
	}
	assert.NotContains(t, sent, "question", "what is asked is in no trace")
	assert.Regexp(t, `"trace_id":"[0-9a-f]{32}"`, out.String(), "the log names it")
	return sent, out.String()
}

const strangersTrace = "4bf92f3577b34da6a3ce929d0e0e4736"

// aboutCallers are the bytes of a caller's address, its program and its trace in what is sent.
var aboutCallers = []string{"127.0.0.1", "a-callers-program",
	"\x4b\xf9\x2f\x35\x77\xb3\x4d\xa6\xa3\xce\x92\x9d\x0e\x0e\x47\x36"}

func TestTracesSayNothingOfTheCaller(t *testing.T) {
	sent, log := sentTraces(t)
	for _, part := range aboutCallers {
		assert.NotContains(t, sent, part)
	}
	assert.NotContains(t, log, strangersTrace)
}

func TestTracesNameTheCallerWhereTheOperatorSaysSo(t *testing.T) {
	sent, log := sentTraces(t, "--trace-callers")
	for _, part := range aboutCallers {
		assert.Contains(t, sent, part)
	}
	assert.Contains(t, log, strangersTrace)
	assert.Contains(t, log, "trace-callers is set", "and is told what that means")
}
