package transport

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// calculate takes a place, works for a while, and gives it back; it returns when it began and what went wrong.
func calculate(p *places, client string, units int, works time.Duration) (began time.Time, err error) {
	leave, err := p.take(context.Background(), client, units)
	if err != nil {
		return time.Time{}, err
	}
	began = time.Now()
	time.Sleep(works)
	leave(units)
	return began, nil
}

// In a bubble of testing/synctest time passes only when everybody waits, so the order is exact.
func TestPlacesAreSharedByWhatClientsAskFor(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := newPlaces(1)
		var mu sync.Mutex
		var order []string
		run := func(client string, units int) {
			go func() {
				leave, err := p.take(context.Background(), client, units)
				if !assert.NoError(t, err) {
					return
				}
				mu.Lock()
				order = append(order, client)
				mu.Unlock()
				time.Sleep(time.Duration(units) * time.Second / 100)
				leave(units)
			}()
			synctest.Wait()
		}
		for range 4 {
			run("heavy", 100)
		}
		for range 3 {
			run("light", 30)
		}
		time.Sleep(time.Minute)
		synctest.Wait()
		assert.Equal(t, "heavy light light light heavy heavy heavy", strings.Join(order, " "),
			"it had its hundred, the other gets as much first")
		working, waiting := p.occupied()
		assert.Equal(t, [3]int{0, 0, 0}, [3]int{working, waiting, len(p.lines)}, "nothing stays behind")
	})
}

func TestNobodySavesUpTurns(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := newPlaces(1)
		for range 50 { // alone: it takes nothing from anybody
			_, err := calculate(p, "old", 100, time.Second)
			require.NoError(t, err)
		}
		var mu sync.Mutex
		var order []string
		for _, client := range []string{"old", "old", "new", "new"} {
			go func() {
				if leave, err := p.take(context.Background(), client, 10); err == nil {
					mu.Lock()
					order = append(order, client)
					mu.Unlock()
					time.Sleep(time.Second)
					leave(10)
				}
			}()
			synctest.Wait()
		}
		time.Sleep(time.Minute)
		synctest.Wait()
		assert.Equal(t, []string{"old", "new", "old", "new"}, order, "in turn, from the first")
	})
}

func TestWhatWasNotUsedCountsForTheShare(t *testing.T) {
	p := newPlaces(1)
	leave, err := p.take(context.Background(), "a", 100)
	require.NoError(t, err)
	other, err := p.join("a", 100)
	require.NoError(t, err)
	leave(3)
	<-other.called
	assert.Equal(t, 103, p.lines["a"].given, "three, and what works now")
}

func TestTooManyAreTurnedAwayAndToldWhen(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := newPlaces(1)
		leave, err := p.take(context.Background(), "a", 50)
		require.NoError(t, err)
		ctx, end := context.WithCancel(context.Background())
		defer end()
		wait := func(client string, n int) {
			for range n {
				go func() { _, _ = p.take(ctx, client, 50) }()
			}
			synctest.Wait()
		}
		wait("a", clientWaits)
		_, err = p.take(ctx, "a", 50)
		re := asRequestError(err)
		require.NotNil(t, re)
		assert.Equal(t, "overloaded", re.code)
		assert.Equal(t, 17, re.retryAfter, "one works and 16 wait, a second each")
		_, err = calculateLater(p, "b")
		assert.NoError(t, err, "another client has a line of its own")

		for i := range everyoneWait/clientWaits - 1 {
			wait(fmt.Sprint("crowd-", i), clientWaits)
		}
		_, waiting := p.occupied()
		require.Equal(t, everyoneWait, waiting)
		for i := range 5 {
			_, err = calculateLater(p, fmt.Sprint("stranger-", i))
			assert.NoError(t, err, "the last of the longest line makes room")
		}
		_, waiting = p.occupied()
		assert.Equal(t, everyoneWait, waiting)
		leave(50)
		time.Sleep(queueWait + time.Second)
		end()
		synctest.Wait()
	})
}

// calculateLater joins a line without waiting for its turn.
func calculateLater(p *places, client string) (*turn, error) { return p.join(client, 1) }

func TestWhoDoesNotGetAPlaceInTimeLeavesTheLine(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := newPlaces(1)
		leave, err := p.take(context.Background(), "a", 5)
		require.NoError(t, err)
		start := time.Now()
		_, err = p.take(context.Background(), "b", 5)
		assert.Equal(t, "overloaded", asRequestError(err).code)
		assert.Equal(t, queueWait, time.Since(start))
		ctx, cancel := context.WithTimeout(context.Background(), time.Second)
		defer cancel()
		_, err = p.take(ctx, "b", 5)
		assert.ErrorIs(t, err, context.DeadlineExceeded)
		_, waiting := p.occupied()
		assert.Zero(t, waiting)
		leave(5)
		_, err = calculate(p, "b", 5, time.Second)
		assert.NoError(t, err)
	})
}

