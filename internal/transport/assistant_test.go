package transport

import (
	"net/http"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/modelcontextprotocol/go-sdk/mcp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/assistant"
	"saltwright/internal/limit"
)

// assistantOf is an assistant that talks to a server over HTTP.
func assistantOf(t *testing.T, cfg Config) (*mcp.ClientSession, string) {
	t.Helper()
	api, err := New(cfg)
	require.NoError(t, err)
	served := httptest.NewServer(api)
	t.Cleanup(served.Close)
	c, err := mcp.NewClient(&mcp.Implementation{Name: "test", Version: "1"}, nil).Connect(t.Context(),
		&mcp.StreamableClientTransport{Endpoint: served.URL + "/mcp", DisableStandaloneSSE: true}, nil)
	require.NoError(t, err)
	t.Cleanup(func() { _ = c.Close() })
	return c, served.URL
}

func textOf(t *testing.T, r *mcp.CallToolResult) string {
	t.Helper()
	require.Len(t, r.Content, 1)
	return r.Content[0].(*mcp.TextContent).Text
}

// The whole job as an assistant does it: draft a plan, audit it, ask what a heater needs in the asker's units.
func TestAssistantDoesTheJob(t *testing.T) {
	c, _ := assistantOf(t, Config{})
	r, err := c.CallTool(t.Context(), &mcp.CallToolParams{Name: "draft_plan", Arguments: map[string]any{
		"display":   map[string]any{"length_mm": 900, "width_mm": 500, "water_depth_mm": 500},
		"room":      map[string]any{"usual": map[string]any{"temp_c": 21}},
		"days_away": 7,
	}})
	require.NoError(t, err)
	require.False(t, r.IsError, textOf(t, r))
	plan := r.StructuredContent.(map[string]any)["plan"]
	r, err = c.CallTool(t.Context(), &mcp.CallToolParams{Name: "audit_plan", Arguments: map[string]any{"plan": plan}})
	require.NoError(t, err)
	require.False(t, r.IsError, textOf(t, r))
	assert.Contains(t, textOf(t, r), "survives every single failure")
	r, err = c.CallTool(t.Context(), &mcp.CallToolParams{Name: "size_heater", Arguments: map[string]any{
		"length_mm": 900, "width_mm": 500, "water_depth_mm": 500, "room_c": 21, "units": "us",
	}})
	require.NoError(t, err)
	assert.Contains(t, textOf(t, r), "°F")
	assert.NotContains(t, textOf(t, r), "°C")
	r, err = c.CallTool(t.Context(), &mcp.CallToolParams{Name: "size_heater", Arguments: map[string]any{
		"length_mm": 900, "width_mm": 500, "water_depth_mm": 500, "room_c": 210,
	}})
	require.NoError(t, err)
	assert.True(t, r.IsError)
	assert.Contains(t, textOf(t, r), "room_c: must be at most 45 °C")
}

// A tool costs what its operation costs, and an assistant that has used up its quota is told so.
func TestAssistantPays(t *testing.T) {
	dear := costliest(newTestServer(t).contract)
	c, _ := assistantOf(t, Config{Quotas: []limit.Policy{{Name: "minute", Quota: dear, Window: time.Minute}}})
	var said string
	for range 2 * dear {
		r, err := c.CallTool(t.Context(), &mcp.CallToolParams{Name: "evaporation", Arguments: map[string]any{
			"length_mm": 900, "width_mm": 500, "room_c": 21,
		}})
		if err != nil { // the message itself could not be paid
			said = err.Error()
			break
		}
		require.False(t, r.IsError, textOf(t, r))
	}
	assert.Contains(t, said, "Too Many Requests")
}

func TestMessagesHaveLimits(t *testing.T) {
	_, address := assistantOf(t, Config{})
	send := func(body string) *http.Response {
		req, err := http.NewRequestWithContext(t.Context(), http.MethodPost, address+"/mcp", strings.NewReader(body))
		require.NoError(t, err)
		req.Header.Set("Content-Type", "application/json")
		req.Header.Set("Accept", "application/json, text/event-stream")
		r, err := http.DefaultClient.Do(req)
		require.NoError(t, err)
		require.NoError(t, r.Body.Close())
		return r
	}
	assert.Equal(t, http.StatusRequestEntityTooLarge, send(strings.Repeat(" ", assistant.MostBytes+1)).StatusCode)
	assert.Equal(t, http.StatusBadRequest, send("{").StatusCode)
	r := send(`{"jsonrpc":"2.0","id":1,"method":"tools/list"}`)
	assert.Equal(t, http.StatusOK, r.StatusCode)
	assert.Equal(t, "1", r.Header.Get(costHeader))
	got, err := http.Get(address + "/mcp") //nolint:noctx // loopback
	require.NoError(t, err)
	require.NoError(t, got.Body.Close())
	assert.Equal(t, http.StatusMethodNotAllowed, got.StatusCode)
}

func TestSmallContractsAndPlainIndex(t *testing.T) {
	s := newTestServer(t)
	index := get(t, s, "/llms.txt")
	require.Equal(t, http.StatusOK, index.status)
	found := regexp.MustCompile(`\((/openapi/[a-z-]+\.json)\)`).FindAllStringSubmatch(string(index.body), -1)
	assert.Greater(t, len(found), 25)
	for _, at := range found {
		part := get(t, s, at[1])
		assert.Equal(t, http.StatusOK, part.status, at[1])
		assert.Less(t, len(part.body), 400000, at[1])
	}
	assert.Equal(t, http.StatusNotFound, get(t, s, "/openapi/tide.json").status)
}
