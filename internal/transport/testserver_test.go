package transport

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"saltwright/api"
	"saltwright/internal/contract"
	"saltwright/internal/packed"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func init() { // a report is text; the contract says no more of it
	for _, media := range []string{asMarkdown, asHTML} {
		openapi3filter.RegisterBodyDecoder(media, openapi3filter.RegisteredBodyDecoder("text/plain"))
	}
}

var update = flag.Bool("update", false, "rewrite the golden answers; read the diff")

// newTestServer serves without limits. It is one for all tests: what it keeps, no answer shows.
func newTestServer(t testing.TB) *Server {
	t.Helper()
	s, err := theServer()
	require.NoError(t, err)
	return s
}

var theServer = sync.OnceValues(func() (*Server, error) { return New(Config{}) })

// reply is an answer that has been held against the contract.
type reply struct {
	status int
	header http.Header
	body   []byte
}

func (r reply) problem(t testing.TB) problem {
	t.Helper()
	var p problem
	require.NoError(t, json.Unmarshal(r.body, &p), "%s", r.body)
	return p
}

// call sends a request and validates the answer, whatever it is, against the contract.
func call(t testing.TB, s *Server, req *http.Request) reply {
	t.Helper()
	rec := httptest.NewRecorder()
	s.ServeHTTP(rec, req)
	res := rec.Result()
	body, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	assert.Equal(t, "*", res.Header.Get("Access-Control-Allow-Origin"), "every answer is open to pages")
	assert.Len(t, res.Header.Get("X-Request-Id"), 36)
	r := reply{status: res.StatusCode, header: res.Header, body: body}
	var o *contract.Operation
	for _, candidate := range s.contract.Operations {
		method := req.Method
		if method == http.MethodHead {
			method = http.MethodGet
		}
		if candidate.Method == method && matches(candidate.Path, req.URL.Path) {
			o = candidate
		}
	}
	if o == nil || req.Method == http.MethodHead {
		if r.status >= 400 && req.Method != http.MethodHead {
			problemFits(t, r)
		}
		return r
	}
	err = openapi3filter.ValidateResponse(context.Background(), &openapi3filter.ResponseValidationInput{
		RequestValidationInput: &openapi3filter.RequestValidationInput{Request: req, Route: routeIn(closed(), o)},
		Status:                 r.status, Header: r.header, Body: io.NopCloser(bytes.NewReader(body)),
		Options: &openapi3filter.Options{IncludeResponseStatus: true, MultiError: true},
	})
	require.NoError(t, err, "%s %s answered %d outside the contract", req.Method, req.URL.Path, r.status)
	return r
}

// document is the contract as the library reads it, to hold answers against it.
var document = sync.OnceValues(func() (*openapi3.T, error) { return openapi3.NewLoader().LoadFromData(api.OpenAPI) })

func kinDocument(t testing.TB) *openapi3.T {
	t.Helper()
	doc, err := document()
	require.NoError(t, err)
	return doc
}

func route(t testing.TB, o *contract.Operation) *routers.Route { return routeIn(kinDocument(t), o) }

func routeIn(doc *openapi3.T, o *contract.Operation) *routers.Route {
	item := doc.Paths.Value(o.Path)
	return &routers.Route{Spec: doc, Path: o.Path, PathItem: item, Method: o.Method,
		Operation: item.GetOperation(o.Method)}
}

// closed is the contract with every object closed: clients must take answers with members that the contract does not
// name yet, but we answer none.
var closed = sync.OnceValue(func() *openapi3.T {
	doc, err := openapi3.NewLoader().LoadFromData(api.OpenAPI)
	if err != nil {
		panic(err)
	}
	no := false
	schemas(doc, func(_ string, s *openapi3.Schema) {
		if s.Type.Is("object") {
			s.AdditionalProperties.Has = &no
		}
	})
	return doc
})

// matches tells whether a path of the contract has this shape.
func matches(template, path string) bool {
	a, b := strings.Split(template, "/"), strings.Split(path, "/")
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] && !strings.HasPrefix(a[i], "{") {
			return false
		}
	}
	return true
}

// ask sends the members of a request to an operation as its method takes them:
// as a body, or as path and query parameters.
func ask(t testing.TB, s *Server, o *contract.Operation, request []byte) reply {
	t.Helper()
	return askIn(t, s, o, request, "")
}

// askIn is ask with the texts in a system of units; that of the request where it is empty.
func askIn(t testing.TB, s *Server, o *contract.Operation, request []byte, units string) reply {
	t.Helper()
	if o.Body != nil {
		path := o.Path
		if units != "" {
			path += "?units=" + units
		}
		return post(t, s, path, string(request))
	}
	v, err := decodeJSON(request)
	require.NoError(t, err)
	path, query := o.Path, url.Values{}
	members := v.(map[string]any)
	switch pack := func(document []byte) {
		written, err := packed.Pack(document)
		require.NoError(t, err)
		query.Set("plan", written)
	}; o.Packs {
	case "#":
		pack(request)
		members = nil
	case "#/plan":
		document, err := json.Marshal(members["plan"])
		require.NoError(t, err)
		pack(document)
		delete(members, "plan")
	}
	for name, value := range members {
		if in := "{" + name + "}"; strings.Contains(path, in) {
			path = strings.Replace(path, in, url.PathEscape(fmt.Sprint(value)), 1)
		} else {
			query.Set(name, fmt.Sprint(value))
		}
	}
	if units != "" {
		query.Set("units", units)
	}
	if len(query) > 0 {
		path += "?" + query.Encode()
	}
	return get(t, s, path)
}

// answers are what several tests read, by what was asked.
var answers sync.Map

// answered is askIn for a test that only reads the answer: what another test asked is not calculated again.
func answered(t testing.TB, o *contract.Operation, request []byte, units string) reply {
	t.Helper()
	if units == "" && o.Body != nil && o.ModelVersion != "" { // what they are without a word; a batch takes none
		units = "metric"
	}
	v, err := decodeJSON(request)
	require.NoError(t, err)
	sorted, err := json.Marshal(v)
	require.NoError(t, err)
	key := fmt.Sprint(o.ID, " ", units, " ", string(sorted))
	if known, ok := answers.Load(key); ok {
		return known.(reply)
	}
	r := askIn(t, newTestServer(t), o, request, units)
	answers.Store(key, r)
	return r
}

// problemFits holds a problem at an address without an operation against the Problem schema.
func problemFits(t testing.TB, r reply) {
	t.Helper()
	assert.Equal(t, "application/problem+json", r.header.Get("Content-Type"))
	v, err := decodeJSON(r.body)
	require.NoError(t, err)
	require.NoError(t, closed().Components.Schemas["Problem"].Value.VisitJSON(v, openapi3.MultiErrors()))
}

func post(t testing.TB, s *Server, path, body string) reply {
	t.Helper()
	req := httptest.NewRequest(http.MethodPost, path, strings.NewReader(body))
	req.Header.Set("Content-Type", "application/json")
	return call(t, s, req)
}

func get(t testing.TB, s *Server, path string) reply {
	t.Helper()
	return call(t, s, httptest.NewRequest(http.MethodGet, path, nil))
}

// root is the top of the repository.
func root(t testing.TB) string {
	t.Helper()
	dir, err := os.Getwd()
	require.NoError(t, err)
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir
		}
		parent := filepath.Dir(dir)
		require.NotEqual(t, dir, parent, "no go.mod above")
		dir = parent
	}
}
