package transport

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"math"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/dunglas/httpsfv"
	"github.com/labstack/echo/v4"
	"github.com/prometheus/client_golang/prometheus/testutil"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/contract"
	"saltwright/internal/limit"
)

const salinityAt = "/v1/salinity-conversion?scale=specific_gravity&value=1.026"

func newServer(t testing.TB, cfg Config) *Server {
	t.Helper()
	s, err := New(cfg)
	require.NoError(t, err)
	return s
}

// stopped is a server for which no time passes: nothing of a quota grows back.
func stopped(t testing.TB, cfg Config) *Server {
	t.Helper()
	s := newServer(t, cfg)
	s.gate.limiter = limit.NewMemory(func() time.Time { return time.Unix(1_800_000_000, 0) })
	return s
}

// request sends a GET with header fields, given as name and value in turn.
func request(t testing.TB, s *Server, method, path string, fields ...string) reply {
	t.Helper()
	req := httptest.NewRequest(method, path, nil)
	for i := 0; i < len(fields); i += 2 {
		req.Header.Set(fields[i], fields[i+1])
	}
	return call(t, s, req)
}

func TestAnswersToGetAreTaggedAndNotSentTwice(t *testing.T) {
	s := newTestServer(t)
	for _, path := range []string{salinityAt, "/", "/v1/sources", "/problems/not_found", "/openapi.json",
		"/openapi.yaml", "/.well-known/api-catalog"} {
		t.Run(path, func(t *testing.T) {
			first, second := get(t, s, path), get(t, newServer(t, Config{}), path)
			tag := first.header.Get("ETag")
			require.Regexp(t, `^"[!-~]+"$`, tag, "strong: without W/")
			assert.Equal(t, tag, second.header.Get("ETag"), "the same on every replica")
			assert.Equal(t, string(first.body), string(second.body))
			assert.Equal(t, keepAnHour, first.header.Get("Cache-Control"))
			for _, field := range []string{tag, "W/" + tag, `"other", ` + tag, "*"} {
				r := request(t, s, http.MethodGet, path, "If-None-Match", field)
				assert.Equal(t, http.StatusNotModified, r.status, field)
				assert.Empty(t, r.body)
				assert.Equal(t, tag, r.header.Get("ETag"))
				assert.Equal(t, keepAnHour, r.header.Get("Cache-Control"))
			}
			assert.Equal(t, http.StatusOK, request(t, s, http.MethodGet, path, "If-None-Match", `"other"`).status)
			head := request(t, s, http.MethodHead, path)
			assert.Equal(t, tag, head.header.Get("ETag"))
			assert.Equal(t, first.header.Get("Content-Length"), head.header.Get("Content-Length"))
		})
	}
	assert.NotEqual(t, get(t, s, salinityAt).header.Get("ETag"), get(t, s, salinityAt+"&units=us").header.Get("ETag"))
}

func TestAnswersAreCompressedForThoseWhoAsk(t *testing.T) {
	s := newTestServer(t)
	plain := get(t, s, "/v1/sources")
	assert.Equal(t, "Accept-Encoding", plain.header.Get("Vary"))
	for _, accept := range []string{"gzip", "br, gzip;q=0.5", "*"} {
		rec := httptest.NewRecorder()
		req := httptest.NewRequest(http.MethodGet, "/v1/sources", nil)
		req.Header.Set("Accept-Encoding", accept)
		s.ServeHTTP(rec, req)
		require.Equal(t, "gzip", rec.Header().Get("Content-Encoding"), accept)
		assert.NotEqual(
			t,
			plain.header.Get("ETag"),
			rec.Header().Get("ETag"),
			"another representation has another strong tag",
		)
		assert.Less(t, rec.Body.Len(), len(plain.body)/2)
		unpacked, err := gzip.NewReader(rec.Body)
		require.NoError(t, err)
		body, err := io.ReadAll(unpacked)
		require.NoError(t, err)
		assert.Equal(t, string(plain.body), string(body))
	}
	for _, accept := range []string{"", "br", "gzip;q=0", "*;q=0", "gzip;q=x"} {
		r := request(t, s, http.MethodGet, "/v1/sources", "Accept-Encoding", accept)
		assert.Empty(t, r.header.Get("Content-Encoding"), accept)
	}
	assert.Empty(
		t,
		request(t, s, http.MethodGet, "/problems/not_found", "Accept-Encoding",
			"gzip").header.Get("Content-Encoding"),
		"too small to gain",
	)
}

