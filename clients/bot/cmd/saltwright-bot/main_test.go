package main

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/clients/bot/forumwebhook"
	"saltwright/clients/bot/standardwebhooks"
)

// shelf is a service that answers every heater sizing with the case that all clients share.
func shelf(t *testing.T) string {
	t.Helper()
	data, err := os.ReadFile("../../../../testdata/api/postHeaterSizing/example.response.json")
	require.NoError(t, err)
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path != "/v1/heater-sizing" {
			w.WriteHeader(http.StatusTeapot)
			return
		}
		w.Header().Set("Content-Location", "/v1/heater-sizing?length_mm=1200")
		_, _ = w.Write(data)
	}))
	t.Cleanup(s.Close)
	return s.URL
}

// page is an output that a test reads while the program writes it.
type page struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (p *page) Write(data []byte) (int, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.text.Write(data)
}

func (p *page) String() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.text.String()
}

const question = "heaters for 120x60x50 cm, room 18 C"

func TestAsk(t *testing.T) {
	for name, c := range map[string]struct{ args, in string }{
		"arguments": {question, ""},
		"input":     {"", question + "\n"},
	} {
		t.Run(name, func(t *testing.T) {
			var out, errOut page
			args := append(
				[]string{"-service", shelf(t), "-public", "https://saltwright.example", "-ask"},
				strings.Fields(c.args)...,
			)
			require.NoError(
				t,
				run(
					context.Background(), args, func(string) string { return "" }, strings.NewReader(c.in), &out,
					&errOut,
				),
			)
			assert.Contains(t, out.String(), "Heating needed 218 W")
			assert.Contains(t, out.String(), "/docs/calculators/heater-sizing/?length_mm=1200")
			assert.Empty(t, errOut.String())
		})
	}
	var out page
	err := run(
		context.Background(), []string{"-service", "http://127.0.0.1:1", "-ask", question},
		func(string) string { return "" }, nil, &out, io.Discard,
	)
	assert.ErrorContains(t, err, "refused", "one on the command line is told why")
}

