package transport

import (
	"encoding/xml"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"saltwright/internal/negotiate"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func auditAs(t *testing.T, s *Server, file, accept string) reply {
	t.Helper()
	request, err := os.ReadFile(filepath.Join(root(t), "testdata/api/postPlanAudit", file+".request.json"))
	require.NoError(t, err)
	req := httptest.NewRequest(http.MethodPost, "/v1/plan-audit", strings.NewReader(string(request)))
	req.Header.Set("Content-Type", "application/json")
	if accept != "" {
		req.Header.Set("Accept", accept)
	}
	return call(t, s, req)
}

func TestAcceptChoosesTheReport(t *testing.T) {
	for _, c := range []struct{ accept, want string }{
		{"", asJSON}, {"*/*", asJSON}, {"text/html", asHTML},
		{"text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8", asHTML},
		{"text/markdown, application/json;q=0.5", asMarkdown}, {"application/json, text/html", asJSON},
		{"text/*", asMarkdown},
		{"image/png", asJSON}, {"text/html;q=0", asJSON}, {"text/html;q=x", asJSON}, {";;;", asJSON},
	} {
		assert.Equal(t, c.want, negotiate.Preferred(c.accept, asJSON, asMarkdown, asHTML), c.accept)
	}
	s := newTestServer(t)
	for accept, media := range map[string]string{"text/markdown": asMarkdown, "text/html": asHTML,
		"application/json": asJSON} {
		r := auditAs(t, s, "example-household-oversized-heater", accept)
		assert.Equal(t, http.StatusOK, r.status)
		assert.True(t, strings.HasPrefix(r.header.Get("Content-Type"), media), accept)
		assert.Contains(t, strings.Split(r.header.Get("Vary"), ", "), "Accept")
		again := auditAs(t, s, "example-household-oversized-heater", accept)
		assert.Equal(t, string(r.body), string(again.body), "the same request gives the same bytes")
	}
	bad := auditAs(t, s, "every-kind-of-mistake-problem", "text/html")
	assert.Equal(t, http.StatusUnprocessableEntity, bad.status)
	assert.Contains(t, bad.header.Get("Content-Type"), "application/problem+json")
}

// The page asks nothing of anybody: no script, no address but its own and the names of two vocabularies, and every
// drawing says what it shows to who cannot see it.
func TestTheReportIsOnePageByItself(t *testing.T) {
	s := newTestServer(t)
	r := auditAs(t, s, "example-household-oversized-heater", "text/html")
	page := string(r.body)
	assert.NotContains(t, page, "<script")
	assert.Contains(t, r.header.Get("Content-Security-Policy"), "default-src 'none'")
	for _, address := range regexp.MustCompile(`https?://[^"' >]+`).FindAllString(page, -1) {
		if own := "http://example.com/v1/plan-audit?plan="; strings.HasPrefix(address, own) {
			target := strings.TrimPrefix(address, "http://example.com")
			again := call(t, s, httptest.NewRequest(http.MethodGet, target, nil))
			assert.Equal(t, http.StatusOK, again.status, "the link of the report leads to the audit again")
			continue
		}
		assert.Contains(t, []string{"http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"}, address)
	}
	drawings := regexp.MustCompile(`(?s)<svg .*?</svg>`).FindAllString(page, -1)
	assert.GreaterOrEqual(t, len(drawings), 3)
	for _, d := range drawings {
		if strings.Contains(d, `aria-hidden="true"`) {
			continue // a sample in a key, beside its words
		}
		assert.Contains(t, d, `role="img"`)
		if strings.Contains(d, `class="code"`) {
			continue // drawn black on white in every theme, as readers of codes need it
		}
		if !strings.Contains(d, `class="drawing-`) {
			assert.Regexp(t, `aria-label="If [^"]{30,}"`, d)
		}
		assert.NotContains(t, d, "#000000", "the page's own colour")
		assert.NotContains(t, d, "#-")
		dec := xml.NewDecoder(strings.NewReader(d))
		for {
			if _, err := dec.Token(); errors.Is(err, io.EOF) {
				break
			} else {
				require.NoError(t, err)
			}
		}
	}
	assert.Equal(t, strings.Count(page, "<table"), strings.Count(page, "<thead>"), "every table has headers")
	named := strings.Count(page, "<caption>") + strings.Count(page, "<table aria-label=")
	assert.Equal(t, strings.Count(page, "<table"), named)
	for _, word := range []string{"What to change", "every month", "Caution", "lost"} {
		assert.Contains(t, page, word)
	}
}

func TestMarkdownFitsAForumPost(t *testing.T) {
	s := newTestServer(t)
	r := auditAs(t, s, "example-household-oversized-heater", "text/markdown")
	text := string(r.body)
	assert.Less(t, len(text), 32000, "forums take some 32 000 characters")
	assert.NotRegexp(t, `<[a-zA-Z/]`, text, "no HTML")
	assert.True(t, strings.HasPrefix(text, "# "))
	rows := regexp.MustCompile(`(?m)^\|.*\|$`).FindAllString(text, -1)
	assert.Greater(t, len(rows), 15)
}

// Names that a keeper chooses reach the page as text.
func TestNamesDoNotBecomeMarkup(t *testing.T) {
	s := newTestServer(t)
	body := `{"name":"<img src=x onerror=alert(1)> | *tank*","display":{"volume_l":200},` +
		`"room":{"usual":{"temp_c":21}},"heaters":[{"id":"heater","power_w":200}],"attendance":{"look_every_h":24,` +
		`"longest_absence_h":48}}`
	for _, accept := range []string{asHTML, asMarkdown} {
		req := httptest.NewRequest(http.MethodPost, "/v1/plan-audit", strings.NewReader(body))
		req.Header.Set("Content-Type", "application/json")
		req.Header.Set("Accept", accept)
		r := call(t, s, req)
		require.Equal(t, http.StatusOK, r.status, "%s", r.body)
		assert.NotContains(t, string(r.body), "<img")
	}
}