func TestAPostNamesTheAddressOfItsAnswer(t *testing.T) {
	s := newTestServer(t)
	r := post(t, s, "/v1/salinity-conversion?units=us", `{"scale":"specific_gravity","value":1.026}`)
	at := r.header.Get("Content-Location")
	assert.Equal(t, "/v1/salinity-conversion?scale=specific_gravity&units=us&value=1.026", at)
	again := get(t, s, at)
	require.Equal(t, http.StatusOK, again.status)
	assert.Equal(t, string(r.body), string(again.body))
	assert.Equal(t, "no-store", r.header.Get("Cache-Control"), "what was posted is nobody else's")
	assert.Empty(
		t,
		post(
			t,
			s,
			"/v1/plan-check",
			`{"display":{"volume_l":250},"room":{"usual":{"temp_c":21}}}`,
		).header.Get(
			"Content-Location",
		),
	)
}

// fields reads a structured field list (RFC 9651) of named items with integer parameters.
func fields(t *testing.T, text string) map[string]map[string]int64 {
	t.Helper()
	list, err := httpsfv.UnmarshalList([]string{text})
	require.NoError(t, err, text)
	out := map[string]map[string]int64{}
	for _, member := range list {
		item := member.(httpsfv.Item)
		parameters := map[string]int64{}
		for _, name := range item.Params.Names() {
			v, _ := item.Params.Get(name)
			parameters[name] = v.(int64)
		}
		out[item.Value.(string)] = parameters
	}
	return out
}

func TestAQuotaIsAnnouncedAndKept(t *testing.T) {
	s := stopped(t, Config{Quotas: Quotas("anon", 500, 600)})
	r := get(t, s, salinityAt)
	require.Equal(t, http.StatusOK, r.status)
	assert.Equal(
		t,
		map[string]map[string]int64{"anon-minute": {"q": 500, "w": 60}, "anon-day": {"q": 600, "w": 86400}},
		fields(t, r.header.Get("RateLimit-Policy")),
	)
	assert.Equal(t, int64(499), fields(t, r.header.Get("RateLimit"))["anon-minute"]["r"])
	for range 499 {
		require.Equal(t, http.StatusOK, get(t, s, salinityAt).status)
	}
	r = get(t, s, salinityAt)
	require.Equal(t, http.StatusTooManyRequests, r.status)
	p := r.problem(t)
	assert.Equal(t, "https://iana.org/assignments/http-problem-types#quota-exceeded", p.Type)
	assert.Equal(t, []string{"anon-minute"}, p.Violated)
	wait, err := strconv.Atoi(r.header.Get("Retry-After"))
	require.NoError(t, err)
	assert.Equal(t, 1, wait, "60 s / 500, rounded up")
	assert.Equal(t, "no-store", r.header.Get("Cache-Control"))
	assert.NotEmpty(t, r.header.Get("RateLimit"))
	assert.Equal(
		t,
		http.StatusNoContent,
		request(t, s, http.MethodOptions, "/v1/salinity-conversion").status,
		"preflights are free",
	)
	assert.Equal(t, http.StatusOK, get(t, s, "/healthz").status)
	assert.Equal(t, 1.0, testutil.ToFloat64(s.metrics.denied.WithLabelValues("anon-minute")))
}

// taking is a server whose long calculations take so much of a processor, whatever they do.
func taking(t testing.TB, took time.Duration, cfg Config) *Server {
	s := stopped(t, cfg)
	s.gate.stopwatch = func() func() time.Duration { return func() time.Duration { return took } }
	return s
}

func left(t *testing.T, r reply) int64 {
	t.Helper()
	return fields(t, r.header.Get("RateLimit"))["anon-minute"]["r"]
}

