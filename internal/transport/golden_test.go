package transport

import (
	"bytes"
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The cases in testdata/api are shared by server, clients and docs. Their
// answers are snapshots of our own code, there to show a change, not to prove a
// number: the numbers are proved in internal/calc. The request of a GET is an
// object of its parameters.
func TestGoldenAnswers(t *testing.T) {
	s := newTestServer(t)
	files, err := filepath.Glob(filepath.Join(root(t), "testdata/api/*/*.request.json"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		id := filepath.Base(filepath.Dir(file))
		name := id + "/" + strings.TrimSuffix(filepath.Base(file), ".request.json")
		t.Run(name, func(t *testing.T) {
			o := s.contract.Operation(id)
			require.NotNil(t, o, "no operation %s", id)
			request, err := os.ReadFile(file)
			require.NoError(t, err)
			r := answered(t, o, request, "")
			again := r
			if !testing.Short() {
				again = ask(t, s, o, request)
			}
			assert.Equal(t, strings.HasSuffix(name, "-problem"), r.status != http.StatusOK,
				"a case ends in -problem if its answer is one; %d", r.status)
			if r.status != http.StatusOK {
				r.body, again.body = withoutID(r.body), withoutID(again.body)
			}
			assert.Equal(t, string(r.body), string(again.body), "the same request gives the same bytes")
			golden := strings.Replace(file, ".request.json", ".response.json", 1)
			var pretty bytes.Buffer
			require.NoError(t, json.Indent(&pretty, r.body, "", " "))
			want, err := os.ReadFile(golden)
			if *update {
				if err != nil || !alikeJSON(t, want, r.body) { // last bits alone are no change to be read
					require.NoError(t, os.WriteFile(golden, pretty.Bytes(), 0o644))
				}
				return
			}
			require.NoError(t, err, "run with -update and read what it writes")
			sameJSON(t, want, r.body)
		})
	}
}

var instance = regexp.MustCompile(`urn:uuid:[0-9a-f-]{36}`)

// withoutID replaces the only thing in a problem that differs from call to call.
func withoutID(body []byte) []byte {
	return instance.ReplaceAll(body, []byte("urn:uuid:00000000-0000-4000-8000-000000000000"))
}

// sameJSON compares two documents; numbers may differ by the last bits, which
// math.Exp and friends do not promise on every processor.
func sameJSON(t *testing.T, want, got []byte) {
	t.Helper()
	w, err := decodeJSON(want)
	require.NoError(t, err)
	g, err := decodeJSON(got)
	require.NoError(t, err)
	same(t, w, g, "")
}

func alikeJSON(t *testing.T, want, got []byte) bool {
	t.Helper()
	w, err := decodeJSON(want)
	require.NoError(t, err)
	g, err := decodeJSON(got)
	require.NoError(t, err)
	return alike(w, g)
}

func same(t *testing.T, want, got any, at string) {
	t.Helper()
	switch w := want.(type) {
	case map[string]any:
		g, ok := got.(map[string]any)
		require.True(t, ok, at)
		for k := range g {
			assert.Contains(t, w, k, at)
		}
		for k, v := range w {
			same(t, v, g[k], at+"/"+k)
		}
	case []any:
		g, ok := got.([]any)
		require.True(t, ok, at)
		require.Len(t, g, len(w), at)
		for i := range w {
			same(t, w[i], g[i], at)
		}
	case json.Number:
		g, ok := got.(json.Number)
		require.True(t, ok, at)
		a, err := w.Float64()
		require.NoError(t, err)
		b, err := g.Float64()
		require.NoError(t, err)
		assert.InDelta(t, a, b, 1e-9*(1+max(a, -a)), at)
	default:
		assert.Equal(t, want, got, at)
	}
}
