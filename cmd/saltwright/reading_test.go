package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// asReader connects from an address of loopback as a client far away that is slow: by segments of the size that a
// usual network carries, and with little room for what it has not read. Loopback's own would take a whole answer.
func asReader(t *testing.T, source, addr string) net.Conn {
	t.Helper()
	small := func(_, _ string, raw syscall.RawConn) error {
		var segment, room error
		err := raw.Control(func(fd uintptr) {
			segment = syscall.SetsockoptInt(int(fd), syscall.IPPROTO_TCP, syscall.TCP_MAXSEG, 1448)
			room = syscall.SetsockoptInt(int(fd), syscall.SOL_SOCKET, syscall.SO_RCVBUF, 4096)
		})
		for _, err := range []error{err, segment, room} {
			if err != nil {
				return err
			}
		}
		return nil
	}
	dialer := net.Dialer{LocalAddr: &net.TCPAddr{IP: net.ParseIP(source)}, Control: small}
	conn, err := dialer.Dial("tcp", addr)
	require.NoError(t, err)
	require.NoError(t, conn.SetDeadline(time.Now().Add(time.Minute)))
	t.Cleanup(func() { _ = conn.Close() })
	return conn
}

func asPost(path, body string) string {
	return fmt.Sprintf("POST %s HTTP/1.1\r\nHost: a\r\nContent-Type: application/json\r\nContent-Length: %d\r\n\r\n%s",
		path, len(body), body)
}

// counted is the value of a metric without labels.
func counted(t *testing.T, administration, name string) float64 {
	t.Helper()
	res, err := http.Get("http://" + administration + "/metrics")
	require.NoError(t, err)
	defer res.Body.Close()
	for lines := bufio.NewScanner(res.Body); lines.Scan(); {
		if text, ok := strings.CutPrefix(lines.Text(), name+" "); ok {
			var value float64
			_, err := fmt.Sscan(text, &value)
			require.NoError(t, err)
			return value
		}
	}
	t.Fatalf("there is no metric %s", name)
	return 0
}

// Clients that ask for much and read none of it hold nothing that others need, and are cut off; a slow one that reads
// on gets its answer.
func TestWhoeverDoesNotReadIsCutOff(t *testing.T) {
	if testing.Short() {
		t.Skip("waits for the time that a reader has")
	}
	service, administration := administered(t, "--admin-addr", "127.0.0.1:0")
	data, err := os.ReadFile("../../testdata/api/postPlanAudit/example-household-no-dark-hours.request.json")
	require.NoError(t, err)
	one := `{"operation":"plan-audit","request":` + string(data) + `}`
	batch := asPost("/v1/batch", `{"calculations":[`+strings.Repeat(one+",", 3)+one+`]}`)

	begun := time.Now()
	const idlers = 2 // on two cores, as many as there are places
	for range idlers {
		_, err := io.WriteString(asReader(t, "127.0.0.2", service), batch)
		require.NoError(t, err)
	}
	var steady sync.WaitGroup
	conn := asReader(t, "127.0.0.4", service)
	steady.Go(func() {
		start := time.Now()
		if _, err := io.WriteString(conn, "GET /openapi.json HTTP/1.1\r\nHost: a\r\n\r\n"); !assert.NoError(t, err) {
			return
		}
		res, err := http.ReadResponse(bufio.NewReaderSize(conn, 1024), nil)
		if !assert.NoError(t, err) {
			return
		}
		body := make([]byte, 0, res.ContentLength)
		for piece := make([]byte, 4000); err == nil; time.Sleep(100 * time.Millisecond) {
			var n int
			n, err = io.ReadFull(res.Body, piece)
			body = append(body, piece[:n]...)
		}
		t.Logf("the steady reader took %d bytes in %.1f s", len(body), time.Since(start).Seconds())
		assert.True(t, json.Valid(body), "the whole answer: %v", err)
		assert.Greater(t, time.Since(start), 12*time.Second, "it took longer than one may stand still")
	})

	calm := 0 // looks at which nobody calculates and everybody is being sent to
	require.Eventually(t, func() bool {
		if counted(t, administration, "http_requests_in_flight") == idlers+1 &&
			counted(t, administration, "saltwright_calculations_working") == 0 {
			calm++
		} else {
			calm = 0
		}
		return calm == 10
	}, 20*time.Second, 50*time.Millisecond)
	for range 7 {
		neighbour := asReader(t, "127.0.0.3", service)
		_, err := io.WriteString(neighbour, asPost("/v1/plan-audit", string(data)))
		require.NoError(t, err)
		res, err := http.ReadResponse(bufio.NewReader(neighbour), nil)
		require.NoError(t, err)
		assert.Equal(t, http.StatusOK, res.StatusCode, "a neighbour's audit")
		require.NoError(t, neighbour.Close())
	}
	require.Eventually(t, func() bool {
		return counted(t, administration, "saltwright_slow_readers_total") == idlers
	}, 30*time.Second, 100*time.Millisecond)
	t.Logf("who did not read was cut off after %.1f s", time.Since(begun).Seconds())
	assert.Greater(t, time.Since(begun), 9*time.Second, "one has some time")
	steady.Wait()
	assert.EqualValues(t, idlers, counted(t, administration, "saltwright_slow_readers_total"), "the steady one is not")
}