func readCase(t testing.TB, name string) string {
	t.Helper()
	data, err := os.ReadFile(root(t) + "/testdata/api/" + name + ".request.json")
	require.NoError(t, err)
	return string(data)
}

func TestARequestPaysWhatItUsed(t *testing.T) {
	s := taking(t, 2*unitTime+time.Millisecond, Config{Quotas: Quotas("anon", 500, 1000)})
	r := post(t, s, "/v1/plan-audit", `{}`)
	assert.Equal(t, "1", r.header.Get("X-Request-Cost"), "refused")
	assert.Equal(t, int64(499), left(t, r))
	r = post(t, s, "/v1/plan-audit", readCase(t, "postPlanAudit/first-timer"))
	assert.Equal(t, "3", r.header.Get("X-Request-Cost"), "units begun")
	assert.Equal(t, int64(496), left(t, r))
	r = get(t, s, "/v1/heater-sizing?length_mm=900&width_mm=500&water_depth_mm=500&room_c=19&samples=1000")
	require.Equal(t, http.StatusOK, r.status, "%s", r.body)
	assert.Equal(t, "3", r.header.Get("X-Request-Cost"))
	assert.Equal(t, int64(493), left(t, r))
	assert.Equal(t, "1", get(t, s, salinityAt).header.Get("X-Request-Cost"))

	s = taking(t, time.Hour, Config{Quotas: Quotas("anon", 500, 1000)})
	r = post(t, s, "/v1/plan-audit", readCase(t, "postPlanAudit/first-timer"))
	most, err := s.contract.Operation("postPlanAudit").Read([]byte(readCase(t, "postPlanAudit/first-timer")), "")
	require.NoError(t, err)
	assert.Equal(t, strconv.Itoa(most.Cost()), r.header.Get("X-Request-Cost"), "never more than was said before")
	r = post(t, s, "/v1/plan-audit", readCase(t, "postPlanAudit/impossible-together-problem"))
	assert.Equal(t, http.StatusUnprocessableEntity, r.status)
	assert.Greater(t, left(t, r), int64(0))
}

// The stopwatch of the true server reads a thread's time, whatever else the process does.
func TestTheStopwatchReadsWhatOneCalculationTook(t *testing.T) {
	stop := make(chan struct{})
	defer close(stop)
	go func() {
		for {
			select {
			case <-stop:
				return
			default:
				_ = threadTime() // of its own thread
			}
		}
	}()
	used := stopwatch()
	time.Sleep(50 * time.Millisecond)
	assert.Less(t, used(), 20*time.Millisecond, "it slept, and another worked")
	used = stopwatch()
	sum := 0.0
	for start := threadTime(); threadTime()-start < 30*time.Millisecond; {
		sum += math.Sqrt(sum + 1)
	}
	assert.GreaterOrEqual(t, used(), 30*time.Millisecond)
}

func TestManyViolationsArePriced(t *testing.T) {
	s := stopped(t, Config{Quotas: Quotas("anon", 500, 1000)})
	var query strings.Builder
	for i := range violationsAUnit {
		fmt.Fprintf(&query, "&x%d=1", i)
	}
	r := get(t, s, salinityAt+query.String())
	require.Equal(t, http.StatusUnprocessableEntity, r.status)
	assert.Equal(t, "2", r.header.Get("X-Request-Cost"))
	assert.Equal(t, int64(498), left(t, r))
	query.Reset()
	r = get(t, s, salinityAt+"&x=1")
	assert.Equal(t, "1", r.header.Get("X-Request-Cost"))
}

func TestNobodyIsOfferedWhatNobodyCanPay(t *testing.T) {
	_, poor := New(Config{Quotas: Quotas("anon", 100, 100)})
	assert.ErrorContains(t, poor, "costliest operation")
	s := stopped(t, Config{Quotas: Quotas("anon", 500, 1000)})
	risk := readCase(t, "postPlanRisk/example")
	item := `{"operation":"plan-risk","request":` + risk + `}`
	require.Greater(t, 5*s.contract.Operation("postPlanRisk").Price.Least, 500)
	r := post(t, s, "/v1/batch", `{"calculations":[`+item+","+item+","+item+","+item+","+item+`]}`)
	require.Equal(t, http.StatusTooManyRequests, r.status)
	assert.Contains(t, r.problem(t).Detail, "never holds more than 500")
	assert.Empty(t, r.header.Get("Retry-After"), "waiting would not help")
	assert.Equal(t, "1", r.header.Get("X-Request-Cost"), "nothing was calculated or charged but the look")
}

