package webdocs

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/catalogue"
	"saltwright/internal/contract"
	"saltwright/internal/phrase"
)

func built(t *testing.T, calculate http.HandlerFunc, widgets fstest.MapFS) *Site {
	t.Helper()
	var s *Site
	var err error
	if widgets == nil {
		s, err = build(calculate, nil, Origin{})
	} else {
		s, err = build(calculate, widgets, Origin{})
	}
	require.NoError(t, err)
	return s
}

func ask(s http.Handler, ctx context.Context, target string) *httptest.ResponseRecorder {
	r := httptest.NewRequestWithContext(ctx, http.MethodGet, target, nil)
	r.RemoteAddr = "192.0.2.7:1234"
	r.Header.Set("X-Forwarded-For", "198.51.100.9")
	w := httptest.NewRecorder()
	s.ServeHTTP(w, r)
	return w
}

func TestWidgets(t *testing.T) {
	padding := strings.Repeat("// padding so that it is worth packing\n", 40)
	code := "export class Heat extends HTMLElement {}\n" + padding
	sri := integrity([]byte(code))
	list := func(sri string, bytes int) fstest.MapFS {
		const manifest = `{"files":{"heat.js":{"sri":%[1]q,"bytes":%[2]d,"brotli":100,"tag":"saltwright-heater"},` +
			`"all.js":{"sri":%[1]q,"bytes":%[2]d,"brotli":100,"tag":"*"}}}`
		return fstest.MapFS{
			"dist/manifest.json": {Data: []byte(fmt.Sprintf(manifest, sri, bytes))},
			"dist/heat.js":       {Data: []byte(code)},
			"dist/heat.js.br":    {Data: make([]byte, 100)},
			"dist/all.js":        {Data: []byte(code)},
			"dist/all.js.br":     {Data: make([]byte, 100)},
		}
	}
	s := built(t, http.NotFound, list(sri, len(code)))
	latest := ask(s, t.Context(), "/embed/v1/heat.js")
	require.Equal(t, http.StatusOK, latest.Code)
	assert.Equal(t, code, latest.Body.String())
	assert.Equal(t, "public, max-age=300", latest.Header().Get("Cache-Control"))
	assert.Equal(t, "*", latest.Header().Get("Access-Control-Allow-Origin"))
	assert.Equal(t, "cross-origin", latest.Header().Get("Cross-Origin-Resource-Policy"))
	assert.Equal(t, "text/javascript; charset=utf-8", latest.Header().Get("Content-Type"))

	page := ask(s, t.Context(), "/docs/embed/").Body.String()
	assert.Contains(t, page, "<saltwright-heater length-mm=")
	assert.Contains(t, page, `crossorigin="anonymous"`)
	_, rest, ok := strings.Cut(page, `<script type="module" src="/embed/`)
	require.True(t, ok, page)
	address, _, _ := strings.Cut(rest, `"`)
	pinned := ask(s, t.Context(), "/embed/"+address)
	require.Equal(t, http.StatusOK, pinned.Code)
	assert.Equal(t, "public, max-age=31536000, immutable", pinned.Header().Get("Cache-Control"))
	assert.Equal(t, "*", pinned.Header().Get("Access-Control-Allow-Origin"))

	for coding, want := range map[string]string{
		"gzip, br": "br", "gzip": "gzip", "br;q=0, gzip": "gzip", "identity": "",
	} {
		r := httptest.NewRequestWithContext(t.Context(), http.MethodGet, "/embed/v1/heat.js", nil)
		r.Header.Set("Accept-Encoding", coding)
		rec := httptest.NewRecorder()
		s.ServeHTTP(rec, r)
		assert.Equal(t, want, rec.Header().Get("Content-Encoding"), coding)
		assert.Equal(t, "Accept-Encoding", rec.Header().Get("Vary"), coding)
		if want == "br" {
			assert.Equal(t, 100, rec.Body.Len())
		}
	}

	stale := ask(s, t.Context(), "/embed/0123456789abcdef/heat.js")
	assert.Equal(t, http.StatusNotFound, stale.Code)
	assert.Equal(t, "no-store", stale.Header().Get("Cache-Control"))

	for _, wrong := range []fstest.MapFS{
		list("sha384-x", len(code)), list(sri, 1), {},
		{"dist/manifest.json": {Data: []byte("{")}}, {"dist/manifest.json": {Data: []byte(`{"files":{"heat.js":{}}}`)}},
	} {
		_, err := build(http.NotFoundHandler(), wrong, Origin{})
		assert.Error(t, err)
	}
}

