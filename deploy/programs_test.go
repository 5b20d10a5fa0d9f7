// Package deploy holds what runs the service, and tests that run it with the
// real programs around it: nginx, haproxy and Redis from Debian's packages.
package deploy

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// program finds a program; without it the test is skipped, and fails where everything must be there.
func program(t *testing.T, name string) string {
	t.Helper()
	if testing.Short() {
		t.Skip("runs real programs")
	}
	for _, dir := range append(filepath.SplitList(os.Getenv("PATH")), "/usr/sbin") {
		if path, err := exec.LookPath(filepath.Join(dir, name)); err == nil {
			return path
		}
	}
	if os.Getenv("CI") == "true" {
		t.Fatalf("CI must have %s: install Debian's package", name)
	}
	t.Skipf("%s is not installed", name)
	return ""
}

var built struct {
	once sync.Once
	path string
	err  error
}

// TestMain throws the built service away at the end.
func TestMain(m *testing.M) {
	code := m.Run()
	if built.path != "" {
		_ = os.RemoveAll(filepath.Dir(built.path)) // a temporary folder
	}
	os.Exit(code)
}

func binary(t *testing.T) string {
	t.Helper()
	built.once.Do(func() {
		dir, err := os.MkdirTemp("", "saltwright")
		if err != nil {
			built.err = err
			return
		}
		built.path = filepath.Join(dir, "saltwright")
		if out, err := exec.Command("go", "build", "-o", built.path, "saltwright/cmd/saltwright").CombinedOutput(); err != nil {
			built.err = fmt.Errorf("%w: %s", err, out)
		}
	})
	require.NoError(t, built.err)
	return built.path
}

// service is one process of ours.
type service struct {
	cmd         *exec.Cmd
	addr, admin string
	ended       chan error
}

var address = regexp.MustCompile(`"msg":"listens","as":"(service|administration)","url":"http://([^"]+)"`)

func startService(t *testing.T, args ...string) *service {
	t.Helper()
	s := &service{ended: make(chan error, 1)}
	s.cmd = exec.Command(binary(t), append([]string{"--addr", "127.0.0.1:0", "--admin-addr", "127.0.0.1:0", "--log-level", "error"}, args...)...)
	out, err := s.cmd.StdoutPipe()
	require.NoError(t, err)
	s.cmd.Stderr = os.Stderr
	require.NoError(t, s.cmd.Start())
	lines := bufio.NewScanner(out)
	for (s.addr == "" || s.admin == "") && lines.Scan() {
		if m := address.FindStringSubmatch(lines.Text()); m != nil {
			if m[1] == "service" {
				s.addr = m[2]
			} else {
				s.admin = m[2]
			}
		}
	}
	require.NotEmpty(t, s.admin, "it did not say where it listens")
	go func() {
		_, _ = io.Copy(io.Discard, out)
		s.ended <- s.cmd.Wait()
	}()
	t.Cleanup(func() { _ = s.cmd.Process.Kill() })
	return s
}

// stop asks a service to end and waits until it has.
func (s *service) stop(t *testing.T) {
	t.Helper()
	require.NoError(t, s.cmd.Process.Signal(syscall.SIGTERM))
	select {
	case err := <-s.ended:
		require.NoError(t, err, "it ends well")
	case <-time.After(15 * time.Second):
		t.Fatal("it did not end")
	}
}

// metric returns the sum of a counter's lines that hold a text.
func (s *service) metric(t *testing.T, name, with string) float64 {
	t.Helper()
	res, err := http.Get("http://" + s.admin + "/metrics")
	require.NoError(t, err)
	defer res.Body.Close()
	sum := 0.0
	lines := bufio.NewScanner(res.Body)
	for lines.Scan() {
		if strings.HasPrefix(lines.Text(), name) && strings.Contains(lines.Text(), with) {
			var v float64
			_, err := fmt.Sscan(lines.Text()[strings.LastIndex(lines.Text(), " ")+1:], &v)
			require.NoError(t, err)
			sum += v
		}
	}
	return sum
}

func freePort(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer l.Close()
	return l.Addr().String()
}

// fill writes a template with its ${NAMES} put in to a file of the test's.
func fill(t *testing.T, template string, values map[string]string) string {
	t.Helper()
	text, err := os.ReadFile(template)
	require.NoError(t, err)
	out := string(text)
	for name, v := range values {
		require.Contains(t, out, "${"+name+"}")
		out = strings.ReplaceAll(out, "${"+name+"}", v)
	}
	_, rest, _ := strings.Cut(out, "${")
	require.Empty(t, rest, "a name is not put in")
	file := filepath.Join(t.TempDir(), "filled.conf")
	require.NoError(t, os.WriteFile(file, []byte(out), 0o644))
	return file
}

// run starts a program until the test ends and waits until it listens.
func run(t *testing.T, listen string, name string, args ...string) *exec.Cmd {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	cmd := exec.CommandContext(ctx, name, args...)
	cmd.Cancel = func() error { return cmd.Process.Signal(syscall.SIGTERM) }
	cmd.WaitDelay = 3 * time.Second
	cmd.Stderr = os.Stderr
	require.NoError(t, cmd.Start())
	t.Cleanup(func() { cancel(); _ = cmd.Wait() })
	require.Eventually(t, func() bool {
		conn, err := net.Dial("tcp", listen)
		if err != nil {
			return false
		}
		return conn.Close() == nil
	}, 5*time.Second, 20*time.Millisecond, "%s does not listen on %s", name, listen)
	return cmd
}

// startNginx runs nginx by our template, with texts of it replaced, before one server and returns its address.
func startNginx(t *testing.T, server string, replaced ...string) string {
	t.Helper()
	nginx := program(t, "nginx")
	state, listen := t.TempDir(), freePort(t)
	require.NoError(t, os.Chmod(filepath.Dir(state), 0o755)) // its workers are another user
	require.NoError(t, os.Chmod(state, 0o777))
	config := fill(t, "nginx/nginx.conf.template", map[string]string{
		"SALTWRIGHT_LISTEN": listen, "SALTWRIGHT_SERVERS": "server " + server + ";", "SALTWRIGHT_STATE": state,
	})
	replace(t, config, replaced)
	run(t, listen, nginx, "-c", config, "-g", "daemon off;")
	return "http://" + listen
}

// startHaproxy runs haproxy by our template, with texts of it replaced, before one server and returns its address.
func startHaproxy(t *testing.T, server string, replaced ...string) string {
	t.Helper()
	haproxy := program(t, "haproxy")
	listen := freePort(t)
	config := fill(t, "haproxy/haproxy.cfg.template", map[string]string{
		"SALTWRIGHT_LISTEN": listen, "SALTWRIGHT_1": server, "SALTWRIGHT_2": server, "SALTWRIGHT_ERRORS": ownErrors(t),
	})
	replace(t, config, replaced)
	run(t, listen, haproxy, "-f", config)
	return "http://" + listen
}

// ownErrors is the folder of what haproxy says before a header is whole.
func ownErrors(t *testing.T) string {
	t.Helper()
	folder, err := filepath.Abs("haproxy")
	require.NoError(t, err)
	return folder
}

// replace puts other texts into a file, in pairs of old and new.
func replace(t *testing.T, file string, pairs []string) {
	t.Helper()
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	text := string(data)
	for i := 0; i < len(pairs); i += 2 {
		require.Contains(t, text, pairs[i])
		text = strings.ReplaceAll(text, pairs[i], pairs[i+1])
	}
	require.NoError(t, os.WriteFile(file, []byte(text), 0o644))
}
