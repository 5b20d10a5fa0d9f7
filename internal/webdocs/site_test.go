package webdocs_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"

	"saltwright/internal/catalogue"
	"saltwright/internal/transport"
	"saltwright/internal/webdocs"
)

// host routes as the service does: pages to the site, the rest to the API. All tests ask the same one, as all readers
// do, so that a plan of the gallery is followed once.
func host(t *testing.T) http.Handler {
	t.Helper()
	h, err := theHost()
	require.NoError(t, err)
	return h
}

var theHost = sync.OnceValues(func() (http.Handler, error) {
	calculate, err := transport.New(transport.Config{})
	if err != nil {
		return nil, err
	}
	site, err := webdocs.New(calculate, webdocs.Origin{})
	if err != nil {
		return nil, err
	}
	return route(site, calculate), nil
})

func route(site, calculate http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		forPeople := strings.Contains(r.Header.Get("Accept"), "text/html")
		if strings.HasPrefix(r.URL.Path, "/docs") || strings.HasPrefix(r.URL.Path, "/embed/") ||
			forPeople && (r.URL.Path == "/" || strings.HasPrefix(r.URL.Path, "/problems/")) {
			site.ServeHTTP(w, r)
			return
		}
		calculate.ServeHTTP(w, r)
	})
}

func get(h http.Handler, target string, headers ...string) *httptest.ResponseRecorder {
	return send(h, http.MethodGet, target, "", headers...)
}

func send(h http.Handler, method, target, body string, headers ...string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, target, strings.NewReader(body))
	r.Header.Set("Accept", "text/html")
	for i := 0; i+1 < len(headers); i += 2 {
		r.Header.Set(headers[i], headers[i+1])
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

func attr(n *html.Node, name string) (string, bool) {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val, true
		}
	}
	return "", false
}

func texts(n *html.Node) string {
	var out strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			out.WriteString(d.Data + " ")
		}
	}
	return strings.Join(strings.Fields(out.String()), " ")
}

// faults lists what is wrong with a page by itself: structure, labels, anything inline, anything from elsewhere.
func faults(doc *html.Node) []string {
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	ids := idsOf(doc)
	seen := map[string]bool{}
	labelled := map[string]bool{}
	level, firsts, mains := 0, 0, 0
	for n := range doc.Descendants() {
		if n.Type != html.ElementNode {
			continue
		}
		if id, ok := attr(n, "id"); ok {
			if seen[id] || id == "" {
				say("id %q twice or empty", id)
			}
			seen[id] = true
		}
		if n.DataAtom == atom.Label {
			target, _ := attr(n, "for")
			if !ids[target] || texts(n) == "" {
				say("label %q for %q labels nothing", texts(n), target)
			}
			labelled[target] = true
		}
	}
	for n := range doc.Descendants() {
		if n.Type != html.ElementNode {
			continue
		}
		for _, a := range n.Attr {
			if a.Key == "style" || strings.HasPrefix(a.Key, "on") {
				say("inline %s on %s", a.Key, n.Data)
			}
			if a.Key == "aria-labelledby" || a.Key == "aria-describedby" {
				for _, id := range strings.Fields(a.Val) {
					if !ids[id] {
						say("%s names %q, which is not there", a.Key, id)
					}
				}
			}
		}
		switch n.DataAtom {
		case atom.Html:
			if lang, _ := attr(n, "lang"); !slices.Contains(catalogue.Languages, catalogue.Language(lang)) {
				say("html without its language")
			}
		case atom.Main:
			mains++
		case atom.H1, atom.H2, atom.H3, atom.H4:
			now := int(n.Data[1] - '0')
			if now > level+1 {
				say("heading %q skips from %d to %d", texts(n), level, now)
			}
			if level = now; now == 1 {
				firsts++
			}
			if texts(n) == "" {
				say("an empty heading")
			}
		case atom.Style:
			say("a style element")
		case atom.Script:
			if kind, _ := attr(n, "type"); kind == "application/json" {
				break // data, which no browser runs
			}
			src, ok := attr(n, "src")
			if !ok || !strings.HasPrefix(src, "/") || strings.HasPrefix(src, "//") || n.FirstChild != nil {
				say("a script that is inline or from elsewhere")
			}
		case atom.Link, atom.Img:
			for _, key := range []string{"href", "src"} {
				if v, ok := attr(n, key); ok && (!strings.HasPrefix(v, "/") || strings.HasPrefix(v, "//")) {
					say("%s loads %s", n.Data, v)
				}
			}
		case atom.Iframe, atom.Object, atom.Embed, atom.Base:
			say("a %s", n.Data)
		case atom.Input, atom.Select, atom.Textarea:
			kind, _ := attr(n, "type")
			if id, _ := attr(n, "id"); !labelled[id] && kind != "hidden" {
				say("%s %q has no label", n.Data, id)
			}
		case atom.Table:
			if !strings.Contains(render(n), "scope=\"col\"") {
				say("a table without column headings")
			}
		case atom.Title:
			if n.Namespace == "" && texts(n) == "" {
				say("no title")
			}
		}
	}
	if firsts != 1 || mains != 1 {
		say("%d first headings and %d mains", firsts, mains)
	}
	return out
}