// An answer that is refused for a while says so, with when to come back; the caller is who is counted.
func TestLimitsReachTheReader(t *testing.T) {
	var from, forwarded string
	s := built(t, func(w http.ResponseWriter, r *http.Request) {
		from, forwarded = r.RemoteAddr, r.Header.Get("X-Forwarded-For")
		w.Header().Set("Retry-After", "7")
		w.Header().Set("Content-Type", "application/problem+json")
		w.WriteHeader(http.StatusTooManyRequests)
		_, _ = w.Write([]byte(`{"title":"Too many requests","detail":"Wait 7 s.","code":"x"}`))
	}, nil)
	for _, target := range []string{
		"/docs/calculators/evaporation/?length_mm=1", "/docs/gallery/household-sound/", "/docs/sources/",
		"/docs/problems/",
	} {
		w := ask(s, t.Context(), target)
		assert.Equal(t, http.StatusTooManyRequests, w.Code, target)
		assert.Equal(t, "7", w.Header().Get("Retry-After"), target)
		assert.Contains(t, w.Body.String(), "Wait 7 s.", target)
		assert.Equal(t, "no-store", w.Header().Get("Cache-Control"), target)
	}
	assert.Equal(t, "192.0.2.7:1234", from)
	assert.Equal(t, "198.51.100.9", forwarded)

	w := ask(s, t.Context(), "/")
	assert.Equal(t, http.StatusOK, w.Code, "the front page does without its answers")
	assert.Equal(t, "no-store", w.Header().Get("Cache-Control"), "and is not kept so")
}

func TestCausesAreNotShown(t *testing.T) {
	s := built(t, func(w http.ResponseWriter, _ *http.Request) { _, _ = w.Write([]byte("not JSON, secret")) }, nil)
	w := ask(s, t.Context(), "/docs/calculators/evaporation/?length_mm=1")
	assert.Equal(t, http.StatusInternalServerError, w.Code)
	assert.NotContains(t, w.Body.String(), "secret")
}

// One plan is audited once, however many ask at the same time; who leaves does not spoil it for the rest.
func TestGalleryAuditsOnce(t *testing.T) {
	var calls atomic.Int32
	waiting, release := make(chan struct{}, 64), make(chan struct{})
	s := built(t, func(w http.ResponseWriter, r *http.Request) {
		calls.Add(1)
		waiting <- struct{}{}
		select {
		case <-release:
		case <-r.Context().Done():
			w.WriteHeader(http.StatusInternalServerError)
			return
		}
		assert.Equal(t, "charts", r.URL.Query().Get("include"))
		_, _ = w.Write([]byte(`{"result":{"findings":[],"faults":[]},"summary":"one","cautions":[],
			"charts":[{"title":"If","x":{"kind":"numbers","max":1},"y":{"kind":"numbers","max":1}}]}`))
	}, nil)
	const target = "/docs/gallery/household-sound/"
	ctx, leave := context.WithCancel(t.Context())
	left := make(chan int)
	go func() { left <- ask(s, ctx, target).Code }()
	<-waiting
	leave()
	assert.Equal(t, http.StatusServiceUnavailable, <-left)
	first := calls.Load()
	var all sync.WaitGroup
	for range 10 {
		all.Go(func() {
			w := ask(s, t.Context(), target)
			assert.Equal(t, http.StatusOK, w.Code)
			assert.Contains(t, w.Body.String(), `<figcaption><strong>If</strong></figcaption>`)
			assert.Contains(t, w.Body.String(), `<svg role="img"`)
		})
	}
	<-waiting
	close(release)
	all.Wait()
	assert.Equal(t, first+1, calls.Load(), "once, with the drawings")

	assert.Equal(t, http.StatusNotFound, ask(s, t.Context(), "/docs/gallery/nothing/").Code)
	assert.Equal(t, first+1, calls.Load(), "nobody is asked for a plan that there is not")
}

