package transport

import (
	"bytes"
	"context"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/limit"
)

// from sends a GET from an address.
func from(t testing.TB, s *Server, address, path string, fields ...string) reply {
	t.Helper()
	req := httptest.NewRequest(http.MethodGet, path, nil)
	req.RemoteAddr = net.JoinHostPort(address, "1234")
	for i := 0; i < len(fields); i += 2 {
		req.Header.Set(fields[i], fields[i+1])
	}
	return call(t, s, req)
}

func TestAnAddressStandsForItsNetworks(t *testing.T) {
	for address, want := range map[string][2]string{
		"198.51.100.7":           {"198.51.100.7", "198.51.100.7"},
		"::ffff:198.51.100.7":    {"198.51.100.7", "198.51.100.7"},
		"2001:db8:1:2::1":        {"2001:db8:1:2::/64", "2001:db8:1::/48"},
		"2001:db8:1:2:ffff::9":   {"2001:db8:1:2::/64", "2001:db8:1::/48"},
		"2001:db8:1:3::1":        {"2001:db8:1:3::/64", "2001:db8:1::/48"},
		"2001:db8:2:2::1":        {"2001:db8:2:2::/64", "2001:db8:2::/48"},
		"fe80::1%eth0":           {"fe80::/64", "fe80::/48"},
		"something a proxy says": {"something a proxy says", "something a proxy says"},
	} {
		link, customer := networksOf(address)
		assert.Equal(t, want, [2]string{link, customer}, address)
	}
}

// One customer's /48 has 65 536 links; they have ten links' quotas together, and a stranger's network its own.
func TestACustomerWithManyLinksCannotMultiply(t *testing.T) {
	s := stopped(t, Config{Quotas: Quotas("anon", 500, 1000)})
	admitted, refused := 0, 0
	for i := range 65_536 {
		r := from(t, s, fmt.Sprintf("2001:db8:1:%x::1", i), salinityAt)
		switch r.status {
		case http.StatusOK:
			admitted++
		case http.StatusTooManyRequests:
			assert.Equal(t, []string{"anon-minute-network"}, r.problem(t).Violated)
			refused++
		}
		if refused > 100 {
			break
		}
	}
	assert.Equal(t, 5000, admitted)
	r := from(t, s, "2001:db8:2:1::1", salinityAt)
	assert.Equal(t, http.StatusOK, r.status)
	left := fields(t, r.header.Get("RateLimit"))
	assert.Equal(t, int64(499), left["anon-minute"]["r"])
	assert.Equal(t, int64(4999), left["anon-minute-network"]["r"])
	assert.Len(t, fields(t, from(t, s, "198.51.100.7", salinityAt).header.Get("RateLimit")), 2, "IPv4 has one")
}

// seen is a limiter that remembers whom it was asked for.
type seen struct {
	limit.Limiter
	mu  sync.Mutex
	who map[string]bool
}

func (s *seen) Take(ctx context.Context, client string, cost int, policies []limit.Policy) (limit.Decision, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.who[client] = true
	for _, p := range policies {
		s.who[p.Client] = true
	}
	return s.Limiter.Take(ctx, client, cost, policies)
}

// What a store is told says nothing of an address to whoever has not the secret, and other replicas say the same.
func TestAStoreSeesNoAddresses(t *testing.T) {
	asked := func(secret string) map[string]bool {
		names, err := limit.NewPseudonyms([]byte(secret), 24*time.Hour, time.Now)
		require.NoError(t, err)
		store := &seen{Limiter: limit.NewMemory(time.Now), who: map[string]bool{}}
		s := newServer(t, Config{Quotas: Quotas("anon", 500, 1000), LimitStore: store, Names: names})
		for _, a := range []string{"198.51.100.7", "2001:db8:1:2::1"} {
			require.Equal(t, http.StatusOK, from(t, s, a, salinityAt).status)
		}
		return store.who
	}
	first := asked(strings.Repeat("one secret ", 3))
	assert.Equal(t, first, asked(strings.Repeat("one secret ", 3)))
	for name := range asked(strings.Repeat("another one", 3)) {
		if name != "" {
			assert.NotContains(t, first, name)
			assert.Regexp(t, "^(address|network):[A-Za-z0-9_-]{22}$", name)
		}
	}
}

func TestAProxyThatNobodyTrustsIsNoticedOnce(t *testing.T) {
	for _, c := range []struct {
		peer, forwarded string
		trusted         string
		said            int
	}{
		{"10.1.2.3", "198.51.100.7", "", 1},
		{"127.0.0.1", "198.51.100.7", "", 1},
		{"203.0.113.9", "198.51.100.7", "", 0},
		{"10.1.2.3", "", "", 0},
		{"10.1.2.3", "198.51.100.7", "10.1.0.0/16", 0},
	} {
		var out bytes.Buffer
		cfg := Config{Quotas: Quotas("anon", 500, 1000), Logger: slog.New(slog.NewTextHandler(&out, nil))}
		if c.trusted != "" {
			_, network, err := net.ParseCIDR(c.trusted)
			require.NoError(t, err)
			cfg.TrustedProxies = []*net.IPNet{network}
		}
		s := newServer(t, cfg)
		for range 3 {
			fields := []string{}
			if c.forwarded != "" {
				fields = []string{"X-Forwarded-For", c.forwarded}
			}
			from(t, s, c.peer, salinityAt, fields...)
		}
		assert.Equal(t, c.said, strings.Count(out.String(), "counted as one"), "%+v", c)
		assert.NotContains(t, out.String(), "198.51.100.7")
	}
}
