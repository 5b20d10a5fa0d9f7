package deploy

import (
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const question = "/v1/salinity-conversion?scale=specific_gravity&value=1.026"

func send(t *testing.T, method, url string, body string, fields ...string) (*http.Response, string) {
	t.Helper()
	req, err := http.NewRequest(method, url, strings.NewReader(body))
	require.NoError(t, err)
	if body != "" {
		req.Header.Set("Content-Type", "application/json")
	}
	for i := 0; i < len(fields); i += 2 {
		req.Header.Set(fields[i], fields[i+1])
	}
	res, err := http.DefaultClient.Do(req)
	require.NoError(t, err)
	defer res.Body.Close()
	text, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	return res, string(text)
}

func TestNginxCarriesTheLoadOfWhatWasAskedBefore(t *testing.T) {
	s := startService(t, "--trusted-proxies", "127.0.0.0/8")
	at := startNginx(t, s.addr)
	asked := func() float64 { return s.metric(t, "http_requests_total", `route="/v1/salinity-conversion"`) }

	first, body := send(t, "GET", at+question, "")
	require.Equal(t, 200, first.StatusCode)
	assert.Equal(t, "MISS", first.Header.Get("X-Cache-Status"))
	assert.Contains(t, first.Header.Get("RateLimit"), "anon-minute")
	for range 50 {
		again, same := send(t, "GET", at+question, "")
		require.Equal(t, "HIT", again.Header.Get("X-Cache-Status"))
		require.Equal(t, body, same)
		require.Equal(t, first.Header.Get("ETag"), again.Header.Get("ETag"))
		require.Empty(t, again.Header.Get("RateLimit"), "one client's quota is not another's")
		require.NotEqual(t, first.Header.Get("X-Request-Id"), again.Header.Get("X-Request-Id"), "nor its request")
	}
	assert.Equal(t, 1.0, asked(), "fifty answers did not reach the service")

	unchanged, empty := send(t, "GET", at+question, "", "If-None-Match", first.Header.Get("ETag"))
	assert.Equal(t, 304, unchanged.StatusCode)
	assert.Empty(t, empty)
	assert.Equal(t, 1.0, asked())

	for i := range 3 {
		post, _ := send(t, "POST", at+"/v1/salinity-conversion", `{"scale":"specific_gravity","value":1.026}`)
		require.Equal(t, 200, post.StatusCode)
		problem, _ := send(t, "GET", at+"/v1/salinity-conversion?scale=none", "")
		require.Equal(t, 422, problem.StatusCode)
		assert.NotEqual(t, "HIT", problem.Header.Get("X-Cache-Status"))
		assert.Equal(t, 1+2*float64(i+1), asked(), "neither a POST nor a problem is kept")
	}
	keyed, _ := send(t, "GET", at+question, "", "X-API-Key", "guess")
	assert.Equal(t, 401, keyed.StatusCode, "a key is looked at, whatever the cache holds")
	large, _ := send(t, "POST", at+"/v1/salinity-conversion", strings.Repeat(" ", 65<<10))
	assert.Equal(t, 413, large.StatusCode)

	s.stop(t)
	kept, same := send(t, "GET", at+question, "")
	assert.Equal(t, 200, kept.StatusCode, "what is kept outlives the service")
	assert.Equal(t, body, same)
	gone, _ := send(t, "GET", at+"/v1/sources", "")
	assert.Equal(t, 502, gone.StatusCode, "what was never asked does not")
}

// An answer past its time is still given while the service is down, and while a fresh one is fetched.
func TestNginxServesStaleAnswersMeanwhile(t *testing.T) {
	var version atomic.Int64
	var down atomic.Bool
	origin := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		if down.Load() {
			w.WriteHeader(http.StatusServiceUnavailable)
			return
		}
		w.Header().Set("Cache-Control", "public, max-age=1, stale-while-revalidate=86400") // the service's own has an hour
		_, _ = io.WriteString(w, strconv.FormatInt(version.Add(1), 10))
	}))
	defer origin.Close()
	at := startNginx(t, strings.TrimPrefix(origin.URL, "http://"))
	ask := func() (string, string) {
		res, body := send(t, "GET", at+"/a", "")
		require.Equal(t, http.StatusOK, res.StatusCode)
		return res.Header.Get("X-Cache-Status"), body
	}
	status, body := ask()
	assert.Equal(t, []string{"MISS", "1"}, []string{status, body})
	time.Sleep(2 * time.Second)
	status, body = ask()
	assert.Contains(t, []string{"STALE", "UPDATING"}, status)
	assert.Equal(t, "1", body, "nobody waits for the new one")
	require.Eventually(t, func() bool { _, body := ask(); return body == "2" }, 3*time.Second, 50*time.Millisecond, "which is fetched behind the scenes")
	down.Store(true)
	time.Sleep(2 * time.Second)
	for range 5 {
		status, body = ask()
		assert.Contains(t, []string{"STALE", "UPDATING"}, status)
		assert.Equal(t, "2", body, "an old answer is better than none")
	}
}

