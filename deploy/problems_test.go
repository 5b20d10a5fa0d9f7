package deploy

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"os/exec"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// raw sends bytes on a connection of its own, from one address, and reads the first answer.
func raw(t *testing.T, source, at, request string) (*http.Response, []byte) {
	t.Helper()
	conn, err := from(source).Dial("tcp", strings.TrimPrefix(at, "http://"))
	require.NoError(t, err)
	defer conn.Close()
	require.NoError(t, conn.SetDeadline(time.Now().Add(10*time.Second)))
	_, err = io.WriteString(conn, request)
	require.NoError(t, err)
	res, err := http.ReadResponse(bufio.NewReader(conn), nil)
	require.NoError(t, err)
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	return res, body
}

// A server that takes requests and answers none: it breaks off, or it hangs.
func muteServer(t *testing.T, hang time.Duration) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	t.Cleanup(func() { _ = l.Close() })
	go func() {
		for {
			conn, err := l.Accept()
			if err != nil {
				return // the test is over
			}
			go func() {
				buffer := make([]byte, 4096)
				n, _ := conn.Read(buffer)
				if strings.HasPrefix(string(buffer[:n]), "GET /readyz ") {
					_, _ = io.WriteString(conn, "HTTP/1.0 200 OK\r\n\r\n")
				} else {
					time.Sleep(hang)
				}
				_ = conn.Close() // it breaks off
			}()
		}
	}()
	return l.Addr().String()
}

// saysItsOwn tells whether this haproxy sends a page of its own to whom it refuses before a header is whole: versions
// before 3.3 knew no other text there, whatever their settings (its issue 3032).
func saysItsOwn(t *testing.T) bool {
	t.Helper()
	out, err := exec.Command(program(t, "haproxy"), "-v").Output()
	require.NoError(t, err)
	var major, minor int
	_, err = fmt.Sscanf(string(out), "HAProxy version %d.%d", &major, &minor)
	require.NoError(t, err, "%s", out)
	return major < 3 || major == 3 && minor < 3
}

