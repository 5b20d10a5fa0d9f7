package webdocs_test

import (
	"html"
	"net/http"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/install"
)

// The page shows what the service hands out, and its addresses are there.
func TestThePageOfTheClients(t *testing.T) {
	h := host(t)
	w := get(h, "/docs/clients/")
	require.Equal(t, http.StatusOK, w.Code)
	offer, err := install.Load()
	require.NoError(t, err)
	page := html.UnescapeString(w.Body.String())
	for _, want := range []string{offer.Package, offer.Integrity, offer.Sum, offer.Module + "@v" + offer.Version} {
		assert.Contains(t, page, want)
	}
	module := regexp.MustCompile(`/embed/[0-9a-f]{16}/saltwright-client\.js`).FindString(page)
	require.NotEmpty(t, module)
	w = get(h, module)
	assert.Equal(t, http.StatusOK, w.Code)
	assert.Equal(t, "*", w.Header().Get("Access-Control-Allow-Origin"))
}