func render(n *html.Node) string {
	var out strings.Builder
	_ = html.Render(&out, n)
	return out.String()
}

func idsOf(doc *html.Node) map[string]bool {
	ids := map[string]bool{}
	for n := range doc.Descendants() {
		if id, ok := attr(n, "id"); ok {
			ids[id] = true
		}
	}
	return ids
}

// linksOf are the addresses that a page leads to or loads.
func linksOf(doc *html.Node) []string {
	var out []string
	for n := range doc.Descendants() {
		for _, key := range []string{"href", "src", "action"} {
			if v, ok := attr(n, key); ok && n.Type == html.ElementNode {
				out = append(out, v)
			}
		}
	}
	return out
}

// followed is how many links with a plan are followed of each page that takes one: every plan has the same templates.
const followed = 5

// Every page that a link leads to is there, whole by itself, and its own links lead somewhere.
func TestCrawl(t *testing.T) {
	if testing.Short() {
		t.Skip("audits every plan of the gallery")
	}
	h := host(t)
	queue, met := []string{"/"}, map[string]bool{"/": true}
	pages, fragments, plans := map[string]map[string]bool{}, map[string]string{}, map[string]int{}
	for len(queue) > 0 {
		address := queue[0]
		queue = queue[1:]
		w := get(h, address)
		// A report is one page by itself, with its styles in it, and has tests of its own.
		report := strings.HasPrefix(address, "/v1/")
		page := strings.HasPrefix(w.Header().Get("Content-Type"), "text/html") && !report
		if !assert.Equal(t, http.StatusOK, w.Code, address) || !page {
			continue
		}
		doc, err := html.Parse(w.Body)
		require.NoError(t, err)
		assert.Empty(t, faults(doc), address)
		base, err := url.Parse(address)
		require.NoError(t, err)
		if base.Query().Get("language") == "" {
			assert.Contains(t, texts(doc), "Mains power beside salt water kills", address)
		}
		pages[address] = idsOf(doc)
		for _, link := range linksOf(doc) {
			u, err := base.Parse(link)
			require.NoError(t, err, "%s links to %s", address, link)
			if u.Host != "" {
				assert.Equal(t, "doi.org", u.Host, "%s links to %s", address, link)
				continue
			}
			if u.Fragment != "" {
				fragments[u.Path+"#"+u.Fragment] = address
			}
			u.Fragment = ""
			// Of the other languages, the pages that TestPagesLeaveNoEnglish reads; all of them are the same templates.
			if u.Query().Has("language") && !slices.Contains(spokenPages, u.Path) {
				continue
			}
			if u.String() == "/plan/hand-over/" {
				continue // the action of a form that sends the plan along
			}
			if to := u.String(); !met[to] {
				if u.Query().Has("plan") {
					if plans[u.Path]++; plans[u.Path] > followed {
						continue
					}
				}
				met[to] = true
				queue = append(queue, to)
			}
		}
	}
	for target, from := range fragments {
		page, id, _ := strings.Cut(target, "#")
		if pages[page] != nil {
			assert.True(t, pages[page][id], "%s links to %s", from, target)
		}
	}
	for _, want := range []string{
		"/docs/methods/heat/", "/docs/reference/postPlanAudit/", "/docs/gallery/household-oversized-heater/",
		"/docs/calculators/heater-sizing/", "/problems/not_found", "/docs/sources/", "/openapi.json",
	} {
		assert.True(t, met[want], "nothing leads to %s", want)
	}
	t.Logf("%d addresses, %d pages", len(met), len(pages))
}

// The structural check must be able to fail.
func TestFaultsAreFound(t *testing.T) {
	page := `<!DOCTYPE html><html lang="en"><head><title>x</title></head><body><main><h1>x</h1>%s</main></body></html>`
	for _, bad := range []string{
		`<p id="a"></p><p id="a"></p>`, `<h3>deep</h3>`, `<h1>second</h1>`, `<p style="color:red">x</p>`,
		`<p onclick="x()">x</p>`, `<script>1</script>`, `<script src="https://elsewhere.example/x.js"></script>`,
		`<img src="//elsewhere.example/x.png" alt="">`, `<style>p{}</style>`, `<input id="a">`,
		`<label for="b">b</label>`, `<p aria-describedby="b">x</p>`, `<table><tr><td>1</td></tr></table>`,
		`<iframe src="/"></iframe>`,
	} {
		doc, err := html.Parse(strings.NewReader(fmt.Sprintf(page, bad)))
		require.NoError(t, err)
		assert.NotEmpty(t, faults(doc), bad)
	}
	doc, err := html.Parse(strings.NewReader(fmt.Sprintf(page, `<h2>y</h2><label for="a">a</label><input id="a">`)))
	require.NoError(t, err)
	assert.Empty(t, faults(doc))
}

