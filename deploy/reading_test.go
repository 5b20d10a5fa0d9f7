package deploy

import (
	"bufio"
	"io"
	"net"
	"net/http"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// faraway connects as a client that a usual network is between, with little room for what it has not read: on loopback
// the computer's own buffers would take a whole answer.
func faraway(t *testing.T, source, addr string) net.Conn {
	t.Helper()
	dialer := from(source)
	dialer.Control = func(_, _ string, raw syscall.RawConn) error {
		var segment, room error
		err := raw.Control(func(fd uintptr) {
			segment = syscall.SetsockoptInt(int(fd), syscall.IPPROTO_TCP, syscall.TCP_MAXSEG, 1448)
			room = syscall.SetsockoptInt(int(fd), syscall.SOL_SOCKET, syscall.SO_RCVBUF, 4096)
		})
		if err == nil {
			err = segment
		}
		if err == nil {
			err = room
		}
		return err
	}
	conn, err := dialer.Dial("tcp", addr)
	require.NoError(t, err)
	t.Cleanup(func() { _ = conn.Close() })
	return conn
}

// Clients that ask and do not read keep no neighbour out, and what they asked for is not kept ready for them for long.
func TestWhoeverDoesNotReadThroughAProxyIsCutOff(t *testing.T) {
	for name, start := range map[string]func(t *testing.T, server string, replaced ...string) string{
		"nginx": startNginx, "haproxy": startHaproxy,
	} {
		t.Run(name, func(t *testing.T) {
			program(t, name)
			s := startService(t, "--trusted-proxies", "127.0.0.1/32")
			at := start(t, s.addr)
			require.Eventually(t, func() bool {
				answered, _ := neighbourAsks(t, at, 1)
				return answered == 1
			}, 5*time.Second, 50*time.Millisecond)
			var idlers []net.Conn
			for range 90 { // as many as one source may have
				conn := faraway(t, leaning, strings.TrimPrefix(at, "http://"))
				_, err := io.WriteString(conn, "GET /openapi.json HTTP/1.1\r\nHost: a\r\n\r\n")
				require.NoError(t, err)
				idlers = append(idlers, conn)
			}
			time.Sleep(2 * time.Second)
			held := s.metric(t, "http_requests_in_flight", "")
			answered, worst := neighbourAsks(t, at, 10)
			assert.Equal(t, 10, answered)
			time.Sleep(20 * time.Second)
			left := s.metric(t, "http_requests_in_flight", "")
			whole := 0
			for _, conn := range idlers { // too late they read
				require.NoError(t, conn.SetDeadline(time.Now().Add(5*time.Second)))
				res, err := http.ReadResponse(bufio.NewReader(conn), nil)
				if err != nil {
					continue
				}
				if n, _ := io.Copy(io.Discard, res.Body); n == res.ContentLength {
					whole++
				}
				_ = res.Body.Close()
			}
			t.Logf("%d did not read: the service held %g of their answers after 2 s and %g after 22 s, %d got theirs "+
				"late; a neighbour waited %v at most", len(idlers), held, left, whole, worst.Round(time.Millisecond))
			assert.Zero(t, left)
			assert.Zero(t, whole)
		})
	}
}
