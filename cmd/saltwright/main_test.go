package main

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// output is a buffer that two goroutines may use.
type output struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (o *output) Write(p []byte) (int, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.b.Write(p)
}

func (o *output) String() string {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.b.String()
}

func noEnvironment(string) string { return "" }

func TestTheProgramServesAndStops(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	var out output
	done := make(chan error, 1)
	go func() { done <- run(ctx, []string{"--addr", "127.0.0.1:0"}, noEnvironment, &out) }()
	address := regexp.MustCompile(`http://127\.0\.0\.1:\d+`)
	printed := func() bool { return address.MatchString(out.String()) }
	require.Eventually(t, printed, 30*time.Second, 10*time.Millisecond, "it prints the real address")
	base := address.FindString(out.String())
	assert.NotContains(t, base, ":0\n")

	res, err := http.Get(base + "/openapi.json")
	require.NoError(t, err)
	body, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	require.NoError(t, res.Body.Close())
	assert.Equal(t, 200, res.StatusCode)
	assert.Contains(t, string(body), `"openapi":"3.0.3"`)

	stop()
	select {
	case err := <-done:
		assert.NoError(t, err)
	case <-time.After(5 * time.Second):
		t.Fatal("it did not stop")
	}
	_, err = http.Get(base + "/")
	assert.Error(t, err, "nobody listens any more")
}

func TestTheProgramRefusesWhatItCannotDo(t *testing.T) {
	var out output
	assert.Error(t, run(context.Background(), []string{"--nonsense"}, noEnvironment, &out))
	assert.Error(t, run(context.Background(), []string{"--addr", "not an address"}, noEnvironment, &out))
	fromEnvironment := func(name string) string {
		if name == "SALTWRIGHT_ADDR" {
			return "256.0.0.1:1"
		}
		return ""
	}
	err := run(context.Background(), nil, fromEnvironment, &out)
	require.Error(t, err)
	assert.True(t, strings.Contains(err.Error(), "256.0.0.1"), "%v", err)
}

func TestTheVersionIsPrinted(t *testing.T) {
	var out output
	args := []string{"--version", "--addr", "not an address"}
	require.NoError(t, run(context.Background(), args, noEnvironment, &out))
	assert.Regexp(t, `^saltwright \d+\.\d+\.\d+ \(commit .+; go1\..+\)\n$`, out.String())
}

// Settings that bite are said when the program starts; run with nothing to serve, it stops at the address.
func TestSettingsThatBiteAreSaid(t *testing.T) {
	secret := filepath.Join(t.TempDir(), "secret")
	require.NoError(t, os.WriteFile(secret, []byte("c29tZSByYW5kb20gYnl0ZXMsIG9yIHNvIHdlIHRlbGw=\n"), 0o600))
	store := []string{"--limit-store-url", "redis://127.0.0.1:1/0"}
	for _, c := range []struct {
		args []string
		says string
	}{
		{nil, ""},
		{[]string{"--per-minute", "0"}, "no limits"},
		{store, "trying them all"},
		{append([]string{"--address-secret-file", secret}, store...), ""},
	} {
		var out output
		assert.Error(t, run(context.Background(), append(c.args, "--addr", "nowhere"), noEnvironment, &out))
		if c.says == "" {
			assert.NotContains(t, out.String(), "WARN", c.args)
		} else {
			assert.Regexp(t, `"level":"WARN".*`+c.says, out.String(), c.args)
		}
	}
	require.NoError(t, os.WriteFile(secret, []byte("short\n"), 0o600))
	for _, bad := range []string{secret, secret + "x"} {
		_, _, err := settings{secretFile: bad, secretPeriod: 24 * time.Hour}.config(nil)
		assert.ErrorContains(t, err, "secret", bad)
	}
	_, _, err := settings{secretPeriod: time.Second}.config(nil)
	assert.ErrorContains(t, err, "an hour")
}
