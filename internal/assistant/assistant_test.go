package assistant

import (
	"context"
	"encoding/json"
	"net/http"
	"net/url"
	"testing"

	"github.com/modelcontextprotocol/go-sdk/mcp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/contract"
)

// connected is a client of the tools, whose operations all answer alike.
func connected(t *testing.T, answer Answer) (*mcp.ClientSession, *[]string) {
	t.Helper()
	all, err := contract.Load()
	require.NoError(t, err)
	asked := &[]string{}
	s, err := NewServer(all, "https://saltwright.example", func(_ context.Context, operation string, query url.Values,
		request []byte) (Answer, error) {
		*asked = append(*asked, operation+"?"+query.Encode()+" "+string(request))
		return answer, nil
	})
	require.NoError(t, err)
	here, there := mcp.NewInMemoryTransports()
	_, err = s.Connect(t.Context(), there, nil)
	require.NoError(t, err)
	c, err := mcp.NewClient(&mcp.Implementation{Name: "test", Version: "1"}, nil).Connect(t.Context(), here, nil)
	require.NoError(t, err)
	t.Cleanup(func() { _ = c.Close() })
	return c, asked
}

// All tools stand in an assistant's memory for as long as it talks: together they stay small.
func TestToolsAreShort(t *testing.T) {
	c, _ := connected(t, Answer{})
	list, err := c.ListTools(t.Context(), nil)
	require.NoError(t, err)
	assert.Len(t, list.Tools, len(tools))
	data, err := json.Marshal(list)
	require.NoError(t, err)
	assert.Less(t, len(data), 25000)
	for _, tool := range list.Tools {
		assert.NotEmpty(t, tool.Description, tool.Name)
		assert.True(t, tool.Annotations.ReadOnlyHint, tool.Name)
	}
}

func TestToolAsksItsOperation(t *testing.T) {
	c, asked := connected(t, Answer{Status: http.StatusOK, Body: []byte(`{"headline": "Enough.",
		"summary": "Enough. Why.",
		"key_figures": [{"label": "Power", "text": "200 W"}], "actions": ["Buy it."], "warnings": [],
		"cautions": [{"code": "x", "message": "It is hot."}], "result": {}}`)})
	r, err := c.CallTool(t.Context(), &mcp.CallToolParams{Name: "size_heater", Arguments: map[string]any{
		"length_mm": 900, "width_mm": 500, "water_depth_mm": 500, "room_c": 21.5, "units": "us"}})
	require.NoError(t, err)
	assert.False(t, r.IsError)
	const request = `{"length_mm":900,"room_c":21.5,"water_depth_mm":500,"width_mm":500}`
	assert.Equal(t, []string{"heater-sizing?units=us " + request}, *asked)
	said := r.Content[0].(*mcp.TextContent).Text
	assert.Equal(t, "Enough. Why.\n- Power: 200 W\nWhat to do:\n1. Buy it.\nCaution: It is hot.\n"+
		"More: https://saltwright.example/docs/calculators/heater-sizing/"+
		"?length_mm=900&room_c=21.5&units=us&water_depth_mm=500&width_mm=500\n", said)
}

// The labels of a reply are in the language that was asked for, as its texts are, and its page too.
func TestToolSpeaksTheLanguage(t *testing.T) {
	body := []byte(`{"summary": "X.", "actions": ["A."], "warnings": [{"message": "W."}],
		"cautions": [{"message": "C."}], "result": {"plan": {"name": "small"}}}`)
	for language, want := range map[string][]string{
		"de": {"Was zu tun ist:", "Sieh zweimal hin: W.", "Vorsicht: C.", "Mehr: https://", "Der Plan: {"},
		"es": {"Qué hacer:", "Mira dos veces: W.", "Precaución: C.", "Más: https://", "El plan: {"},
	} {
		c, asked := connected(t, Answer{Status: http.StatusOK, Body: body})
		r, err := c.CallTool(t.Context(), &mcp.CallToolParams{Name: "draft_plan", Arguments: map[string]any{
			"display": map[string]any{"volume_l": 100}, "room": map[string]any{"usual": map[string]any{"temp_c": 21}},
			"days_away": 3, "language": language}})
		require.NoError(t, err)
		require.False(t, r.IsError, "%v", r.Content[0])
		assert.Contains(t, (*asked)[0], "language="+language)
		said := r.Content[0].(*mcp.TextContent).Text
		for _, label := range append(want, "language="+language) {
			assert.Contains(t, said, label)
		}
		for _, english := range []string{"What to do", "Look twice", "Caution", "More:", "The plan"} {
			assert.NotContains(t, said, english, language)
		}
	}
}

func TestAuditTakesAPlan(t *testing.T) {
	c, asked := connected(t, Answer{Status: http.StatusOK, Body: []byte(`{"summary": "It holds.", "result": {}}`)})
	r, err := c.CallTool(t.Context(), &mcp.CallToolParams{Name: "audit_plan", Arguments: map[string]any{
		"plan": map[string]any{"name": "small"}}})
	require.NoError(t, err)
	assert.Equal(t, []string{`plan-audit?detail=brief {"name":"small"}`}, *asked)
	assert.Contains(t, r.Content[0].(*mcp.TextContent).Text, "https://saltwright.example/plan/?plan=")
}

func TestDraftBringsItsPlan(t *testing.T) {
	c, _ := connected(t, Answer{Status: http.StatusOK,
		Body: []byte(`{"summary": "Drafted.", "result": {"plan": {"name": "small"}}}`)})
	r, err := c.CallTool(t.Context(), &mcp.CallToolParams{Name: "draft_plan", Arguments: map[string]any{
		"display": map[string]any{"volume_l": 100}, "room": map[string]any{"usual": map[string]any{"temp_c": 21}},
		"days_away": 3}})
	require.NoError(t, err)
	require.False(t, r.IsError, "%v", r.Content[0])
	assert.Equal(t, map[string]any{"name": "small"}, r.StructuredContent.(map[string]any)["plan"])
}

func TestProblemsAreSaid(t *testing.T) {
	c, _ := connected(t, Answer{Status: http.StatusUnprocessableEntity, Body: []byte(`{"title": "One value is wrong",
		"detail": "Correct it.", "errors": [{"pointer": "#/room_c", "detail": "must be at most 45 °C"}]}`)})
	r, err := c.CallTool(t.Context(), &mcp.CallToolParams{Name: "evaporation", Arguments: map[string]any{}})
	require.NoError(t, err)
	assert.True(t, r.IsError)
	assert.Equal(t, "One value is wrong. Correct it.\n- room_c: must be at most 45 °C",
		r.Content[0].(*mcp.TextContent).Text)
	r, err = c.CallTool(t.Context(), &mcp.CallToolParams{Name: "evaporation", Arguments: map[string]any{"units": 3}})
	require.NoError(t, err)
	assert.True(t, r.IsError)
}

func TestTableOfToolsIsChecked(t *testing.T) {
	all, err := contract.Load()
	require.NoError(t, err)
	_, err = tool{name: "a", operation: "tide"}.check(all)
	require.ErrorContains(t, err, "has no tide")
	_, err = tool{name: "a", operation: "dose", members: []string{"moon"}}.check(all)
	require.ErrorContains(t, err, "no member moon")
}
