package limit

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func pseudonyms(t *testing.T, secret string, c *clock) *Pseudonyms {
	t.Helper()
	p, err := NewPseudonyms([]byte(secret), 24*time.Hour, c.now)
	require.NoError(t, err)
	return p
}

func TestPseudonymsAgreeAndChange(t *testing.T) {
	const secret, other = "a secret of thirty-two bytes, and", "some secret of thirty-two bytes ."
	c := newClock()
	one, two := pseudonyms(t, secret, c), pseudonyms(t, secret, c)
	first := one.Of("198.51.100.7")
	assert.Regexp(t, "^[A-Za-z0-9_-]{22}$", first)
	assert.Equal(t, first, two.Of("198.51.100.7"), "replicas agree")
	assert.NotEqual(t, first, one.Of("198.51.100.8"))
	assert.NotEqual(t, first, pseudonyms(t, other, c).Of("198.51.100.7"), "without the secret nobody can try addresses")
	seen := map[string]bool{}
	for range 30 {
		seen[one.Of("198.51.100.7")] = true
		assert.Equal(t, one.Of("198.51.100.7"), two.Of("198.51.100.7"))
		c.pass(24 * time.Hour)
	}
	assert.Len(t, seen, 30, "a new name every day")
}

// The construction, written a second time with another HMAC: in Python,
// base64.urlsafe_b64encode(hmac.digest(hmac.digest(s, struct.pack(">q", day), "sha256"), a, "sha256")[:16]).
func TestPseudonymsAreHMAC(t *testing.T) {
	c := newClock() // day 20833 since 1970
	p := pseudonyms(t, "0123456789abcdef0123456789abcdef", c)
	assert.Equal(t, int64(20833), c.now().Unix()/86400)
	assert.Equal(t, "xydQ6WrN_-it9lhJomm2EQ", p.Of("198.51.100.7"))
}

func TestWeakPseudonymsAreRefused(t *testing.T) {
	_, err := NewPseudonyms([]byte("short"), 24*time.Hour, time.Now)
	assert.ErrorContains(t, err, "32 bytes")
	_, err = NewPseudonyms(RandomSecret(), time.Minute, time.Now)
	assert.ErrorContains(t, err, "an hour")
	assert.NotEqual(t, RandomSecret(), RandomSecret())
}

func BenchmarkPseudonym(b *testing.B) {
	p, err := NewPseudonyms(RandomSecret(), 24*time.Hour, time.Now)
	require.NoError(b, err)
	address := "198.51.100.7"
	b.ReportAllocs()
	for b.Loop() {
		p.Of(address)
	}
}