func TestSettings(t *testing.T) {
	short := "short"
	secretOf := "whsec_" + strings.Repeat("QUFB", 8)
	file := filepath.Join(t.TempDir(), "secret")
	require.NoError(t, os.WriteFile(file, []byte(secretOf+"\n"), 0o600))
	for name, c := range map[string]struct {
		args []string
		env  map[string]string
		says string
	}{
		"nothing set up":     {nil, nil, "no platform is set up"},
		"an unknown flag":    {[]string{"-x"}, nil, "-x"},
		"words without -ask": {[]string{"heaters"}, nil, "behind -ask"},
		"no workers":         {[]string{"-workers", "0"}, nil, "-workers 0: at least 1"},
		"a queue too long":   {[]string{"-queue", "1000"}, nil, "-queue 1000: at most 168"},
		"a stop too short": {
			[]string{"-stop-timeout", "5s"}, nil, "-stop-timeout 5s: at least 20s.*without a store",
		},
		"a store of another kind": {
			[]string{"-dry-run"},
			map[string]string{
				"STORE_URL": "https://store.example", "FORUM_SECRET": secretOf, "FORUM_USER": "x",
			}, "redis://host:port/0",
		},
		"a store that is not there": {
			[]string{"-dry-run"},
			map[string]string{
				"STORE_URL": "redis://127.0.0.1:1/0", "FORUM_SECRET": secretOf, "FORUM_USER": "x",
			}, "store: .*refused",
		},
		"an address that is none": {
			nil, map[string]string{"STANDARD_SECRET": secretOf, "STANDARD_REPLY_URL": "bridge.example/replies"},
			"STANDARD_REPLY_URL: want an address",
		},
		"no service":      {[]string{"-service", "saltwright.example"}, nil, "absolute|beginning of an address"},
		"standard secret": {nil, map[string]string{"STANDARD_SECRET": short}, "24 to 64 bytes"},
		"standard address": {
			nil, map[string]string{"STANDARD_SECRET": secretOf}, "STANDARD_REPLY_URL is needed, or -dry-run",
		},
		"standard by file": {
			nil, map[string]string{"STANDARD_SECRET_FILE": file}, "STANDARD_REPLY_URL is needed, or -dry-run",
		},
		"no such file": {nil, map[string]string{"STANDARD_SECRET_FILE": file + "x"}, "STANDARD_SECRET_FILE"},
		"forum secret": {nil, map[string]string{"FORUM_SECRET": short}, "at least 16"},
		"forum user": {
			[]string{"-dry-run"}, map[string]string{"FORUM_SECRET": secretOf}, "must know its own posts",
		},
		"forum key": {
			nil, map[string]string{"FORUM_SECRET": secretOf, "FORUM_USER": "x", "FORUM_URL": "https://forum.example"},
			"FORUM_KEY is needed",
		},
		"interactions key": {nil, map[string]string{"INTERACTIONS_KEY": short}, "64 hexadecimal digits"},
		"application": {
			nil, map[string]string{"INTERACTIONS_KEY": strings.Repeat("ab", 32)}, "INTERACTIONS_APPLICATION is needed",
		},
		"interactions API": {
			nil, map[string]string{"INTERACTIONS_KEY": strings.Repeat("ab", 32), "INTERACTIONS_APPLICATION": "7"},
			"INTERACTIONS_API is needed",
		},
	} {
		t.Run(name, func(t *testing.T) {
			ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
			defer cancel()
			err := run(
				ctx, append([]string{"-addr", "127.0.0.1:0"}, c.args...),
				func(n string) string { return c.env[strings.TrimPrefix(n, prefix)] }, nil, io.Discard, io.Discard,
			)
			require.Error(t, err)
			assert.Regexp(t, c.says, err.Error())
			assert.NotContains(t, err.Error(), secretOf)
			assert.NotRegexp(t, `\bshort\b`, err.Error(), "a secret is never shown")
		})
	}
}

// started runs the program with all three platforms set up, and stops it in the end.
func started(t *testing.T, args []string, env map[string]string) (base string, out, log *page, stop func() error) {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	out, log = &page{}, &page{}
	done := make(chan error, 1)
	go func() {
		done <- run(
			ctx, append([]string{"-addr", "127.0.0.1:0", "-service", shelf(t)}, args...),
			func(n string) string { return env[strings.TrimPrefix(n, prefix)] }, nil, out, log,
		)
	}()
	address := regexp.MustCompile(`"msg":"listens","url":"(http://[^"]+)"`)
	require.Eventually(t, func() bool { return address.MatchString(log.String()) }, 10*time.Second, 5*time.Millisecond)
	var once sync.Once
	var err error
	stop = func() error { once.Do(func() { cancel(); err = <-done }); return err }
	t.Cleanup(func() { _ = stop() })
	return address.FindStringSubmatch(log.String())[1], out, log, stop
}

func post(t *testing.T, address, body string, h map[string]string) (int, string) {
	t.Helper()
	r, err := http.NewRequest(http.MethodPost, address, strings.NewReader(body))
	require.NoError(t, err)
	for name, v := range h {
		r.Header.Set(name, v)
	}
	res, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	defer res.Body.Close()
	data, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	return res.StatusCode, string(data)
}

