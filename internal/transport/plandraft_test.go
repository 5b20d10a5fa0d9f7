package transport

import (
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The drafted plan is a document that the audit takes as it is, and the audit says what the draft said.
func TestADraftedPlanCanBeAudited(t *testing.T) {
	s := newTestServer(t)
	request, err := os.ReadFile(filepath.Join(root(t), "testdata/api/postPlanDraft/example.request.json"))
	require.NoError(t, err)
	r := post(t, s, "/v1/plan-draft", string(request))
	require.Equal(t, http.StatusOK, r.status, "%s", r.body)
	var e struct {
		Result struct {
			Sound bool            `json:"sound"`
			Plan  json.RawMessage `json:"plan"`
			Held  int             `json:"held"`
			Lost  int             `json:"lost"`
		} `json:"result"`
	}
	require.NoError(t, json.Unmarshal(r.body, &e))
	assert.True(t, e.Result.Sound)
	a := post(t, s, "/v1/plan-audit", string(e.Result.Plan))
	require.Equal(t, http.StatusOK, a.status, "%s", a.body)
	var said audited
	require.NoError(t, json.Unmarshal(a.body, &said))
	assert.True(t, said.Result.Sound)
	assert.Equal(t, e.Result.Held, said.Result.Held)
	assert.Zero(t, said.Result.Lost)
}
