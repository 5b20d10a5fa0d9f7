package deploy

import (
	"compress/gzip"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// asBrowser is what browsers accept when somebody opens an address.
const asBrowser = "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"

// One address has several answers, by what a client accepts. The cache gives each client its own, whoever asked first.
func TestNginxKeepsEveryFormOfAnAnswerApart(t *testing.T) {
	program(t, "nginx")
	s := startService(t, "--trusted-proxies", "127.0.0.0/8", "--per-minute", "0")
	type form struct{ accept, encoding, language, media string }
	all := []form{
		{"application/json", "identity", "de", "application/json"},
		{"application/json", "gzip", "de-AT, en;q=0.5", "application/json"},
		{asBrowser, "identity", "es", "text/html"},
		{asBrowser, "gzip", "en", "text/html"},
	}
	onlyJSON := all[:2] // the same in every language
	spoken := append(append([]form{}, onlyJSON...), form{"application/json", "gzip", "es", "application/json"})
	formsOf := map[string][]form{"/": all, "/problems/overloaded": all, "/v1/sources": onlyJSON, question: spoken}
	for path, forms := range formsOf {
		for first := range forms {
			at := startNginx(t, s.addr) // with an empty cache
			order := append(append([]form{}, forms[first:]...), forms[:first]...)
			for round, want := range []string{"MISS", "HIT"} {
				for _, f := range order {
					at, direct := at+path, "http://"+s.addr+path
					fields := []string{"Accept", f.accept, "Accept-Encoding", f.encoding, "Accept-Language", f.language}
					res, body := send(t, "GET", at, "", fields...)
					require.Equal(t, 200, res.StatusCode)
					status := res.Header.Get("X-Cache-Status")
					assert.Equal(t, want, status, "%s %v, round %d, after %v", path, f, round, order[0])
					media, _, _ := strings.Cut(res.Header.Get("Content-Type"), ";")
					assert.Equal(t, f.media, media, "%s asked for as %v, first as %v: %s", path, f, order[0], status)
					own, same := send(t, "GET", direct, "", fields...)
					assert.Equal(t, own.Header.Get("Content-Encoding"), res.Header.Get("Content-Encoding"), "%s %v", path, f)
					assert.Equal(t, own.Header.Get("Content-Language"), res.Header.Get("Content-Language"), "%s %v", path, f)
					assert.Equal(t, own.Header.Get("ETag"), res.Header.Get("ETag"), "%s %v", path, f)
					assert.Equal(t, plain(t, own, same), plain(t, res, body), "%s %v", path, f)
					unchanged, _ := send(t, "GET", at, "", append(fields, "If-None-Match", own.Header.Get("ETag"))...)
					assert.Equal(t, http.StatusNotModified, unchanged.StatusCode, "%s %v", path, f)
				}
			}
		}
	}
}

// plain is a body without its compression.
func plain(t *testing.T, res *http.Response, body string) string {
	t.Helper()
	if res.Header.Get("Content-Encoding") != "gzip" {
		return body
	}
	reader, err := gzip.NewReader(strings.NewReader(body))
	require.NoError(t, err)
	text, err := io.ReadAll(reader)
	require.NoError(t, err)
	return string(text)
}

// Whoever shows a key is counted by it: nothing is given to them out of the cache, and nothing of theirs is kept.
func TestKeysGoAroundTheCacheOfNginx(t *testing.T) {
	program(t, "nginx")
	file := filepath.Join(t.TempDir(), "keys.json")
	// printf secret | sha256sum
	require.NoError(t, os.WriteFile(file, []byte(`[{"id":"shop","per_minute":900,"per_day":9000,
		"sha256":"2bb80d537b1da3e38bd30361aa855686bde0eacd7162fef6a25fe97bf527a25b"}]`), 0o600))
	s := startService(t, "--trusted-proxies", "127.0.0.0/8", "--keys-file", file)
	at := startNginx(t, s.addr)
	ask := func(key string) (status, quota string) {
		fields := []string{}
		if key != "" {
			fields = []string{"X-API-Key", key}
		}
		res, _ := send(t, "GET", at+question, "", fields...)
		return res.Header.Get("X-Cache-Status"), res.Header.Get("RateLimit")
	}
	status, quota := ask("secret")
	assert.Equal(t, "BYPASS", status)
	assert.Contains(t, quota, "key-minute")
	status, quota = ask("")
	assert.Equal(t, "MISS", status, "what was answered to a key was not kept")
	assert.Contains(t, quota, "anon-minute")
	for range 2 {
		status, quota = ask("secret")
		assert.Equal(t, "BYPASS", status, "what was kept is not given to a key")
		assert.Contains(t, quota, "key-minute")
		status, quota = ask("")
		assert.Equal(t, "HIT", status)
		assert.Empty(t, quota)
	}
	res, _ := send(t, "GET", at+question, "", "X-API-Key", "guess")
	assert.Equal(t, http.StatusUnauthorized, res.StatusCode)
}

// nginx tells clients apart by address, those of IPv6 by /64.
func TestNginxTellsSourcesApart(t *testing.T) {
	s := startService(t, "--trusted-proxies", "127.0.0.0/8")
	at := startNginx(t, s.addr,
		"limit_conn sources 100;", "set_real_ip_from 127.0.0.0/8; real_ip_header X-Told;",
		"add_header X-Cache-Status $upstream_cache_status always;", "add_header X-Source $source always;")
	for address, want := range map[string]string{
		"192.0.2.7":                "192.0.2.7",
		"2001:db8:1:2:3:4:5:6":     "2001:db8:1:2",
		"2001:db8:1:2::6":          "2001:db8:1:2",
		"2001:db8::6":              "2001:db8",
		"2001:db8:0:0:ffff::1":     "2001:db8",
		"2001:db8:1::":             "2001:db8:1",
		"2001:db8:1:0:ff:fe:12:34": "2001:db8:1:0", // a single zero is written
	} {
		res, _ := send(t, "GET", at+"/readyz", "", "X-Told", address)
		assert.Equal(t, want, res.Header.Get("X-Source"), address)
	}
}