func TestAllPlatforms(t *testing.T) {
	private := ed25519.NewKeyFromSeed([]byte("a seed for tests, 32 bytes long."))
	secretText := "whsec_" + strings.Repeat("QUFB", 8)
	base, out, log, stop := started(t, []string{"-dry-run", "-admin-addr", "127.0.0.1:0"}, map[string]string{
		"STANDARD_SECRET": "whsec_" + strings.Repeat("QkJC", 8), "STANDARD_SECRET_OLD": secretText,
		"FORUM_SECRET": "sixteen characters and more", "FORUM_USER": "SaltBot",
		"INTERACTIONS_KEY": hex.EncodeToString(private.Public().(ed25519.PublicKey)), "INTERACTIONS_APPLICATION": "77",
	})
	now := time.Now()
	timestamp := strconv.FormatInt(now.Unix(), 10)
	for name, c := range map[string]struct {
		path, body string
		sign       func(body string) map[string]string
		status     int
		answer     string
	}{
		"standard": {"/hooks/standard", `{"type":"message.created","data":{"message_id":"m1","thread_id":"t1",` +
			`"author":{"id":"a1"},"text":"@saltwright ` + question + `"}}`,
			func(body string) map[string]string {
				key, err := standardwebhooks.Secret(secretText)
				require.NoError(t, err)
				return map[string]string{
					"webhook-id": "d1", "webhook-timestamp": timestamp,
					"webhook-signature": standardwebhooks.Sign(key, "d1", timestamp, []byte(body)),
				}
			}, 202, ""},
		"forum": {"/hooks/forum", fmt.Sprintf(
			`{"post":{"id":1,"user_id":7,"username":"ann","topic_id":5,"post_number":1,"post_type":1,"version":1,`+
				`"created_at":%q,"raw":"@saltwright %s"}}`,
			now.UTC().Format(time.RFC3339), question,
		),
			func(body string) map[string]string {
				return map[string]string{
					"X-Discourse-Event": "post_created",
					"X-Discourse-Event-Signature": forumwebhook.Sign(
						[]byte("sixteen characters and more"), []byte(body),
					),
				}
			}, 202, ""},
		"interactions": {"/hooks/interactions", `{"id":"9","type":2,"application_id":"77","token":"abc",` +
			`"channel_id":"5","user":{"id":"7"},"data":{"name":"ask","options":[{"name":"question",` +
			`"value":"` + question + `"}]}}`,
			func(body string) map[string]string {
				return map[string]string{
					"X-Signature-Timestamp": timestamp,
					"X-Signature-Ed25519":   hex.EncodeToString(ed25519.Sign(private, []byte(timestamp+body))),
				}
			}, 200, `{"type":5}`},
	} {
		status, answer := post(t, base+c.path, c.body, c.sign(c.body))
		assert.Equal(t, c.status, status, name)
		assert.Equal(t, c.answer, strings.TrimSpace(answer), name)
		status, _ = post(t, base+c.path, c.body, c.sign(c.body+" "))
		assert.Equal(t, http.StatusUnauthorized, status, name)
	}
	// A bridge that reports the bot's own reply as a message, and does not say that a bot wrote it.
	echo := `{"type":"message.created","data":{"message_id":"m2","thread_id":"t1","author":{"id":"saltwright-bot"},` +
		`"direct":true,"text":"` + question + `"}}`
	key, err := standardwebhooks.Secret(secretText)
	require.NoError(t, err)
	status, _ := post(
		t, base+"/hooks/standard", echo,
		map[string]string{
			"webhook-id": "d2", "webhook-timestamp": timestamp,
			"webhook-signature": standardwebhooks.Sign(key, "d2", timestamp, []byte(echo)),
		},
	)
	assert.Equal(t, 204, status)
	for _, path := range []string{"/healthz", "/readyz"} {
		assert.NoError(t, run(
			context.Background(), []string{"-check", base + path}, func(string) string { return "" }, nil, io.Discard,
			io.Discard,
		), path)
	}
	admin := regexp.MustCompile(`"msg":"listens for operators","url":"(http://[^"]+)"`).FindStringSubmatch(log.String())
	require.Len(t, admin, 2)
	require.Eventually(t, func() bool { return strings.Count(out.String(), "would send:") == 3 }, 10*time.Second,
		5*time.Millisecond)
	res, err := http.Get(admin[1] + "/metrics")
	require.NoError(t, err)
	metrics, err := io.ReadAll(res.Body)
	require.NoError(t, errors.Join(err, res.Body.Close()))
	for _, line := range []string{
		`saltwright_bot_events_total{platform="standard",verdict="own"} 1`,
		`saltwright_bot_events_total{platform="forum",verdict="taken"} 1`,
		`saltwright_bot_waiting 0`, `saltwright_bot_build_info{contract="`,
	} {
		assert.Contains(t, string(metrics), line)
	}
	assert.Error(t, run(
		context.Background(), []string{"-check", base + "/metrics"}, func(string) string { return "" }, nil, io.Discard,
		io.Discard,
	), "metrics are not for everybody")
	require.NoError(t, stop(), "stopping answers what waits")
	assert.Equal(t, 3, strings.Count(out.String(), "would send:"))
	assert.Equal(t, 3, strings.Count(out.String(), "Heating needed 218 W"))
	assert.Equal(t, 3, strings.Count(log.String(), `"verdict":"taken"`))
	assert.Equal(t, 1, strings.Count(log.String(), `"verdict":"own"`))
	assert.Equal(t, 3, strings.Count(log.String(), `"status":401`), "what was refused is in the log")
	for _, never := range []string{"QUFB", "QkJC", "sixteen", question} {
		assert.NotContains(t, log.String(), never, "neither secrets nor texts")
	}
}

