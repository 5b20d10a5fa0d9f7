package transport

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// README's calls give README's answers; those may leave members and items out, nothing else.
func TestReadmeIsTrue(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(root(t), "README.md"))
	require.NoError(t, err)
	assert.Contains(t, string(text), "\n    go run ./cmd/saltwright\n")
	assert.Contains(t, string(text), "\n    go test ./...\n")
	example := "(?s)```sh\ncurl \"http://127.0.0.1:8080([^\"]+)\"(?:[^`]*?-d '([^']*)')?\n```\n```json\n(.*?)\n```"
	calls := regexp.MustCompile(example).FindAllStringSubmatch(string(text), -1)
	require.Len(t, calls, 4)
	s := newTestServer(t)
	for _, c := range calls {
		method := http.MethodGet
		if c[2] != "" {
			method = http.MethodPost
		}
		req := httptest.NewRequest(method, c[1], strings.NewReader(c[2]))
		req.Header.Set("Content-Type", "application/json")
		r := call(t, s, req)
		require.Equal(t, 200, r.status, "%s", r.body)
		want, err := decodeJSON([]byte(c[3]))
		require.NoError(t, err)
		got, err := decodeJSON(r.body)
		require.NoError(t, err)
		shows(t, want, got, c[1])
	}
}

// shows checks that everything in part stands in whole; lists may be cut at their end.
func shows(t *testing.T, part, whole any, at string) {
	t.Helper()
	switch p := part.(type) {
	case map[string]any:
		w, ok := whole.(map[string]any)
		require.True(t, ok, at)
		require.NotEmpty(t, p, at)
		for k, v := range p {
			require.Contains(t, w, k, at)
			shows(t, v, w[k], at+"/"+k)
		}
	case []any:
		w, ok := whole.([]any)
		require.True(t, ok, at)
		require.LessOrEqual(t, len(p), len(w), at)
		for i := range p {
			shows(t, p[i], w[i], fmt.Sprintf("%s/%d", at, i))
		}
	case json.Number:
		same(t, p, whole, at)
	default:
		assert.Equal(t, part, whole, at)
	}
}
