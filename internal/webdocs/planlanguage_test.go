package webdocs_test

import (
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"saltwright/internal/packed"
)

// shownAttributes are the attributes that a reader sees or hears.
var shownAttributes = []string{"aria-label", "placeholder", "alt", "title", "aria-valuetext"}

// nodesOf lists the text nodes of a page, and the attributes that are shown. Scripts and code are left out.
func nodesOf(t *testing.T, page string) []string {
	t.Helper()
	doc, err := html.Parse(strings.NewReader(page))
	require.NoError(t, err)
	var out []string
	var walk func(n *html.Node)
	walk = func(n *html.Node) {
		if n.Type == html.TextNode {
			out = append(out, strings.TrimSpace(n.Data))
		}
		if slices.Contains([]string{"script", "style", "code", "pre", "textarea"}, n.Data) {
			return
		}
		for _, a := range n.Attr {
			if slices.Contains(shownAttributes, a.Key) {
				out = append(out, a.Val)
			}
		}
		for c := n.FirstChild; c != nil; c = c.NextSibling {
			walk(c)
		}
	}
	walk(doc)
	return out
}

var (
	aWord = regexp.MustCompile(`\pL{2,}`)
	aName = regexp.MustCompile(`\b[a-z]+_[a-z_]+\b`) // of the contract
	anID  = regexp.MustCompile(`[a-z0-9]+(?:[-._][a-z0-9]+)+`)
)

// sameInBoth lists what a page says in English word for word: what has more than two words beside the names that the
// reader's own plan and the example plans have.
func sameInBoth(t *testing.T, english, other string, names []string) []string {
	t.Helper()
	known := map[string]bool{}
	for _, n := range nodesOf(t, english) {
		known[n] = true
	}
	var out []string
	for _, n := range nodesOf(t, other) {
		rest := n
		for _, name := range names {
			rest = strings.ReplaceAll(strings.ReplaceAll(rest, name, ""), strings.ToUpper(name[:1])+name[1:], "")
		}
		if known[n] && len(aWord.FindAllString(anID.ReplaceAllString(rest, ""), -1)) > 2 {
			out = append(out, n)
		}
	}
	return out
}

// ownNames are those of the example plans, and of the languages in the footer.
func ownNames(t *testing.T, start string) []string {
	t.Helper()
	var out []string
	example := regexp.MustCompile(`<a href="/plan/\?plan=[^"]*">([^<]*)</a>`)
	for _, m := range example.FindAllStringSubmatch(start, -1) {
		out = append(out, strings.ToLower(m[1][:1])+m[1][1:])
	}
	require.Greater(t, len(out), 5)
	slices.SortFunc(out, func(a, b string) int { return len(b) - len(a) }) // none is taken for the beginning of another
	return out
}

// Every state of the workshop, its papers and its refusals, in German and Spanish: nothing is said in English.
func TestTheWorkshopSpeaksItsReadersLanguage(t *testing.T) {
	h := host(t)
	link := linkOf(t, "example-household-shared-probe")
	refused, err := packed.Pack([]byte(`{"display":{"volume_l":60},"room":{"usual":{"temp_c":21}},
		"attendance":{"look_every_h":24},"heaters":[{"id":"h","power_w":-5}]}`))
	require.NoError(t, err)
	clashes, err := packed.Pack([]byte(`{"display":{"volume_l":60},"room":{"usual":{"temp_c":21}},
		"attendance":{"look_every_h":24},"heaters":[{"id":"h","power_w":50,"when_dry":"burns"}],
		"alarms":[{"id":"a","watches":"h","when":"runs_long","path":"audible"}]}`))
	require.NoError(t, err)
	bench := "/plan/?plan=" + link
	gets := map[string]string{
		"the start": "/plan/?", "in US units": "/plan/?units=us", "the bench": bench,
		"a part": bench + "&part=heaters/0", "a new part": bench + "&part=alarms/%2B&units=us",
		"a course": bench + "&fault=sump-probe.frozen_low", "what goes down": bench + "&off=circuit-b",
		"cures": bench + "&cures=1", "pairs": bench + "&risk=1", "a bad link": "/plan/?plan=" + strings.Repeat("A", 40),
		"a refused plan": "/plan/?plan=" + refused, "a plan that clashes": "/plan/?plan=" + clashes,
		"the hand-over":    "/plan/hand-over/?plan=" + link,
		"a bad hand-over":  "/plan/hand-over/?plan=" + strings.Repeat("A", 40),
		"the report":       "/v1/plan-audit?plan=" + link,
		"the report in US": "/v1/plan-audit?units=us&plan=" + link,
	}
	posts := map[string]url.Values{
		"questions unanswered": {"do": {"draft"}, "size": {"large"}, "room": {"warm"}, "away": {""}},
		"nothing to open":      {"do": {"open"}, "document": {"hello"}},
		"a wrong value":        {"do": {"part"}, "part": {"heaters/0"}, "plan": {link}, "power_w": {"hot"}},
		"no such part":         {"do": {"part"}, "part": {"heaters/9"}, "plan": {link}},
	}
	page := func(name, language string) string {
		if fields, ok := posts[name]; ok {
			return send(h, http.MethodPost, "/plan/?language="+language, fields.Encode(), "Content-Type",
				formMedia).Body.String()
		}
		return get(h, gets[name]+"&language="+language, "Accept", "text/html").Body.String()
	}
	names := ownNames(t, page("the start", "en"))
	var states []string
	for name := range gets {
		states = append(states, name)
	}
	for name := range posts {
		states = append(states, name)
	}
	for _, name := range states {
		english := page(name, "en")
		require.Contains(t, english, "<html", name)
		for _, language := range []string{"de", "es"} {
			other := page(name, language)
			assert.Contains(t, other, `<html lang="`+language+`"`, name)
			if strings.HasPrefix(name, "the report") {
				assert.Contains(t, other, `class="code"`, "the address of a report stands on it, to read off paper")
			}
			for _, node := range nodesOf(t, other) {
				if strings.HasPrefix(name, "the report") { // which programs ask for, too: its notes name members
					continue
				}
				assert.NotRegexp(t, aName, node, "%s in %s names what the contract names", name, language)
			}
			for _, said := range sameInBoth(t, english, other, names) {
				assert.Fail(t, "in English", "%s in %s: %s", name, language, said)
			}
		}
	}
}
