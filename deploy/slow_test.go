package deploy

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The addresses of those who lean on a proxy and of everybody else; both are loopback.
const (
	leaning   = "127.0.0.2"
	neighbour = "127.0.0.3"
)

func from(source string) *net.Dialer {
	return &net.Dialer{LocalAddr: &net.TCPAddr{IP: net.ParseIP(source)}, Timeout: 2 * time.Second}
}

// siege is many connections from one address, each of which sends a byte now and then.
type siege struct {
	mu      sync.Mutex
	held    map[net.Conn]bool
	answers map[string]int // status lines
	opened  int
	most    int           // held at once
	longest time.Duration // that one was held, of those that were closed
}

// besiege opens connections, sends the beginning of a request on each, and from then on a byte every five seconds. A
// connection that is closed is opened again, five times.
func besiege(t *testing.T, addr string, connections int, opening, drop string) *siege {
	t.Helper()
	s := &siege{held: map[net.Conn]bool{}, answers: map[string]int{}}
	ctx, stop := context.WithCancel(context.Background())
	var working sync.WaitGroup
	t.Cleanup(func() {
		stop()
		s.mu.Lock()
		for conn := range s.held {
			_ = conn.Close() // nothing more is wanted of it
		}
		s.mu.Unlock()
		working.Wait()
	})
	dialing := make(chan struct{}, 2)
	for range connections {
		working.Go(func() {
			for range 6 {
				dialing <- struct{}{}
				conn, err := from(leaning).DialContext(ctx, "tcp", addr)
				if err == nil {
					_, err = io.WriteString(conn, opening)
				}
				<-dialing
				if err == nil {
					s.keep(conn)
				}
				select {
				case <-ctx.Done():
					return
				case <-time.After(time.Second):
				}
			}
		})
	}
	working.Go(func() {
		for {
			select {
			case <-ctx.Done():
				return
			case <-time.After(5 * time.Second):
			}
			s.mu.Lock()
			for conn := range s.held {
				_, _ = io.WriteString(conn, drop) // the proxy may have closed already
			}
			s.mu.Unlock()
		}
	})
	return s
}

// keep notes the answer on a connection, if one comes, and when it is closed.
func (s *siege) keep(conn net.Conn) {
	s.mu.Lock()
	s.held[conn] = true
	s.opened++
	s.most = max(s.most, len(s.held))
	s.mu.Unlock()
	start := time.Now()
	res, err := http.ReadResponse(bufio.NewReader(conn), nil)
	if err == nil {
		_, _ = io.Copy(io.Discard, res.Body) // until it is closed
		_ = res.Body.Close()
		_, _ = io.Copy(io.Discard, conn)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if err == nil {
		s.answers[res.Status+" "+res.Header.Get("Content-Type")]++
	}
	s.longest = max(s.longest, time.Since(start))
	delete(s.held, conn)
	_ = conn.Close() // nothing more is wanted of it
}

func (s *siege) holding() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.held)
}

// asked makes every question of a neighbour a new one.
var asked atomic.Int64

// neighbourAsks sends questions that nobody asked before from another address, each on a connection of its own. It
// returns how many were answered well, and the longest time that one took.
func neighbourAsks(t *testing.T, at string, requests int) (answered int, worst time.Duration) {
	t.Helper()
	client := &http.Client{
		Transport: &http.Transport{DialContext: from(neighbour).DialContext, DisableKeepAlives: true},
		Timeout:   2 * time.Second,
	}
	for range requests {
		start := time.Now()
		value := 1.02 + float64(asked.Add(1))/1e6
		res, err := client.Get(fmt.Sprintf("%s/v1/salinity-conversion?scale=specific_gravity&value=%.6f", at, value))
		if err == nil {
			_, err = io.Copy(io.Discard, res.Body)
			_ = res.Body.Close() // it is read
		}
		worst = max(worst, time.Since(start))
		if err == nil && res.StatusCode == http.StatusOK {
			answered++
		}
	}
	return answered, worst
}

const (
	slowHeader = "GET /v1/sources HTTP/1.1\r\nHost: a\r\nX-Slow: "
	slowBody   = "POST /v1/evaporation HTTP/1.1\r\nHost: a\r\nContent-Type: application/json\r\n" +
		"Content-Length: 1000\r\n\r\n{"
)

// One address that sends slowly on many connections neither keeps a neighbour out nor holds on.
func TestOneSlowAddressKeepsNobodyOut(t *testing.T) {
	for _, c := range []struct {
		name        string
		start       func(t *testing.T, server string, replaced ...string) string
		connections int
		opening     string
		drop        string
	}{
		{"nginx", startNginx, 2100, slowHeader, "a"},
		{"nginx", startNginx, 2100, slowBody, " "},
		{"haproxy", startHaproxy, 2100, slowHeader, "a"},
		{"haproxy", startHaproxy, 2100, slowBody, " "},
	} {
		method, _, _ := strings.Cut(c.opening, " ")
		t.Run(c.name+" "+map[string]string{"GET": "headers", "POST": "bodies"}[method], func(t *testing.T) {
			program(t, c.name)
			s := startService(t, "--trusted-proxies", "127.0.0.1/32")
			at := c.start(t, s.addr)
			require.Eventually(t, func() bool {
				answered, _ := neighbourAsks(t, at, 1)
				return answered == 1
			}, 5*time.Second, 50*time.Millisecond)
			_, before := neighbourAsks(t, at, 10)

			started := time.Now()
			attack := besiege(t, strings.TrimPrefix(at, "http://"), c.connections, c.opening, c.drop)
			time.Sleep(3 * time.Second)
			held := attack.holding()
			answered, worst := neighbourAsks(t, at, 10)
			for attack.holding() > 0 && time.Since(started) < 25*time.Second {
				time.Sleep(100 * time.Millisecond)
			}
			attack.mu.Lock()
			defer attack.mu.Unlock()
			left := len(attack.held)
			t.Logf("held after three seconds %d of %d (most %d); the neighbour: %d of 10 answered, worst %v (alone %v); "+
				"after %v %d are held, longest %v, of %d opened; they were answered %v",
				held, c.connections, attack.most, answered, worst.Round(time.Millisecond), before.Round(time.Millisecond),
				time.Since(started).Round(100*time.Millisecond), left, attack.longest.Round(100*time.Millisecond),
				attack.opened, attack.answers)
			assert.Equal(t, 10, answered)
			assert.Less(t, worst, time.Second)
			assert.Zero(t, left, "whoever sends slowly is cut off")
		})
	}
}
