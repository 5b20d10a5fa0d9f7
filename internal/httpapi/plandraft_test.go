package httpapi

import (
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A plan goes to the core and back unchanged.
func TestPlanDocumentsRoundTrip(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(root(t), "testdata/api/postPlanAudit/example-*.request.json"))
	require.NoError(t, err)
	require.Greater(t, len(files), 5)
	for _, file := range files {
		raw, err := os.ReadFile(file)
		require.NoError(t, err)
		var r planRequest
		require.NoError(t, json.Unmarshal(raw, &r))
		if r.Attendance.LeavesAt == "" {
			r.Attendance.LeavesAt = "08:00"
		}
		p := r.input()
		assert.Equal(t, p, newPlanRequest(p).input(), file)
	}
}

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
	var audited struct {
		Result planAuditResponse `json:"result"`
	}
	require.NoError(t, json.Unmarshal(a.body, &audited))
	assert.True(t, audited.Result.Sound)
	assert.Equal(t, e.Result.Held, audited.Result.Held)
	assert.Zero(t, audited.Result.Lost)
}