var hashed = regexp.MustCompile(`/docs/assets/[a-z]+\.[0-9a-f]{16}\.(css|js|svg)`)

func TestHeaders(t *testing.T) {
	h := host(t)
	w := get(h, "/docs/")
	assert.Equal(t, "text/html; charset=utf-8", w.Header().Get("Content-Type"))
	const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; " +
		"connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
	assert.Equal(t, policy, w.Header().Get("Content-Security-Policy"))
	assert.Equal(t, "nosniff", w.Header().Get("X-Content-Type-Options"))
	assert.Equal(t, "no-referrer", w.Header().Get("Referrer-Policy"))
	assert.Equal(t, "public, max-age=300", w.Header().Get("Cache-Control"))
	etag := w.Header().Get("ETag")
	assert.Regexp(t, `^"[0-9a-z]+"$`, etag)

	again := get(h, "/docs/", "If-None-Match", `W/"other", `+etag)
	assert.Equal(t, http.StatusNotModified, again.Code)
	assert.Zero(t, again.Body.Len())
	assert.Equal(t, etag, again.Header().Get("ETag"))

	head := send(h, http.MethodHead, "/docs/", "")
	assert.Equal(t, http.StatusOK, head.Code)
	assert.Zero(t, head.Body.Len())
	assert.Equal(t, fmt.Sprint(w.Body.Len()), head.Header().Get("Content-Length"))

	packed := get(h, "/docs/", "Accept-Encoding", "br, gzip;q=0.5")
	assert.Equal(t, "gzip", packed.Header().Get("Content-Encoding"))
	assert.Equal(t, "Accept-Language, Accept-Encoding", packed.Header().Get("Vary"))
	assert.NotEqual(t, etag, packed.Header().Get("ETag"), "two encodings are two entities")
	assert.Less(t, packed.Body.Len(), w.Body.Len()/2)
	assert.Empty(t, get(h, "/docs/", "Accept-Encoding", "gzip;q=0").Header().Get("Content-Encoding"))

	files := hashed.FindAllString(w.Body.String(), -1)
	require.NotEmpty(t, files)
	for _, file := range files {
		w := get(h, file)
		assert.Equal(t, http.StatusOK, w.Code, file)
		assert.Equal(t, "public, max-age=31536000, immutable", w.Header().Get("Cache-Control"), file)
		assert.NotEmpty(t, w.Header().Get("ETag"), file)
	}
	assert.Equal(t, http.StatusNotFound, get(h, "/docs/assets/site.0000000000000000.css").Code)
}

func TestAddresses(t *testing.T) {
	h := host(t)
	w := get(h, "/docs/calculators/evaporation?length_mm=900")
	assert.Equal(t, http.StatusTemporaryRedirect, w.Code)
	assert.Equal(t, "/docs/calculators/evaporation/?length_mm=900", w.Header().Get("Location"))
	assert.Equal(t, http.StatusTemporaryRedirect, get(h, "/docs").Code)

	for _, missing := range []string{
		"/docs/nothing", "/docs/nothing/", "/docs/calculators/nothing/", "/docs/reference/nothing/",
		"/docs/reference/schemas/Nothing/", "/docs/methods/nothing/", "/docs/gallery/nothing/", "/problems/nothing",
		"/docs/assets/../../site.go", "/embed/v1/nothing.js",
	} {
		w := get(h, missing)
		assert.Contains(t, []int{http.StatusNotFound, http.StatusTemporaryRedirect}, w.Code, missing)
		assert.NotContains(t, w.Header().Get("Cache-Control"), "immutable", missing)
	}
	w = send(h, http.MethodPost, "/docs/", "")
	assert.Equal(t, http.StatusMethodNotAllowed, w.Code)
	assert.Equal(t, "GET, HEAD", w.Header().Get("Allow"))
	w = send(h, http.MethodDelete, "/docs/calculators/plan-audit/", "")
	assert.Equal(t, http.StatusMethodNotAllowed, w.Code)
	assert.Equal(t, "GET, HEAD, POST", w.Header().Get("Allow"))
	assert.Equal(t, http.StatusMethodNotAllowed, send(h, http.MethodPost, "/docs/calculators/evaporation/", "").Code)
}

// A problem's page has the API's own words.
func TestProblemPages(t *testing.T) {
	h := host(t)
	w := get(h, "/problems/invalid_request")
	require.Equal(t, http.StatusOK, w.Code)
	assert.Contains(t, strings.Split(w.Header().Get("Vary"), ", "), "Accept")
	said := get(h, "/problems/invalid_request", "Accept", "application/json").Body.String()
	for _, member := range []string{"title", "meaning", "remedy"} {
		m := regexp.MustCompile(`"` + member + `":"([^"]+)"`).FindStringSubmatch(said)
		require.NotNil(t, m, said)
		assert.Contains(t, w.Body.String(), m[1])
	}
}
