package webdocs_test

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"saltwright/internal/catalogue"
	"saltwright/internal/phrase"
)

// spokenPages are those that every language has.
var spokenPages = []string{
	"/", "/docs/calculators/", "/docs/gallery/", "/docs/gallery/reef-sound/", "/docs/embed/", "/problems/not_found",
	"/docs/calculators/heater-sizing/", "/docs/calculators/top-off-endurance/",
	"/docs/calculators/salinity-conversion/",
	"/docs/calculators/light-schedule-score/", "/docs/calculators/outage-endurance/", "/docs/calculators/plan-audit/",
	"/docs/methods/", "/docs/methods/evaporation/", "/docs/methods/audit/",
	"/docs/calculators/nothing-of-this-name/", "/docs/calculators/heater-sizing/?length_mm=wide",
}

// said is the text of a node without what stands in English by its own lang attribute, in code or in scripts.
func said(n *html.Node, out *strings.Builder) {
	if n.Type == html.TextNode {
		out.WriteString(n.Data + "\n")
	}
	for _, a := range n.Attr {
		if a.Key == "lang" && a.Val == "en" || n.Data == "code" || n.Data == "pre" || n.Data == "textarea" {
			return
		}
	}
	if n.Data == "code" || n.Data == "pre" || n.Data == "textarea" || n.Data == "script" {
		return
	}
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		said(c, out)
	}
}

// TestPagesLeaveNoEnglish looks on every page in German and Spanish for sentences of the English file.
func TestPagesLeaveNoEnglish(t *testing.T) {
	h := host(t)
	english := phrase.In(catalogue.English)
	for _, l := range []catalogue.Language{catalogue.German, catalogue.Spanish} {
		whole := l == catalogue.Spanish || slices.Contains(catalogue.Whole, l) // German texts are still being written
		for _, path := range spokenPages {
			mark := "?"
			if strings.Contains(path, "?") {
				mark = "&"
			}
			w := get(h, path+mark+"language="+string(l))
			assert.Equal(t, string(l), w.Header().Get("Content-Language"), path)
			doc, err := html.Parse(strings.NewReader(w.Body.String()))
			require.NoError(t, err)
			var text strings.Builder
			said(doc, &text)
			for _, code := range english.Codes() {
				sentence := english.Text(code)
				zone := strings.HasPrefix(code, "zone_") // as it stands in English titles of example plans, too
				if strings.Count(sentence, " ") < 2 || strings.ContainsAny(sentence, "{<") || zone {
					continue
				}
				assert.NotContains(t, text.String(), sentence, "%s in %s says %s in English", path, l, code)
			}
			for _, word := range []string{" the ", " of the ", " with the ", " is not ", " must be "} {
				at := strings.Index(text.String(), word)
				named := strings.HasPrefix(path, "/docs/gallery/") // the example plans have English names and members
				if at >= 0 && whole && !named {
					s := text.String()
					assert.Fail(t, "English", "%s in %s: …%s…", path, l, s[max(0, at-60):min(len(s), at+60)])
				}
			}
		}
	}
}

func TestLanguageOfAPage(t *testing.T) {
	h := host(t)
	w := get(h, "/docs/calculators/", "Accept-Language", "es-MX, en;q=0.5")
	assert.Equal(t, "es", w.Header().Get("Content-Language"))
	assert.Contains(t, w.Header().Get("Vary"), "Accept-Language")
	assert.Contains(t, w.Body.String(), `<html lang="es"`)
	assert.Contains(t, w.Body.String(), `href="/docs/calculators/heater-sizing/"`, "nothing chosen, nothing to keep")
	assert.Contains(t, w.Body.String(), `hreflang="de" href="/docs/calculators/?language=de"`)

	chosen := get(h, "/docs/calculators/heater-sizing/?language=de", "Accept-Language", "es")
	assert.Equal(t, "de", chosen.Header().Get("Content-Language"))
	body := chosen.Body.String()
	assert.Contains(t, body, `href="/docs/gallery/?language=de"`)
	assert.Contains(t, body, `<input type="hidden" name="language" value="de">`)
	assert.Contains(t, body, `<link rel="canonical" href="/docs/calculators/heater-sizing/?language=de">`)
	assert.NotContains(t, body, `assets/site.css?language`)
	assert.Equal(t, http.StatusOK, get(h, "/?language=tlh").Code, "an unknown language is none")
	assert.NotEqual(t, get(h, "/").Header().Get("ETag"), get(h, "/?language=de").Header().Get("ETag"))
}
