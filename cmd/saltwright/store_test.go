package main

import (
	"io"
	"net"
	"net/http"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// limitStore is a real limit store behind a door that can be slow or shut: then connections are accepted, what they
// say is read, and no answer comes.
type limitStore struct {
	*miniredis.Miniredis
	listener net.Listener
	delay    atomic.Int64 // nanoseconds before an answer is passed on; below 0: none is
}

const shut = time.Duration(-1)

func startLimitStore(t *testing.T, delay time.Duration) *limitStore {
	t.Helper()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	s := &limitStore{Miniredis: miniredis.RunT(t), listener: listener}
	s.delay.Store(int64(delay))
	t.Cleanup(func() { _ = listener.Close() })
	go func() {
		for {
			conn, err := listener.Accept()
			if err != nil {
				return
			}
			go s.pass(conn)
		}
	}()
	return s
}

func (s *limitStore) url() string { return "redis://" + s.listener.Addr().String() + "/0" }

func (s *limitStore) pass(conn net.Conn) {
	defer conn.Close()
	store, err := net.Dial("tcp", s.Addr())
	if err != nil {
		return
	}
	defer store.Close()
	go func() {
		_, _ = io.Copy(store, conn) // until either end goes
		_ = store.Close()
	}()
	answer := make([]byte, 64<<10)
	for {
		n, err := store.Read(answer)
		if err != nil {
			return
		}
		delay := time.Duration(s.delay.Load())
		if delay < 0 {
			continue
		}
		time.Sleep(delay)
		if _, err := conn.Write(answer[:n]); err != nil {
			return
		}
	}
}

// waits are how long requests took.
type waits []time.Duration

func (w waits) quantile(q float64) time.Duration { return w[min(int(q*float64(len(w))), len(w)-1)] }

// load sends requests from several workers, one every 10 ms each, and returns how long they took, the shortest first.
func load(t *testing.T, addr string, workers int, during time.Duration) waits {
	t.Helper()
	var mu sync.Mutex
	var all waits
	var wg sync.WaitGroup
	deadline := time.Now().Add(during)
	for range workers {
		wg.Go(func() {
			for time.Now().Before(deadline) {
				start := time.Now()
				res, err := http.Get("http://" + addr + "/v1/salinity-conversion?scale=specific_gravity&value=1.026")
				if !assert.NoError(t, err) {
					return
				}
				_, _ = io.Copy(io.Discard, res.Body) // so that the connection is used again
				_ = res.Body.Close()
				assert.Equal(t, http.StatusOK, res.StatusCode)
				took := time.Since(start)
				mu.Lock()
				all = append(all, took)
				mu.Unlock()
				time.Sleep(10 * time.Millisecond)
			}
		})
	}
	wg.Wait()
	require.NotEmpty(t, all)
	slices.Sort(all)
	return all
}

// A store that hangs or is slow must not be felt by those who ask, and is used again soon after it is well.
func TestABadLimitStoreStallsNobody(t *testing.T) {
	if testing.Short() {
		t.Skip("measures for some seconds")
	}
	var well waits
	for _, c := range []struct {
		name  string
		delay time.Duration
	}{{"well", 0}, {"hanging", shut}, {"slow", 200 * time.Millisecond}} {
		t.Run(c.name, func(t *testing.T) {
			store := startLimitStore(t, c.delay)
			addr := started(t, "--limit-store-url", store.url(),
				"--per-minute", "1000000", "--per-day", "10000000", "--log-level", "error")
			took := load(t, addr, 8, 4*time.Second)
			t.Logf("%d requests: median %v, p99 %v, longest %v",
				len(took), took.quantile(.5), took.quantile(.99), took.quantile(1))
			if c.delay == 0 {
				well = took
			} else { // on a computer that is as busy as it was when the store was well
				const patience = 50 * time.Millisecond // what one request may wait for a store
				assert.Less(t, took.quantile(.99), 2*well.quantile(.99)+patience)
				assert.Less(t, took.quantile(.5), patience)
			}

			store.FlushAll()
			store.delay.Store(0)
			since := time.Now()
			for len(store.Keys()) == 0 && time.Since(since) < 30*time.Second {
				load(t, addr, 1, 10*time.Millisecond)
			}
			t.Logf("used %v after it was well", time.Since(since).Round(time.Millisecond))
			assert.Less(t, time.Since(since), 4*time.Second, "a look a second, and a second to connect")
		})
	}
}
