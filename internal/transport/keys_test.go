package transport

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func keysOf(t testing.TB, entries ...string) *Keys {
	t.Helper()
	k, err := ReadKeys([]byte("[" + strings.Join(entries, ",") + "]"))
	require.NoError(t, err)
	return k
}

func TestAKeyAndTheOneItReplacesShareOneQuota(t *testing.T) {
	both := keysOf(t, fmt.Sprintf(`{"id":"shop","sha256":%q,"previous_sha256":%q,"per_minute":900,"per_day":9000}`,
		hashOf("new"), hashOf("old")))
	assert.Equal(t, 2, both.Len())
	s := stopped(t, Config{Quotas: Quotas("anon", 500, 1000), Keys: both})
	for i, key := range []string{"old", "new", "old", "new"} {
		r := request(t, s, http.MethodGet, salinityAt, "X-API-Key", key)
		require.Equal(t, http.StatusOK, r.status, key)
		assert.Equal(t, int64(899-i), fields(t, r.header.Get("RateLimit"))["key-minute"]["r"], "one quota")
	}
	both.Replace(keysOf(t, fmt.Sprintf(`{"id":"shop","sha256":%q,"per_minute":900,"per_day":9000}`, hashOf("new"))))
	r := request(t, s, http.MethodGet, salinityAt, "X-API-Key", "old")
	assert.Equal(t, 401, r.status, "replaced while it serves")
	r = request(t, s, http.MethodGet, salinityAt, "X-API-Key", "new")
	assert.Equal(t, int64(895), fields(t, r.header.Get("RateLimit"))["key-minute"]["r"], "what was used stays used")
	for name, previous := range map[string]string{"no hash": "old", "the same": hashOf("new")} {
		entry := fmt.Sprintf(`[{"id":"shop","sha256":%q,"previous_sha256":%q,"per_minute":9,"per_day":90}]`,
			hashOf("new"), previous)
		_, err := ReadKeys([]byte(entry))
		assert.Error(t, err, name)
	}
}

func TestWrongKeysCostAndAreLimited(t *testing.T) {
	keys := keysOf(t, fmt.Sprintf(`{"id":"shop","sha256":%q,"per_minute":900,"per_day":9000}`, hashOf("right")))
	for _, guesser := range [][2]string{{"198.51.100.7", "198.51.100.7"}, {"2001:db8:1:2::1", "2001:db8:1:ffff::1"}} {
		s := stopped(t, Config{Quotas: Quotas("anon", 500, 1000), Keys: keys})
		s.gate.guesses = s.gate.limiter // no time passes there either
		for i := range wrongKeys[0].Quota {
			r := from(t, s, guesser[0], salinityAt, "X-API-Key", fmt.Sprint("guess", i))
			require.Equal(t, http.StatusUnauthorized, r.status, i)
			left := fields(t, r.header.Get("RateLimit"))["anon-minute"]["r"]
			assert.Equal(t, int64(499-i), left, "it costs the address a unit")
		}
		for _, key := range []string{"guess", "right"} {
			r := from(t, s, guesser[1], salinityAt, "X-API-Key", key)
			assert.Equal(t, http.StatusTooManyRequests, r.status, "it is not looked at any more")
			assert.Equal(t, []string{"wrong-keys"}, r.problem(t).Violated)
			assert.Equal(t, "2", r.header.Get("Retry-After"))
		}
		assert.Equal(t, http.StatusOK, from(t, s, guesser[1], salinityAt).status, "without a key it is served")
		r := from(t, s, "203.0.113.1", salinityAt, "X-API-Key", "right")
		assert.Equal(t, http.StatusOK, r.status, "and others with theirs")
	}
	s := stopped(t, Config{Quotas: Quotas("anon", 500, 500), Keys: keys})
	for range 500 {
		require.Equal(t, http.StatusOK, get(t, s, salinityAt).status)
	}
	r := request(t, s, http.MethodGet, salinityAt, "X-API-Key", "guess")
	assert.Equal(t, http.StatusTooManyRequests, r.status)
	r = request(t, s, http.MethodGet, salinityAt, "X-API-Key", "right")
	assert.Equal(t, http.StatusOK, r.status, "neighbours who have used up their quota shut no holder of a key out")
}