func hashOf(key string) string {
	sum := sha256.Sum256([]byte(key))
	return hex.EncodeToString(sum[:])
}

func TestKeysHaveQuotasAndOriginsOfTheirOwn(t *testing.T) {
	keys, err := ReadKeys(
		[]byte(
			fmt.Sprintf(`[{"id":"shop","sha256":%q,"origins":["https://shop.example"],"per_minute":900,"per_day":9000},
		{"id":"bot","sha256":%q,"per_minute":800,"per_day":8000}]`, hashOf("shop-secret"), hashOf("bot-secret")),
		),
	)
	require.NoError(t, err)
	var log bytes.Buffer
	s := newServer(
		t,
		Config{Quotas: Quotas("anon", 500, 1000), Keys: keys, Logger: slog.New(slog.NewJSONHandler(&log, nil))},
	)
	quota := func(r reply) int64 { return fields(t, r.header.Get("RateLimit-Policy"))["key-minute"]["q"] }
	r := request(t, s, http.MethodGet, salinityAt, "X-API-Key", "bot-secret")
	assert.Equal(t, http.StatusOK, r.status)
	assert.Equal(t, int64(800), quota(r))
	r = request(t, s, http.MethodGet, salinityAt, "X-API-Key", "shop-secret", "Origin", "https://shop.example")
	assert.Equal(t, http.StatusOK, r.status)
	assert.Equal(t, int64(900), quota(r))
	for name, c := range map[string]struct {
		fields []string
		status int
		code   string
	}{
		"unknown key":   {[]string{"X-API-Key", "guess"}, 401, "unknown_key"},
		"hash as a key": {[]string{"X-API-Key", hashOf("bot-secret")}, 401, "unknown_key"},
		"another origin": {[]string{"X-API-Key", "shop-secret", "Origin", "https://other.example"}, 403,
			"origin_not_allowed"},
		"no origin": {[]string{"X-API-Key", "shop-secret"}, 403, "origin_not_allowed"},
	} {
		r := request(t, s, http.MethodGet, salinityAt, c.fields...)
		assert.Equal(t, c.status, r.status, name)
		assert.Equal(t, c.code, r.problem(t).Code, name)
	}
	assert.NotContains(t, log.String(), "secret")
	assert.Contains(t, log.String(), `"client":"keyed"`)
	r = request(t, newTestServer(t), http.MethodGet, salinityAt, "X-API-Key", "bot-secret")
	assert.Equal(t, 401, r.status, "without a keys file every key is unknown, and not silently anonymous")
}

func TestAKeysFileIsReadStrictly(t *testing.T) {
	good := fmt.Sprintf(`{"id":"shop","sha256":%q,"per_minute":900,"per_day":9000}`, hashOf("a"))
	_, err := ReadKeys([]byte("[" + good + "]"))
	require.NoError(t, err)
	for name, text := range map[string]string{
		"no list":        good,
		"twice one id":   "[" + good + "," + good + "]",
		"a key, no hash": `[{"id":"shop","sha256":"secret","per_minute":900,"per_day":9000}]`,
		"unknown member": strings.Replace("["+good+"]", "per_day", "per_week", 1),
		"no quota":       fmt.Sprintf(`[{"id":"shop","sha256":%q}]`, hashOf("a")),
		"day below":      fmt.Sprintf(`[{"id":"shop","sha256":%q,"per_minute":9,"per_day":8}]`, hashOf("a")),
		"path in origin": fmt.Sprintf(`[{"id":"shop","sha256":%q,"per_minute":9,"per_day":80,`+
			`"origins":["https://a.example/"]}]`, hashOf("a")),
		"bad id":          fmt.Sprintf(`[{"id":"Shop One","sha256":%q,"per_minute":9,"per_day":80}]`, hashOf("a")),
		"something after": "[" + good + "] []",
	} {
		_, err := ReadKeys([]byte(text))
		assert.Error(t, err, name)
	}
}

