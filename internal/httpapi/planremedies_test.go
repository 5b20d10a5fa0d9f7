package httpapi

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"testing"

	jsonpatch "github.com/evanphx/json-patch/v5"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/plan"
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

// What the sender left out stays out, what the edit changed is there, and the patch says just that.
func TestTheEditedDocumentIsTheSendersOwn(t *testing.T) {
	original := []byte(`{"display": {"volume_l": 200.0}, "heaters": [{"id": "a", "power_w": 100}],
		"lights": [{"id": "l", "power_w": 5, "schedule": {"points": [{"at": "08:00", "percent": 1}, {"at": "09:00", "percent": 2}]}}],
		"controls": [{"id": "c", "kind": "heating", "outputs": ["a"]}], "attendance": {"look_every_h": 24}}`)
	var r planRequest
	require.NoError(t, json.Unmarshal(original, &r))
	r.Controls[0].Latching = true // a default
	d, err := newPlanDocument(original, r.input())
	require.NoError(t, err)
	same, err := d.with(r.input())
	require.NoError(t, err)
	assert.Equal(t, d.sent, same)

	p := r.input().Clone()
	p.Heaters[0].PowerW = 50
	p.Attendance.ResponseH = new(2.0)
	p.Controls[0].Outputs = append(slices.Clone(p.Controls[0].Outputs), "b")
	p.Lights[0].Schedule = &plan.Schedule{OnAt: new(plan.ClockTime("10:00")), OffAt: new(plan.ClockTime("20:00"))}
	p.Power.Circuits = append(p.Power.Circuits, plan.Circuit{ID: "one"})
	edited, err := d.with(p)
	require.NoError(t, err)
	got, err := json.Marshal(edited)
	require.NoError(t, err)
	assert.JSONEq(t, `{"display": {"volume_l": 200}, "heaters": [{"id": "a", "power_w": 50}],
		"lights": [{"id": "l", "power_w": 5, "schedule": {"points": [], "on_at": "10:00", "off_at": "20:00"}}],
		"controls": [{"id": "c", "kind": "heating", "outputs": ["a", "b"]}], "attendance": {"look_every_h": 24, "response_h": 2},
		"power": {"circuits": [{"id": "one", "ground_fault": false, "backup_h": 0}]}}`, string(got))

	ops, err := d.patch(edited)
	require.NoError(t, err)
	raw, err := json.Marshal(ops)
	require.NoError(t, err)
	patch, err := jsonpatch.DecodePatch(raw)
	require.NoError(t, err)
	patched, err := patch.Apply(original)
	require.NoError(t, err)
	assert.JSONEq(t, string(got), string(patched))
	again, err := json.Marshal(d.sent)
	require.NoError(t, err)
	assert.JSONEq(t, string(original), string(again), "the document that was sent is left alone")
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