func TestAPlatformThatIsNotSetUpIsNotThere(t *testing.T) {
	base, _, _, stop := started(
		t, []string{"-dry-run"},
		map[string]string{"FORUM_SECRET": "sixteen characters and more", "FORUM_USER": "SaltBot"},
	)
	for path, status := range map[string]int{
		"/hooks/forum": 401, "/hooks/standard": 404, "/hooks/interactions": 404, "/": 404,
	} {
		got, _ := post(t, base+path, "{}", nil)
		assert.Equal(t, status, got, path)
	}
	require.NoError(t, stop())
}

// Replies reach the platform, signed in by the bot's key.
func TestRepliesAreSent(t *testing.T) {
	got := make(chan *http.Request, 1)
	bodies := make(chan string, 1)
	forum := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		data, _ := io.ReadAll(r.Body)
		got <- r
		bodies <- string(data)
	}))
	defer forum.Close()
	base, _, log, stop := started(
		t, nil,
		map[string]string{
			"FORUM_SECRET": "sixteen characters and more", "FORUM_USER": "SaltBot", "FORUM_KEY": "a key",
			"FORUM_URL": forum.URL,
		},
	)
	body := fmt.Sprintf(
		`{"post":{"id":1,"user_id":7,"username":"ann","topic_id":5,"post_number":2,"post_type":1,"version":1,`+
			`"created_at":%q,"raw":"@saltwright %s"}}`,
		time.Now().UTC().Format(time.RFC3339), question,
	)
	status, _ := post(
		t, base+"/hooks/forum", body,
		map[string]string{
			"X-Discourse-Event":           "post_created",
			"X-Discourse-Event-Signature": forumwebhook.Sign([]byte("sixteen characters and more"), []byte(body)),
		},
	)
	assert.Equal(t, 202, status)
	own := strings.Replace(strings.Replace(body, `"ann"`, `"saltbot"`, 1), `"id":1`, `"id":2`, 1)
	status, _ = post(
		t, base+"/hooks/forum", own,
		map[string]string{
			"X-Discourse-Event":           "post_created",
			"X-Discourse-Event-Signature": forumwebhook.Sign([]byte("sixteen characters and more"), []byte(own)),
		},
	)
	assert.Equal(t, 204, status)
	require.NoError(t, stop())
	require.Len(t, got, 1)
	r := <-got
	assert.Equal(t, "/posts.json", r.URL.Path)
	assert.Equal(t, "a key", r.Header.Get("Api-Key"))
	assert.Contains(t, <-bodies, "Heating needed 218 W")
	assert.Equal(t, 1, strings.Count(log.String(), `"verdict":"taken"`))
	assert.Equal(t, 1, strings.Count(log.String(), `"verdict":"own"`))
	assert.NotContains(t, log.String(), "a key")
}