func TestTheExampleOfAKeysFileIsRead(t *testing.T) {
	data, err := os.ReadFile(root(t) + "/deploy/kubernetes/components/keys/keys.example.json")
	require.NoError(t, err)
	_, err = ReadKeys(data)
	assert.NoError(t, err)
}

// The client's address cannot be chosen by the client.
func TestForwardedAddressesAreBelievedFromTrustedProxiesOnly(t *testing.T) {
	_, proxy, err := net.ParseCIDR("10.1.0.0/16")
	require.NoError(t, err)
	who := func(cfg Config, peer string, forwarded ...string) string {
		s := newServer(t, cfg)
		req := httptest.NewRequest(http.MethodGet, "/", nil)
		req.RemoteAddr = net.JoinHostPort(peer, "1234")
		for _, f := range forwarded {
			req.Header.Add("X-Forwarded-For", f)
		}
		req.Header.Set("X-Real-IP", "203.0.113.99")
		return s.echo.NewContext(req, httptest.NewRecorder()).RealIP()
	}
	trusting := Config{TrustedProxies: []*net.IPNet{proxy}}
	assert.Equal(t, "198.51.100.7", who(Config{}, "198.51.100.7", "203.0.113.1"), "nobody is trusted by default")
	assert.Equal(t, "127.0.0.1", who(Config{}, "127.0.0.1", "203.0.113.1"), "not even this host")
	assert.Equal(t, "203.0.113.1", who(trusting, "10.1.2.3", "203.0.113.1"))
	assert.Equal(t, "203.0.113.1", who(trusting, "10.1.2.3", "192.0.2.66, 203.0.113.1"),
		"what the client wrote itself stands before")
	assert.Equal(t, "198.51.100.7", who(trusting, "198.51.100.7", "203.0.113.1"), "a stranger is no proxy")
	assert.Equal(t, "10.2.0.1", who(trusting, "10.2.0.1", "203.0.113.1"), "private is not trusted by itself")
}

func TestABatchAnswersEachItemByItself(t *testing.T) {
	s := newTestServer(t)
	r := post(t, s, "/v1/batch", `{"calculations":[
		{"operation":"salinity-conversion","request":{"scale":"specific_gravity","value":1.026},"units":"us"},
		{"operation":"salinity-conversion","request":{"scale":"specific_gravity","value":"much"}},
		{"operation":"evaporation","request":{"length_mm":900,"width_mm":500,"room_c":21},"samples":10,"seed":3},
		{"operation":"salinity-conversion","request":{"scale":"specific_gravity","value":1.026},"samples":10},
		{"operation":"daylight","request":17}]}`)
	require.Equal(t, http.StatusOK, r.status, "%s", r.body)
	var out batchResponse
	require.NoError(t, json.Unmarshal(r.body, &out))
	require.Len(t, out.Answers, 5)
	alone := post(t, s, "/v1/salinity-conversion?units=us", `{"scale":"specific_gravity","value":1.026}`)
	assert.JSONEq(t, string(alone.body), string(out.Answers[0].Body))
	alone = post(t, s, "/v1/evaporation?samples=10&seed=3", `{"length_mm":900,"width_mm":500,"room_c":21}`)
	assert.JSONEq(t, string(alone.body), string(out.Answers[2].Body))
	for i, want := range map[int]string{1: "#/value", 4: "#"} {
		assert.Equal(t, 422, out.Answers[i].Status)
		var p problem
		require.NoError(t, json.Unmarshal(out.Answers[i].Body, &p))
		require.NotEmpty(t, p.Errors)
		assert.Equal(t, want, p.Errors[0].Pointer, "relative to its own request")
	}
	assert.Equal(t, 422, out.Answers[3].Status, "it takes no samples")
	assert.Equal(t, 5, out.Cost)

	for name, body := range map[string]string{
		"empty": `{"calculations":[]}`,
		"too many": `{"calculations":[` + strings.Repeat(`{"operation":"daylight","request":{}},`, 20) +
			`{"operation":"daylight","request":{}}]}`,
		"batch inside":  `{"calculations":[{"operation":"batch","request":{}}]}`,
		"no request":    `{"calculations":[{"operation":"daylight"}]}`,
		"not an object": `[]`,
	} {
		assert.Equal(t, 422, post(t, s, "/v1/batch", body).status, name)
	}
}