func TestWhatGetsNoPlaceIsRefunded(t *testing.T) {
	s := stopped(t, Config{Quotas: Quotas("anon", 500, 1000), Places: 1})
	var leave []func(int)
	held, err := s.gate.places.take(context.Background(), "somebody", 5)
	require.NoError(t, err)
	leave = append(leave, held)
	own := "address:" + s.gate.names.Of("192.0.2.1") // of httptest
	for range clientWaits {
		_, err := s.gate.places.join(own, 5)
		require.NoError(t, err)
	}
	plan := readCase(t, "postPlanAudit/first-timer")
	r := post(t, s, "/v1/plan-audit", plan)
	require.Equal(t, http.StatusServiceUnavailable, r.status)
	assert.Equal(t, "overloaded", r.problem(t).Code)
	assert.NotEmpty(t, r.header.Get("Retry-After"))
	assert.Equal(t, "1", r.header.Get("X-Request-Cost"), "the look")
	assert.Equal(t, int64(499), left(t, r))
	r = post(t, s, "/v1/batch", `{"calculations":[{"operation":"daylight","request":{}},
		{"operation":"plan-audit","request":`+plan+`}]}`)
	require.Equal(t, http.StatusOK, r.status)
	assert.Contains(t, string(r.body), `"status":503`)
	assert.Equal(t, "2", r.header.Get("X-Request-Cost"), "of a batch too")
	assert.Equal(t, int64(497), left(t, r))
	assert.Equal(t, http.StatusOK, get(t, s, salinityAt).status, "small ones pass")
	for _, l := range leave {
		l(5)
	}
}

// restless is a plan that switches as often as it can: an audit of it takes seconds where the household's takes a
// twentieth of one.
func restless() string {
	var heaters, controls, sensors []string
	for i := range 8 {
		heaters = append(heaters, fmt.Sprintf(`{"id":"heater-%d","power_w":24}`, i))
		sensors = append(sensors, fmt.Sprintf(`{"id":"probe-%d","kind":"temperature"}`, i))
		controls = append(controls, fmt.Sprintf(`{"id":"warm-%d","kind":"heating","sensor":"probe-%d",`+
			`"setpoint_c":25.5,"hysteresis_k":0.02,"outputs":["heater-%d"]}`, i, i, i))
	}
	list := func(of []string) string { return "[" + strings.Join(of, ",") + "]" }
	return `{"display":{"volume_l":250},"room":{"usual":{"temp_c":21}},` +
		`"attendance":{"look_every_h":24,"longest_absence_h":48},"heaters":` + list(heaters) + `,"controls":` +
		list(controls) + `,"sensors":` + list(sensors) + `}`
}

// One address floods the service with the dearest requests there are; a stranger's first ten audits, all sent at once,
// are all answered, after no more of the others than what works already.
func TestAHeavyNeighbourKeepsNobodyOut(t *testing.T) {
	if testing.Short() {
		t.Skip("some seconds")
	}
	s := newServer(t, Config{Quotas: Quotas("anon", 1_000_000, 1_000_000), Places: 1})
	server := httptest.NewServer(s)
	defer server.Close()
	s.echo.IPExtractor = func(r *http.Request) string { return r.Header.Get("From") }
	ask := func(ctx context.Context, who, path, body string) int {
		req, err := http.NewRequestWithContext(ctx, http.MethodPost, server.URL+path, strings.NewReader(body))
		require.NoError(t, err)
		req.Header.Set("Content-Type", "application/json")
		req.Header.Set("From", who)
		res, err := server.Client().Do(req)
		if err != nil {
			return 0
		}
		defer res.Body.Close()
		return res.StatusCode
	}
	ctx, end := context.WithCancel(context.Background())
	var flood, stranger sync.WaitGroup
	dear, plan := restless(), readCase(t, "postPlanAudit/example-household-sound")
	for range 2 * clientWaits {
		flood.Go(func() {
			for ctx.Err() == nil {
				if ask(ctx, "203.0.113.1", "/v1/plan-remedies", dear) == http.StatusServiceUnavailable {
					time.Sleep(10 * time.Millisecond)
				}
			}
		})
	}
	require.Eventually(t, func() bool {
		_, waiting := s.gate.places.occupied()
		return waiting == clientWaits
	}, 10*time.Second, time.Millisecond, "the neighbour's line is full")
	answers := make([]int, 10)
	start := time.Now()
	for i := range answers {
		stranger.Go(func() { answers[i] = ask(ctx, "198.51.100.2", "/v1/plan-audit", plan) })
	}
	stranger.Wait()
	took := time.Since(start)
	end()
	flood.Wait()
	assert.Equal(t, slicesOf(http.StatusOK, 10), answers)
	assert.Less(t, took, queueWait, "one of the neighbour's, then ten of its own")
	t.Logf("ten audits beside a flood: %v", took)
}

func slicesOf(value, n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = value
	}
	return out
}
