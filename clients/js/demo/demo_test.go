package demo

import (
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTheShopPinsWhatItEmbeds(t *testing.T) {
	shop, err := New("https://saltwright.example/base/")
	require.NoError(t, err)
	rec := httptest.NewRecorder()
	shop.ServeHTTP(rec, httptest.NewRequest("GET", "/", nil))
	require.Equal(t, 200, rec.Code)
	page := rec.Body.String()
	assert.Equal(t, 5, strings.Count(page, `src="https://saltwright.example/base/embed/`))
	assert.Equal(t, 5, strings.Count(page, `integrity="sha384-`))
	policy := rec.Header().Get("Content-Security-Policy")
	assert.Contains(t, policy, "script-src https://saltwright.example;")
	assert.Contains(t, policy, "require-trusted-types-for 'script'")
	assert.NotContains(t, policy, "unsafe")
}

func TestTheShopShowsWhatItGotAsText(t *testing.T) {
	shop, err := New("http://127.0.0.1:8080")
	require.NoError(t, err)
	r := httptest.NewRequest("POST", "/enquiry", strings.NewReader("heating=%3Cscript%3E&reach=a"))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	rec := httptest.NewRecorder()
	shop.ServeHTTP(rec, r)
	assert.Contains(t, rec.Body.String(), "&lt;script&gt;")
	assert.NotContains(t, rec.Body.String(), "<script>")
}

func TestTheShopNeedsAService(t *testing.T) {
	for _, base := range []string{"", "127.0.0.1:8080", "ftp://saltwright.example", "https://"} {
		_, err := New(base)
		require.ErrorContains(t, err, "want an address", base)
	}
}