// Two processes behind haproxy, which tries nothing twice, are restarted one
// after the other under load, and no request is lost.
func TestARollingRestartLosesNoRequest(t *testing.T) {
	haproxy := program(t, "haproxy")
	ports := []string{freePort(t), freePort(t)}
	begin := func(i int) *service {
		return startService(t, "--addr", ports[i], "--per-minute", "0", "--drain-delay", "1500ms")
	}
	replicas := []*service{begin(0), begin(1)}
	listen := freePort(t)
	config := fill(t, "haproxy/haproxy.cfg.template", map[string]string{
		"SALTWRIGHT_LISTEN": listen, "SALTWRIGHT_1": ports[0], "SALTWRIGHT_2": ports[1], "SALTWRIGHT_ERRORS": ownErrors(t),
	})
	run(t, listen, haproxy, "-f", config)
	plan, err := os.ReadFile("../testdata/api/postPlanAudit/first-timer.request.json")
	require.NoError(t, err)

	// A connection a request: on a kept one that breaks, Go would ask again by itself and hide the loss.
	once := &http.Client{Transport: &http.Transport{DisableKeepAlives: true}}
	var sent, lost atomic.Int64
	var why sync.Map
	stop := make(chan struct{})
	var workers sync.WaitGroup
	for w := range 4 {
		workers.Go(func() {
			for i := 0; ; i++ {
				select {
				case <-stop:
					return
				default:
				}
				method, path, body := "GET", question, ""
				if w == 0 && i%20 == 0 { // something that takes its time, too
					method, path, body = "POST", "/v1/plan-audit", string(plan)
				}
				req, err := http.NewRequest(method, "http://"+listen+path, strings.NewReader(body))
				if err != nil {
					why.Store(err.Error(), true)
					lost.Add(1)
					return
				}
				req.Header.Set("Content-Type", "application/json")
				sent.Add(1)
				res, err := once.Do(req)
				if err == nil {
					_, err = io.Copy(io.Discard, res.Body)
					if res.StatusCode != 200 {
						why.Store(res.Status, true)
						lost.Add(1)
					}
					_ = res.Body.Close() // it is read
				}
				if err != nil {
					why.Store(err.Error(), true)
					lost.Add(1)
				}
				time.Sleep(2 * time.Millisecond)
			}
		})
	}
	start := time.Now()
	time.Sleep(time.Second)
	for i := range replicas {
		replicas[i].stop(t)
		replicas[i] = begin(i)
		time.Sleep(time.Second) // until haproxy has seen that it is back
	}
	close(stop)
	workers.Wait()
	t.Logf("%d requests in %v over two restarts, %d lost", sent.Load(), time.Since(start).Round(time.Millisecond), lost.Load())
	why.Range(func(k, _ any) bool { t.Log(k); return true })
	assert.Zero(t, lost.Load())
	assert.Greater(t, sent.Load(), int64(500))
	for _, s := range replicas {
		assert.Positive(t, s.metric(t, "http_requests_total", `code="200"`), "both serve again")
	}
}

// A store that answers late is left alone, so the load must be small beside what a busy machine can do.
const sharedPerMinute = 500