// What the proxies refuse themselves is a problem as the contract has it, open to pages of other origins. Two things
// are left: an old haproxy has a page of its own for what it refuses early, and nginx says nothing to whom it cuts off.
func TestProxiesRefuseByProblems(t *testing.T) {
	const (
		get   = "GET /v1/sources HTTP/1.1\r\nHost: a\r\n\r\n"
		http2 = "PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n"
		large = "POST /v1/evaporation HTTP/1.1\r\nHost: a\r\nContent-Length: 100000\r\n\r\n"
		own   = "GET /.problem HTTP/1.1\r\nHost: a\r\n\r\n"
	)
	breaksOff := func(t *testing.T) string { return muteServer(t, 0) }
	hangs := func(t *testing.T) string { return muteServer(t, 5*time.Second) }
	longField := "GET / HTTP/1.1\r\nHost: a\r\nX-A: " + strings.Repeat("a", 9000) + "\r\n\r\n"
	cases := []struct {
		proxy   string
		name    string
		server  func(t *testing.T) string // nil: the service
		request string
		replace []string
		crowd   bool // its address holds 110 slow requests
		file    bool // its text is a file, which has no number
		early   bool // before a header is whole
		status  int
		code    string
	}{
		{proxy: "nginx", name: "no HTTP", request: "GARBAGE\r\n\r\n", status: 400, code: "malformed_request"},
		{proxy: "nginx", name: "HTTP/2 without TLS", request: http2, status: 400, code: "malformed_request"},
		{proxy: "nginx", name: "address of its own", request: own, status: 404, code: "not_found"},
		{proxy: "nginx", name: "long body", request: large, status: 413, code: "payload_too_large"},
		{proxy: "nginx", name: "long address", request: "GET /" + strings.Repeat("a", 9000) + " HTTP/1.1\r\nHost: a\r\n\r\n",
			status: 414, code: "malformed_request"},
		{proxy: "nginx", name: "long field", request: longField,
			status: 431, code: "malformed_request"},
		{proxy: "nginx", name: "crowd", request: get, crowd: true, status: 429, code: "quota_exceeded"},
		{proxy: "nginx", name: "server breaks off", server: breaksOff, request: get,
			status: 502, code: "internal_error"},
		{proxy: "nginx", name: "server hangs", server: hangs, request: get,
			replace: []string{"proxy_read_timeout 65s", "proxy_read_timeout 1s"}, status: 504, code: "internal_error"},
		{proxy: "haproxy", name: "no HTTP", request: "GARBAGE\r\n\r\n", status: 400, code: "malformed_request",
			file: true, early: true},
		{proxy: "haproxy", name: "slow header", request: slowHeader, status: 408, code: "request_timeout",
			file: true, early: true},
		{proxy: "haproxy", name: "HTTP/2 without TLS", request: http2, status: 400, code: "malformed_request", file: true},
		{proxy: "haproxy", name: "slow body", request: slowBody, status: 408, code: "request_timeout", file: true},
		{proxy: "haproxy", name: "crowd", request: get, crowd: true, status: 429, code: "quota_exceeded"},
		{proxy: "haproxy", name: "server breaks off", server: breaksOff, request: get,
			status: 502, code: "internal_error"},
		{proxy: "haproxy", name: "no server", server: freePort, request: get, status: 503, code: "internal_error"},
		{proxy: "haproxy", name: "server hangs", server: hangs, request: get,
			replace: []string{"timeout server 65s", "timeout server 1s"}, status: 504, code: "internal_error"},
	}
	var service *service
	for _, c := range cases {
		t.Run(c.proxy+" "+c.name, func(t *testing.T) {
			program(t, c.proxy)
			if service == nil {
				service = startService(t, "--trusted-proxies", "127.0.0.1/32")
				t.Cleanup(func() { service = nil })
			}
			server := service.addr
			if c.server != nil {
				server = c.server(t)
			}
			start := map[string]func(*testing.T, string, ...string) string{"nginx": startNginx, "haproxy": startHaproxy}[c.proxy]
			at := start(t, server, c.replace...)
			if c.proxy == "haproxy" {
				time.Sleep(500 * time.Millisecond) // until it has looked at its servers
			}
			if c.crowd {
				besiege(t, strings.TrimPrefix(at, "http://"), 110, slowBody, " ")
				time.Sleep(500 * time.Millisecond)
			}
			res, body := raw(t, leaning, at, c.request)
			assert.Equal(t, c.status, res.StatusCode)
			if c.early && res.Header.Get("Content-Type") == "text/html" {
				assert.True(t, saysItsOwn(t), "%s", body)
				return
			}
			assert.Equal(t, "application/problem+json", res.Header.Get("Content-Type"))
			assert.Equal(t, "no-store", res.Header.Get("Cache-Control"))
			assert.Equal(t, "nosniff", res.Header.Get("X-Content-Type-Options"))
			assert.Equal(t, "cross-origin", res.Header.Get("Cross-Origin-Resource-Policy"))
			assert.Equal(t, []string{"*"}, res.Header.Values("Access-Control-Allow-Origin"))
			assert.Equal(t, "Retry-After, X-Request-Id", res.Header.Get("Access-Control-Expose-Headers"))
			assert.Equal(t, c.status == 429 || c.status >= 502, res.Header.Get("Retry-After") != "", "when to come back")

			var p struct{ Code, Type, Title, Detail, Instance string }
			var status struct{ Status int }
			require.NoError(t, json.Unmarshal(body, &p), "%s", body)
			require.NoError(t, json.Unmarshal(body, &status))
			assert.Equal(t, c.status, status.Status)
			assert.Equal(t, c.code, p.Code)
			assert.NotEmpty(t, p.Detail)
			if !c.file {
				assert.Regexp(t, `^urn:uuid:[0-9a-f]{8}-([0-9a-f]{4}-){3}[0-9a-f]{12}$`, p.Instance)
			}
			assert.Equal(t, strings.TrimPrefix(p.Instance, "urn:uuid:"), res.Header.Get("X-Request-Id"))
			kind := "/problems/" + c.code
			if c.code == "quota_exceeded" {
				kind = "https://iana.org/assignments/http-problem-types#quota-exceeded"
			}
			assert.Equal(t, kind, p.Type)

			_, known := send(t, "GET", "http://"+service.addr+"/problems/"+c.code, "", "Accept", "application/json")
			var said struct{ Title string }
			require.NoError(t, json.Unmarshal([]byte(known), &said), "%s", known)
			assert.Equal(t, said.Title, p.Title, "a kind of problem has one title")
		})
	}
}