func TestABatchIsChargedForAllItDoes(t *testing.T) {
	s := taking(t, 2*unitTime, Config{Quotas: Quotas("anon", 500, 1000)})
	body := `{"calculations":[` + strings.Repeat(
		`{"operation":"daylight","request":{}},`,
		19,
	) + `{"operation":"daylight","request":{}}]}`
	r := post(t, s, "/v1/batch", body)
	require.Equal(t, http.StatusOK, r.status)
	assert.Equal(t, int64(480), left(t, r))
	r = post(t, s, "/v1/batch", `{"calculations":[{"operation":"daylight","request":{}},
		{"operation":"plan-audit","request":`+readCase(t, "postPlanAudit/first-timer")+`}]}`)
	require.Equal(t, http.StatusOK, r.status)
	var out batchResponse
	require.NoError(t, json.Unmarshal(r.body, &out))
	assert.Equal(t, 3, out.Cost, "one for daylight, two that the audit used")
	assert.Equal(t, "3", r.header.Get("X-Request-Cost"))
	assert.Equal(t, int64(477), left(t, r))
}

func TestARequestThatTakesTooLongIsEnded(t *testing.T) {
	s := newServer(t, Config{Budget: 20 * time.Millisecond})
	plan, err := os.ReadFile(root(t) + "/testdata/api/postPlanRisk/example.request.json")
	require.NoError(t, err)
	start := time.Now()
	r := post(t, s, "/v1/plan-risk", string(plan))
	assert.Less(t, time.Since(start), 2*time.Second, "it stops when its time is over")
	require.Equal(t, http.StatusServiceUnavailable, r.status)
	assert.Equal(t, "out_of_time", r.problem(t).Code)
	r = post(t, s, "/v1/batch", `{"calculations":[{"operation":"plan-risk","request":`+string(plan)+`}]}`)
	assert.Equal(t, "out_of_time", r.problem(t).Code, "a batch has the time of one request")
}

type lostStore struct{}

func (lostStore) Take(context.Context, string, int, []limit.Policy) (limit.Decision, error) {
	return limit.Decision{}, errors.New("connection refused")
}

func (lostStore) Give(context.Context, string, int, limit.Decision) (limit.Decision, error) {
	return limit.Decision{}, errors.New("connection refused")
}

func TestALostLimitStoreIsNoticedAndReplaced(t *testing.T) {
	s := newServer(t, Config{Quotas: Quotas("anon", 500, 1000), LimitStore: lostStore{}})
	assert.Equal(t, int64(499), fields(t, get(t, s, salinityAt).header.Get("RateLimit"))["anon-minute"]["r"])
	left := fields(t, get(t, s, salinityAt).header.Get("RateLimit"))["anon-day"]["r"]
	assert.Less(t, left, int64(999), "both are counted here")
	assert.Equal(t, 2.0, testutil.ToFloat64(s.metrics.storeErr))
	degraded := func() string {
		rec := httptest.NewRecorder()
		s.Admin().ServeHTTP(rec, httptest.NewRequest(http.MethodGet, "/metrics", nil))
		return regexp.MustCompile(`(?m)^saltwright_limit_store_degraded (\d)$`).FindStringSubmatch(rec.Body.String())[1]
	}
	assert.Equal(t, "0", degraded())
	get(t, s, salinityAt)
	assert.Equal(t, "1", degraded(), "three failures in a row")
	assert.Equal(t, 3.0, testutil.ToFloat64(s.metrics.storeErr))
	get(t, s, salinityAt)
	assert.Equal(t, 3.0, testutil.ToFloat64(s.metrics.storeErr), "and it is left alone")
}