// warm asks both replicas from another address until each has counted in the store for a while.
func warm(t *testing.T, replicas []*service) {
	t.Helper()
	client := &http.Client{Transport: &http.Transport{DialContext: from(neighbour).DialContext}}
	for _, s := range replicas {
		failures := func() float64 { return s.metric(t, "saltwright_limit_store_failures_total", "") }
		require.Eventually(t, func() bool {
			before := failures()
			for range 10 {
				res, err := client.Get("http://" + s.addr + question)
				if err != nil {
					return false
				}
				_ = res.Body.Close()
			}
			return failures() == before && s.metric(t, "saltwright_limit_store_degraded", "") == 0
		}, 30*time.Second, 50*time.Millisecond, "the store answers in time")
	}
}

// sharedLimitHolds asks two replicas more than their shared quota and holds what was admitted against it. It is false
// when a replica lost the store meanwhile and counted for itself.
func sharedLimitHolds(t *testing.T, replicas []*service) bool {
	t.Helper()
	warm(t, replicas)
	failures := func() (n float64) {
		for _, s := range replicas {
			n += s.metric(t, "saltwright_limit_store_failures_total", "")
		}
		return n
	}
	before := failures()
	var admitted, denied, other atomic.Int64
	var workers sync.WaitGroup
	start := time.Now()
	deadline := start.Add(3 * time.Second)
	for w := range 8 {
		workers.Go(func() {
			for i := w; time.Now().Before(deadline); i++ {
				time.Sleep(20 * time.Millisecond) // above the quota all the same
				res, err := http.Get("http://" + replicas[i%2].addr + question)
				if err != nil {
					other.Add(1)
					continue
				}
				_, _ = io.Copy(io.Discard, res.Body) // so that the connection is used again
				_ = res.Body.Close()
				switch res.StatusCode {
				case 200:
					admitted.Add(1)
				case 429:
					denied.Add(1)
				default:
					other.Add(1)
				}
			}
		})
	}
	workers.Wait()
	took := time.Since(start)
	expected := sharedPerMinute * (1 + took.Minutes()) // the whole quota at once, and what grew back meanwhile
	t.Logf("%d admitted of %d, %.0f expected in %v: %+.2f %%", admitted.Load(), admitted.Load()+denied.Load(), expected,
		took.Round(time.Millisecond), 100*(float64(admitted.Load())/expected-1))
	if n := failures() - before; n > 0 {
		t.Logf("the store was late %g times", n)
		return false
	}
	assert.Zero(t, other.Load())
	assert.Positive(t, denied.Load(), "the load must be above the quota")
	assert.InEpsilon(t, expected, float64(admitted.Load()), 0.01)
	return true
}

// Two replicas that share a real Redis give one client one quota, within 1 %.
func TestTwoReplicasShareOneLimit(t *testing.T) {
	server := program(t, "redis-server")
	listen := freePort(t)
	_, port, _ := strings.Cut(listen, ":")
	redis := run(t, listen, server, "--port", port, "--bind", "127.0.0.1", "--save", "", "--appendonly", "no", "--dir", t.TempDir())
	const tries = 8 // on a machine that is busy elsewhere the store may miss its deadline: such a run measures nothing
	var replicas []*service
	for try := range tries {
		args := []string{"--limit-store-url", fmt.Sprintf("redis://%s/%d", listen, try),
			"--per-minute", strconv.Itoa(sharedPerMinute), "--per-day", "1000000"}
		replicas = []*service{startService(t, args...), startService(t, args...)}
		if sharedLimitHolds(t, replicas) {
			break
		}
		require.Less(t, try, tries-1, "the store failed in every run")
	}

	require.NoError(t, redis.Process.Kill())
	time.Sleep(200 * time.Millisecond)
	res, _ := send(t, "GET", "http://"+replicas[0].addr+question, "")
	assert.Equal(t, 200, res.StatusCode, "without the store it counts by itself, from a whole quota")
	assert.Contains(t, res.Header.Get("RateLimit"), fmt.Sprintf(`"anon-minute";r=%d`, sharedPerMinute-1))
	assert.Positive(t, replicas[0].metric(t, "saltwright_limit_store_failures_total", ""))
}
