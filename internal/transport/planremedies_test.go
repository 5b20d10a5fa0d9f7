package transport

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	jsonpatch "github.com/evanphx/json-patch/v5"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// remedyOutcome is what an answer says of a fault in the changed plan.
type remedyOutcome struct {
	Fault   string   `json:"fault"`
	Verdict string   `json:"verdict"`
	MarginH *float64 `json:"margin_h"`
}

// endsAs holds the audit of a patched plan to what was said of its faults, exactly.
func endsAs(t *testing.T, a auditAnswer, said []remedyOutcome) {
	t.Helper()
	for _, o := range said {
		found := false
		for _, f := range a.Faults {
			if f.ID == o.Fault {
				found = true
				assert.Equal(t, o.Verdict, f.Verdict, o.Fault)
				assert.Equal(t, o.MarginH, f.MarginH, o.Fault)
			}
		}
		assert.True(t, found, o.Fault)
	}
}

// Every patch is a JSON Patch that a library applies to the document sent, and the plan it
// makes keeps what the answer says of it.
func TestARemedyKeepsItsWord(t *testing.T) {
	s := newTestServer(t)
	names := []string{
		"shop-one-network-for-all-alarms", "household-drain-back-flood", "household-no-dark-hours",
		"household-shallow-intake",
	}
	if testing.Short() {
		names = names[:1]
	}
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			request, err := os.ReadFile(filepath.Join(root(t),
				"testdata/api/postPlanAudit/example-"+name+".request.json"))
			require.NoError(t, err)
			r := post(t, s, "/v1/plan-remedies", string(request))
			require.Equal(t, 200, r.status, "%s", r.body)
			var a struct {
				Result struct {
					Sound bool `json:"sound"`
					Sets  []struct {
						Lost     int             `json:"lost"`
						Outcomes []remedyOutcome `json:"outcomes"`
						Patch    json.RawMessage `json:"patch"`
						Plan     json.RawMessage `json:"plan"`
					} `json:"sets"`
					Next []struct {
						Code     string          `json:"code"`
						Lost     int             `json:"lost"`
						Outcomes []remedyOutcome `json:"outcomes"`
						Patch    json.RawMessage `json:"patch"`
					} `json:"next"`
				} `json:"result"`
			}
			require.NoError(t, json.Unmarshal(r.body, &a))
			require.NotEmpty(t, a.Result.Sets)
			assert.False(t, a.Result.Sound)

			apply := func(raw json.RawMessage) string {
				patch, err := jsonpatch.DecodePatch(raw)
				require.NoError(t, err)
				doc, err := patch.Apply(request)
				require.NoError(t, err)
				return string(doc)
			}
			lost := func(doc string) (auditAnswer, int) {
				r := post(t, s, "/v1/plan-audit?detail=full", doc)
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
				assert.JSONEq(t, doc, string(set.Plan))
				audit, n := lost(doc)
				endsAs(t, audit, set.Outcomes)
				assert.True(t, audit.Sound)
				assert.Zero(t, n)
				assert.Zero(t, set.Lost)
			}
			for _, next := range a.Result.Next {
				audit, _ := lost(apply(next.Patch))
				assert.Equal(t, next.Lost, audit.Lost, next.Code)
				endsAs(t, audit, next.Outcomes)
			}
		})
	}
}
