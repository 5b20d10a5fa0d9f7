package webdocs_test

import (
	"net/http"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"saltwright/internal/catalogue"
	"saltwright/internal/contract"
	"saltwright/internal/methods"
	"saltwright/internal/transport"
)

// spokenPages are those that every language has, besides the calculators.
var spokenPages = []string{
	"/", "/docs/calculators/", "/docs/gallery/", "/docs/gallery/reef-sound/", "/docs/gallery/reef-two-big-heaters/",
	"/docs/embed/", "/problems/not_found", "/problems/invalid_request", "/problems/quota_exceeded",
	"/docs/methods/", "/docs/", "/docs/clients/", "/docs/problems/", "/docs/reference/", "/docs/sources/",
	"/docs/texts/",
	"/docs/calculators/nothing-of-this-name/", "/docs/calculators/heater-sizing/?length_mm=wide",
	"/docs/calculators/heater-sizing/?length_mm=5&width_mm=500&water_depth_mm=500&room_c=90",
	"/docs/calculators/heater-sizing/?length_mm=900&width_mm=500&water_depth_mm=500&room_c=19&units=us&samples=20",
}

// sameEverywhere are texts of more than two words that every language writes alike.
var sameEverywhere = regexp.MustCompile(`^(` + strings.Join([]string{
	`[\d\s.,:−+·–/%()°-]*(\p{L}{1,4}[\d\s.,:−+·–/%()°-]*)*`, // numbers with their units
	`application/problem\+json.*`,
	`(curl|GET|POST) .*`,
}, "|") + `)$`)

// spoken are the texts of a page that a person reads or hears, without what stands in English by its own lang
// attribute, in code or in scripts.
func spoken(n *html.Node, out *[]string) {
	if n.Type == html.TextNode {
		*out = append(*out, strings.Join(strings.Fields(n.Data), " "))
	}
	if slices.Contains([]string{"code", "pre", "textarea", "script", "style"}, n.Data) {
		return
	}
	for _, a := range n.Attr {
		if a.Key == "lang" && a.Val == "en" {
			return
		}
		described := n.Data == "meta" && a.Key == "content"
		if described || slices.Contains([]string{"aria-label", "title", "alt", "placeholder"}, a.Key) {
			*out = append(*out, a.Val)
		}
	}
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		spoken(c, out)
	}
}

// textsOf are the texts of a page in a language.
func textsOf(t *testing.T, h http.Handler, path string, l catalogue.Language) []string {
	t.Helper()
	mark := "?"
	if strings.Contains(path, "?") {
		mark = "&"
	}
	w := get(h, path+mark+"language="+string(l))
	require.Equal(t, string(l), w.Header().Get("Content-Language"), path)
	doc, err := html.Parse(strings.NewReader(w.Body.String()))
	require.NoError(t, err)
	var out []string
	spoken(doc, &out)
	return out
}

// TestPagesLeaveNoEnglish compares the texts of each page in German and Spanish with those of the English one: none of
// more than two words is the same, and none holds small words of English.
func TestPagesLeaveNoEnglish(t *testing.T) {
	h := host(t)
	pages := slices.Clone(spokenPages)
	c, err := contract.Load()
	require.NoError(t, err)
	seldom := []string{"plan-draft", "plan-remedies", "plan-risk", "batch"} // their examples take seconds
	for _, o := range c.Operations {
		if o.Method == http.MethodPost && o.Body != nil && !(testing.Short() && slices.Contains(seldom, o.Name())) {
			pages = append(pages, "/docs/calculators/"+o.Name()+"/")
		}
		pages = append(pages, "/docs/reference/"+o.ID+"/")
	}
	for _, s := range c.Schemas {
		pages = append(pages, "/docs/reference/schemas/"+s.Name+"/")
	}
	subjects, err := methods.Read()
	require.NoError(t, err)
	for _, s := range subjects {
		pages = append(pages, "/docs/methods/"+s.Address()+"/")
	}
	for _, path := range pages {
		english := textsOf(t, h, path, catalogue.English)
		for _, l := range []catalogue.Language{catalogue.German, catalogue.Spanish} {
			for _, said := range textsOf(t, h, path, l) {
				if strings.Count(said, " ") >= 2 && slices.Contains(english, said) {
					assert.Regexp(t, sameEverywhere, said, "%s says this in English and in %s", path, l)
				}
				for _, word := range []string{" the ", " of the ", " with the ", " is not ", " must be "} {
					named := strings.HasPrefix(path, "/docs/gallery/") // the example plans have English names
					assert.False(t, !named && strings.Contains(said, word), "%s in %s: %s", path, l, said)
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
	assert.Contains(t, w.Body.String(), `<a href="/docs/calculators/?language=de" lang="de" hreflang="de"`)
	assert.NotContains(t, w.Body.String(), `rel="canonical"`, "there is no whole address to say")
	assert.NotContains(t, w.Body.String(), `rel="alternate"`)

	chosen := get(h, "/docs/calculators/heater-sizing/?language=de", "Accept-Language", "es")
	assert.Equal(t, "de", chosen.Header().Get("Content-Language"))
	body := chosen.Body.String()
	assert.Contains(t, body, `href="/docs/gallery/?language=de"`)
	assert.Contains(t, body, `<input type="hidden" name="language" value="de">`)
	public, err := transport.New(transport.Config{PublicURL: "https://salt.example/reef"})
	require.NoError(t, err)
	placed := get(public, "/docs/calculators/heater-sizing/?language=de").Body.String()
	const at = "https://salt.example/reef/docs/calculators/heater-sizing/"
	assert.Contains(t, placed, `<link rel="canonical" href="`+at+`?language=de">`)
	assert.Contains(t, placed, `<link rel="alternate" hreflang="es" href="`+at+`?language=es">`)
	assert.Contains(t, placed, `<link rel="alternate" hreflang="x-default" href="`+at+`">`)
	assert.NotContains(t, body, `assets/site.css?language`)
	assert.Equal(t, http.StatusOK, get(h, "/?language=tlh").Code, "an unknown language is none")
	assert.NotEqual(t, get(h, "/").Header().Get("ETag"), get(h, "/?language=de").Header().Get("ETag"))
}