func TestReadinessTriesTheCalculations(t *testing.T) {
	s := newServer(t, Config{})
	admin := func(path string) (int, string) {
		rec := httptest.NewRecorder()
		s.Admin().ServeHTTP(rec, httptest.NewRequest(http.MethodGet, path, nil))
		return rec.Code, rec.Body.String()
	}
	status, text := admin("/readyz")
	assert.Equal(t, 200, status, text)
	assert.Equal(t, http.StatusOK, get(t, s, "/readyz").status)

	broken, err := build(Config{}, func(table map[string]handler) {
		right := table["postEvaporation"]
		// one that calculates a little wrong
		table["postEvaporation"] = func(c echo.Context, o *contract.Operation) error {
			ours, rec := c.Response(), &recorder{header: http.Header{}}
			c.SetResponse(echo.NewResponse(rec, c.Echo()))
			if err := right(c, o); err != nil {
				return err
			}
			c.SetResponse(ours)
			body := bytes.Replace(rec.body.Bytes(), []byte(`"latent_w":5`), []byte(`"latent_w":9`), 1)
			return c.Blob(rec.status, "application/json", body)
		}
	})
	require.NoError(t, err)
	assert.ErrorContains(
		t,
		broken.Ready(context.Background()),
		"postEvaporation does not answer",
		"a process that does not answer as promised is not ready",
	)

	s.Drain()
	status, text = admin("/readyz")
	assert.Equal(t, 503, status)
	assert.Contains(t, text, "draining")
	status, _ = admin("/healthz")
	assert.Equal(t, 200, status, "it lives on")
	assert.Equal(t, http.StatusOK, get(t, s, salinityAt).status, "and serves")
}

func TestExamplesAreComparedNumberByNumber(t *testing.T) {
	v := func(text string) any {
		x, err := decodeJSON([]byte(text))
		require.NoError(t, err)
		return x
	}
	assert.True(t, alike(v(`{"a":[1,true,"x",null]}`), v(`{"a":[1.0000000001,true,"x",null]}`)))
	for _, other := range []string{`{"a":[1.00001,true,"x",null]}`, `{"a":[1,false,"x",null]}`,
		`{"a":[1,true,"y",null]}`, `{"a":[1,true,"x"]}`, `{"b":1}`, `{}`, `[]`, `{"a":["1",true,"x",null]}`} {
		assert.False(t, alike(v(`{"a":[1,true,"x",null]}`), v(other)), other)
	}
}

func TestMetricsHaveLabelsOfOursOnly(t *testing.T) {
	s := newServer(t, Config{})
	get(t, s, salinityAt)
	get(t, s, "/no/such/"+strings.Repeat("x", 100))
	get(t, s, "/v1/salinity-conversion?scale=none&value=1")
	request(t, s, "PROPFIND", "/v1/sources")
	rec := httptest.NewRecorder()
	s.Admin().ServeHTTP(rec, httptest.NewRequest(http.MethodGet, "/metrics", nil))
	body := rec.Body.String()
	for _, line := range []string{
		`http_requests_total{code="200",method="GET",route="/v1/salinity-conversion"} 1`,
		`http_requests_total{code="422",method="GET",route="/v1/salinity-conversion"} 1`,
		`http_requests_total{code="404",method="GET",route="none"} 1`,
		`saltwright_answers_total{client="anonymous",operation="getSalinityConversion",outcome="answered"} 1`,
		`saltwright_answers_total{client="anonymous",operation="getSalinityConversion",outcome="refused"} 1`,
		`saltwright_problems_total{code="not_found"} 1`,
		`http_request_duration_seconds_count{method="GET",route="/v1/salinity-conversion"} 2`,
	} {
		assert.Contains(t, body, line+"\n")
	}
	assert.NotContains(t, body, "xxxx")
	assert.NotContains(t, body, "PROPFIND")
}

func TestAPanicIsCounted(t *testing.T) {
	s, err := build(Config{}, func(table map[string]handler) {
		table["getIndex"] = func(echo.Context, *contract.Operation) error { panic("a mistake of ours") }
	})
	require.NoError(t, err)
	r := get(t, s, "/")
	assert.Equal(t, 500, r.status)
	assert.NotContains(t, string(r.body), "mistake")
	assert.Equal(t, 1.0, testutil.ToFloat64(s.metrics.panics))
}