func TestContractIsReadInOrder(t *testing.T) {
	c, err := contract.Load()
	require.NoError(t, err)
	x := calculatorNamed(c, "evaporation", phrase.In(catalogue.English))
	require.NotNil(t, x)
	var names []string
	for _, m := range x.post.Body.Members {
		names = append(names, m.Name)
	}
	assert.Equal(t, []string{"length_mm", "width_mm", "water_c"}, names[:3])
	length := x.post.Body.Member("length_mm")
	assert.True(t, length.Required)
	assert.Equal(t, "10 to 20 000\u00a0mm", rangeFor(x.voice, length.Schema, false))
	assert.Equal(t, "25.5 °C", defaultFor(x.voice, x.post.Body.Member("water_c").Schema, false))
	assert.NotEmpty(t, problemCodes(c))
}

func TestWords(t *testing.T) {
	for member, want := range map[[2]string]string{
		{"recommended_w", "W"}: "recommended", {"low_l_d", "L/d"}: "low", {"room_c", "degC"}: "room",
		{"dli_mol_m2_d", "mol/(m2 d)"}: "daily light",
		{"rh_percent", "%"}:            "relative humidity", {"practical_psu", "1"}: "practical", {"lid", ""}: "lid",
	} {
		assert.Equal(t, want, plainName(member[0], member[1]), member[0])
	}
	for in, want := range map[string]string{
		"227.34987": "227.3", "0.00012346": "0.0001235", "-3": "−3", "12345": "12 345", "1e-9": "1e-09", "0.5": "0.5",
		"-17.999999": "−18",
	} {
		v, err := decode([]byte(in))
		require.NoError(t, err)
		assert.Equal(t, want, scalarText(phrase.In(catalogue.English), v), in)
	}
	_, err := decode([]byte(`{} {}`))
	assert.Error(t, err)
}

// A comma is a decimal comma only where it can be nothing else: a thousandfold mistake must not pass for a number.
func TestFormsReadNumbersAsPeopleTypeThem(t *testing.T) {
	c, err := contract.Load()
	require.NoError(t, err)
	x := calculatorNamed(c, "heater-sizing", phrase.In(catalogue.English))
	for typed, sent := range map[string]string{
		"19,5": "19.5", " 19.5 ": "19.5", "-3,25": "-3.25", "−3": "-3", "0,025": "0.025", "1,0255": "1.0255",
		"1,200": "1,200", "12,000": "12,000", "1,2,3": "1,2,3", "a1,5": "a1,5", "68F": "20", "68 °F": "20",
	} {
		asked, _ := x.query(url.Values{"room_c": {typed}})
		assert.Equal(t, sent, asked.Get("room_c"), typed)
	}
}

func TestKeep(t *testing.T) {
	page := `<a class="x" href="/docs/?a=b#c">1</a> <a href="/openapi.json">2</a> ` +
		`<a href="#here">3</a> ` +
		`<link rel="icon" href="/docs/assets/x"> <form method="post" action="/plan/"></form>` +
		`<a href="/plan/?language=es">4</a>`
	want := `<a class="x" href="/docs/?a=b&amp;language=de#c">1</a> <a href="/openapi.json">2</a> ` +
		`<a href="#here">3</a> ` +
		`<link rel="icon" href="/docs/assets/x"> <form method="post" action="/plan/?language=de"></form>` +
		`<a href="/plan/?language=es">4</a>`
	assert.Equal(t, want, string(keep([]byte(page), catalogue.German)))
}
