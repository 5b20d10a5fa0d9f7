package webdocs_test

import (
	"html"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/transport"
	"saltwright/internal/webdocs"
)

// Each widget stands on the page live, beside markup that names the operator's host; without scripts a link to the same
// example as a page stands there, which answers.
func TestEmbedding(t *testing.T) {
	calculate, err := transport.New(transport.Config{})
	require.NoError(t, err)
	site, err := webdocs.New(calculate, webdocs.Origin{Public: "https://saltwright.example/base"})
	require.NoError(t, err)
	for language, without := range map[string]string{
		"en": "A calculator stands here where scripts run.", "de": "Wo Skripte laufen, steht hier ein Rechner.",
		"es": "Donde funcionan los scripts, aquí hay una calculadora.",
	} {
		page := get(site, "/docs/embed/?language="+language).Body.String()
		assert.NotContains(t, page, "127.0.0.1")
		for _, tag := range []string{"heater", "top-off", "salinity", "light", "audit"} {
			tag = "saltwright-" + tag
			live := regexp.MustCompile(`<` + tag + `[ >].*</` + tag + `>`).FindString(page)
			require.Contains(t, live, without, tag)
			link := html.UnescapeString(regexp.MustCompile(`<a href="([^"]*)"`).FindStringSubmatch(live)[1])
			assert.Equal(t, http.StatusOK, get(site, link).Code, link)
			markup := html.UnescapeString(regexp.MustCompile(`(?s)<code data-copy>([^<]*&lt;` + tag + `[^<]*)</code>`).
				FindStringSubmatch(page)[1])
			assert.Contains(t, markup, `src="https://saltwright.example/base/embed/`, tag)
			assert.Contains(t, markup, `<a href="https://saltwright.example/base/`, tag)
			assert.Equal(t, language != "en", strings.Contains(markup, ` lang="`+language+`"`), tag)
		}
		assert.Contains(t, html.UnescapeString(page), "script-src https://saltwright.example/base;")
	}
}