func TestSecurityTextIsUpToDate(t *testing.T) {
	s := newServer(t, Config{PublicURL: "https://saltwright.example"})
	r := get(t, s, "/.well-known/security.txt")
	require.Equal(t, http.StatusOK, r.status)
	assert.Contains(t, string(r.body), "\nExpires: "+securityExpires+"\n")
	assert.Contains(t, string(r.body), "Canonical: https://saltwright.example/.well-known/security.txt\n")
	expires, err := time.Parse(time.RFC3339, securityExpires)
	require.NoError(t, err)
	assert.Greater(
		t,
		time.Until(expires),
		30*24*time.Hour,
		"renew securityExpires in wellknown.go: it ends within 30 days",
	)
	assert.Less(t, time.Until(expires), 366*24*time.Hour, "RFC 9116, 2.5.5: less than a year")
}

func TestTheCatalogListsTheContract(t *testing.T) {
	r := get(t, newServer(t, Config{PublicURL: "https://saltwright.example/api"}), "/.well-known/api-catalog")
	assert.Contains(t, r.header.Get("Content-Type"), "application/linkset+json")
	var set struct {
		Linkset []struct {
			Anchor string
			Desc   []struct{ Href string } `json:"service-desc"`
		}
	}
	require.NoError(t, json.Unmarshal(r.body, &set))
	require.Len(t, set.Linkset, 1)
	u, err := url.Parse(set.Linkset[0].Desc[0].Href)
	require.NoError(t, err)
	assert.Equal(t, "/api/openapi.json", u.Path)
}

func TestBrowsersGetPagesAndProgramsGetJSON(t *testing.T) {
	s := newTestServer(t)
	const browser = "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"
	for _, path := range []string{"/", "/problems/quota_exceeded"} {
		page := request(t, s, http.MethodHead, path, "Accept", browser)
		assert.Contains(t, page.header.Get("Content-Type"), "text/html", path)
		assert.Contains(t, page.header.Get("Content-Security-Policy"), "script-src 'self'", path)
		data := get(t, s, path)
		assert.Equal(t, "application/json", data.header.Get("Content-Type"), path)
		for _, r := range []reply{page, data} {
			assert.Contains(t, strings.Split(r.header.Get("Vary"), ", "), "Accept", path)
		}
	}
	assert.Equal(t, http.StatusOK, get(t, s, "/docs/").status)
	assert.Equal(t, "/docs/", get(t, s, "/docs").header.Get("Location"))
	rec := httptest.NewRecorder()
	s.ServeHTTP(rec, httptest.NewRequest(http.MethodGet, "/docs/nothing/", nil))
	assert.Equal(t, http.StatusNotFound, rec.Code)
}

// The contract names the host that serves it, and its licence and contact open.
func TestTheContractNamesItsServer(t *testing.T) {
	here, public := newTestServer(t), newServer(t, Config{PublicURL: "https://salt.example/tanks/"})
	var doc struct {
		Info struct {
			License struct{ URL string } `json:"license"`
			Contact struct{ URL string } `json:"contact"`
		} `json:"info"`
		Servers []struct{ URL string } `json:"servers"`
	}
	for want, s := range map[string]*Server{"/": here, "https://salt.example/tanks/": public} {
		require.NoError(t, json.Unmarshal(get(t, s, "/openapi.json").body, &doc))
		require.Len(t, doc.Servers, 1)
		assert.Equal(t, want, doc.Servers[0].URL)
		assert.Contains(t, string(get(t, s, "/openapi.yaml").body), "\n  - url: "+want+"\n")
	}
	text, err := os.ReadFile(root(t) + "/LICENSE")
	require.NoError(t, err)
	assert.Equal(t, string(text), string(get(t, here, doc.Info.License.URL).body))
	assert.Equal(t, http.StatusOK, get(t, here, doc.Info.Contact.URL).status)
}
