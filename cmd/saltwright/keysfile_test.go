package main

import (
	"context"
	"crypto/sha256"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// withKey asks with a key and returns the status.
func withKey(t *testing.T, addr, key string) *http.Response {
	t.Helper()
	req, err := http.NewRequest(http.MethodGet, "http://"+addr+"/v1/sources", nil)
	require.NoError(t, err)
	req.Header.Set("X-API-Key", key)
	res, err := http.DefaultClient.Do(req)
	require.NoError(t, err)
	require.NoError(t, res.Body.Close())
	return res
}

// writeKeys replaces a keys file as a mounted Secret is replaced: by a link to another file.
func writeKeys(t *testing.T, file string, keys ...string) {
	t.Helper()
	var entries []string
	for _, key := range keys {
		entries = append(entries, fmt.Sprintf(`{"id":%q,"sha256":"%x","per_minute":900,"per_day":9000}`,
			key, sha256.Sum256([]byte(key))))
	}
	replace(t, file, "["+strings.Join(entries, ",")+"]")
}

func replace(t *testing.T, file, text string) {
	t.Helper()
	target, err := os.CreateTemp(filepath.Dir(file), "version")
	require.NoError(t, err)
	_, err = target.WriteString(text)
	require.NoError(t, err)
	require.NoError(t, target.Close())
	link := file + ".new"
	require.NoError(t, os.Symlink(target.Name(), link))
	require.NoError(t, os.Rename(link, file))
}

func TestKeysComeFromAFileAndChangeWithIt(t *testing.T) {
	file := filepath.Join(t.TempDir(), "keys.json")
	writeKeys(t, file, "one")
	addr := started(t, "--keys-file", file)
	res := withKey(t, addr, "one")
	assert.Equal(t, http.StatusOK, res.StatusCode)
	assert.Contains(t, res.Header.Get("RateLimit-Policy"), `"key-minute";q=900;w=60`)
	assert.Equal(t, http.StatusUnauthorized, withKey(t, addr, "two").StatusCode)

	writeKeys(t, file, "two")
	require.NoError(t, syscall.Kill(os.Getpid(), syscall.SIGHUP))
	becomes := func(key string, status int, within time.Duration) {
		t.Helper()
		start := time.Now()
		answered := func() bool { return withKey(t, addr, key).StatusCode == status }
		assert.Eventually(t, answered, within, 200*time.Millisecond)
		t.Logf("%s is answered %d after %v", key, status, time.Since(start).Round(time.Millisecond))
	}
	becomes("two", http.StatusOK, time.Second)
	assert.Equal(t, http.StatusUnauthorized, withKey(t, addr, "one").StatusCode)

	replace(t, file, "[{") // half a file changes nothing
	require.NoError(t, syscall.Kill(os.Getpid(), syscall.SIGHUP))
	time.Sleep(200 * time.Millisecond)
	assert.Equal(t, http.StatusOK, withKey(t, addr, "two").StatusCode)

	writeKeys(t, file, "one", "two") // and nobody says so
	becomes("one", http.StatusOK, keysEvery+2*time.Second)
	assert.Equal(t, http.StatusOK, withKey(t, addr, "two").StatusCode)

	var out output
	assert.Error(t, run(context.Background(), []string{"--keys-file", file + "x"}, noEnvironment, &out))
}

func TestWithoutKeysAHangUpDoesNothing(t *testing.T) {
	addr := started(t)
	require.NoError(t, syscall.Kill(os.Getpid(), syscall.SIGHUP))
	time.Sleep(100 * time.Millisecond)
	assert.Equal(t, http.StatusUnauthorized, withKey(t, addr, "one").StatusCode, "it lives")
}
