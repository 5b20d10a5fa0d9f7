package plan

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	jsonpatch "github.com/evanphx/json-patch/v5"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/remedy"
)

// A plan goes to the core and back unchanged.
func TestPlanDocumentsRoundTrip(t *testing.T) {
	files, err := filepath.Glob("../../../testdata/api/postPlanAudit/example-*.request.json")
	require.NoError(t, err)
	require.Greater(t, len(files), 5)
	for _, file := range files {
		raw, err := os.ReadFile(file)
		require.NoError(t, err)
		var r Request
		require.NoError(t, json.Unmarshal(raw, &r))
		if r.Attendance.LeavesAt == "" {
			r.Attendance.LeavesAt = "08:00"
		}
		p, err := r.input()
		require.NoError(t, err)
		back, err := planOf(p).input()
		require.NoError(t, err)
		assert.Equal(t, p, back, file)
	}
}

// Parents that the document lacks are added first; what it has is replaced; the document itself stays as it is.
func TestPatchAddsWhatIsMissing(t *testing.T) {
	sent := `{"display":{"volume_l":200},"heaters":[{"id":"a","power_w":100}]}`
	document, err := decodeJSON([]byte(sent))
	require.NoError(t, err)
	ops := patchOf(document.(map[string]any), []remedy.Edit{
		{Path: []string{"heaters", "0", "power_w"}, Value: 50.0},
		{List: "alarms", Append: map[string]any{"id": "x"}},
		{List: "alarms", Append: map[string]any{"id": "y"}},
		{Path: []string{"attendance", "response_h"}, Value: 2.0},
		{Path: []string{"attendance", "longest_absence_h"}, Value: 48.0},
	})
	raw, err := json.Marshal(ops)
	require.NoError(t, err)
	patch, err := jsonpatch.DecodePatch(raw)
	require.NoError(t, err)
	got, err := patch.Apply([]byte(sent))
	require.NoError(t, err)
	assert.JSONEq(t, `{"display":{"volume_l":200},"heaters":[{"id":"a","power_w":50}],"alarms":[{"id":"x"},{"id":"y"}],"attendance":{"response_h":2,"longest_absence_h":48}}`, string(got))
	after, err := json.Marshal(document)
	require.NoError(t, err)
	assert.JSONEq(t, sent, string(after))
}
