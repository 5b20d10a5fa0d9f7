package httpapi

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

// Every patch is a JSON Patch that a library applies to the document sent, and the plan it
// makes keeps what the answer says of it.
func TestARemedyKeepsItsWord(t *testing.T) {
	s := newTestServer(t)
	names := []string{"shop-one-network-for-all-alarms", "household-drain-back-flood", "household-no-dark-hours", "household-shallow-intake"}
	if testing.Short() {
		names = names[:1]
	}
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			request, err := os.ReadFile(filepath.Join(root(t), "testdata/api/postPlanAudit/example-"+name+".request.json"))
			require.NoError(t, err)
			r := post(t, s, "/v1/plan-remedies", string(request))
			require.Equal(t, 200, r.status, "%s", r.body)
			var a struct {
				Result planRemediesResponse `json:"result"`
			}
			require.NoError(t, json.Unmarshal(r.body, &a))
			require.NotEmpty(t, a.Result.Sets)
			assert.False(t, a.Result.Sound)

			apply := func(ops []patchOperation) string {
				raw, err := json.Marshal(ops)
				require.NoError(t, err)
				patch, err := jsonpatch.DecodePatch(raw)
				require.NoError(t, err)
				doc, err := patch.Apply(request)
				require.NoError(t, err)
				return string(doc)
			}
			lost := func(doc string) (planAuditResponse, int) {
				r := post(t, s, "/v1/plan-audit", doc)
				require.Equal(t, 200, r.status, "%s", r.body)
				var a audited
				require.NoError(t, json.Unmarshal(r.body, &a))
				n := a.Result.Lost
				for _, x := range a.Result.Nominal {
					for _, c := range x.Crossings {
						if c.HarmH != nil {
							return a.Result, n + 1
						}
					}
				}
				return a.Result, n
			}
			for _, set := range a.Result.Sets {
				doc := apply(set.Patch)
				whole, err := json.Marshal(set.Plan)
				require.NoError(t, err)
				assert.JSONEq(t, doc, string(whole))
				audit, n := lost(doc)
				assert.True(t, audit.Sound)
				assert.Zero(t, n)
				assert.Zero(t, set.Lost)
			}
			for _, next := range a.Result.Next[:min(3, len(a.Result.Next))] {
				_, n := lost(apply(next.Patch))
				assert.Equal(t, next.Lost, n, next.Code)
				assert.Positive(t, next.Avoided)
			}
		})
	}
}

// Parents that the document lacks are added first; what it has is replaced; the document itself stays as it is.
func TestPatchAddsWhatIsMissing(t *testing.T) {
	sent := `{"display":{"volume_l":200},"heaters":[{"id":"a","power_w":100}]}`
	document, err := decodeAny([]byte(sent))
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

func TestRemedySummaryIsHonest(t *testing.T) {
	cure := remedySet{Changes: []remedyChange{{Code: "x", Sentence: "Do this."}}}
	cases := []struct {
		in   planRemediesResponse
		want string
	}{
		{planRemediesResponse{Sound: true}, "nothing needs to be changed"},
		{planRemediesResponse{Lost: 1, Sets: []remedySet{cure}, Audits: 4}, "1 single failure loses this tank. The smallest cure, audited: Do this. In 4 audits 1 cure of that size was found."},
		{planRemediesResponse{Sets: []remedySet{cure, cure}}, "fails with nothing broken"},
		{planRemediesResponse{Lost: 3, Best: []remedySet{{Lost: 1}}}, "the best one leaves 1 loss."},
		{planRemediesResponse{Lost: 3, Audits: 2, LeftOut: true}, "The search ended at its budget after 2 audits. None of the changes tried helps."},
	}
	for _, c := range cases {
		assert.Contains(t, remedySummary(c.in), c.want)
	}
}
