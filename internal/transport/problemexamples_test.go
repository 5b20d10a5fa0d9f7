package transport

import (
	"bytes"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/catalogue"
)

// The contract's examples of problems, in testdata/problems, are what the service answers: to a real request where one
// can bring the problem about here, else as its table of problems has it.
func TestExamplesOfProblemsAreTrue(t *testing.T) {
	s := newTestServer(t)
	untyped := httptest.NewRequest(http.MethodPost, "/v1/evaporation", bytes.NewBufferString("{}"))
	asked := map[string]reply{
		"malformed_request": post(t, s, "/v1/evaporation", `{"length_mm": 900, "length_mm": 900}`),
		"invalid_request": get(t, s,
			"/v1/evaporation?length_mm=900&width_mm=400&room_c=60&lid=half&humidity=50"),
		"not_found":              get(t, s, "/v1/evaporations"),
		"method_not_allowed":     call(t, s, httptest.NewRequest(http.MethodDelete, "/v1/evaporation", nil)),
		"unsupported_media_type": call(t, s, untyped),
	}
	for _, row := range problemCodes {
		t.Run(row.Code, func(t *testing.T) {
			r, ok := asked[row.Code]
			if !ok {
				re := &requestError{code: row.Code}
				if row.Code == "quota_exceeded" {
					re.violated = []string{"minute"}
				}
				body, err := json.Marshal((&problems{}).problem(re, "00000000-0000-4000-8000-000000000000",
					catalogue.Reader{Units: catalogue.Metric}.Speaker()))
				require.NoError(t, err)
				r = reply{status: row.Status, body: body}
			}
			require.Equal(t, row.Status, r.status)
			require.Equal(t, row.Code, r.problem(t).Code)
			r.header = http.Header{"Content-Type": {"application/problem+json"}}
			problemFits(t, r)
			var pretty bytes.Buffer
			require.NoError(t, json.Indent(&pretty, withoutID(r.body), "", " "))
			file := filepath.Join(root(t), "testdata/problems", row.Code+".json")
			if *update {
				require.NoError(t, os.WriteFile(file, append(bytes.TrimSpace(pretty.Bytes()), '\n'), 0o644))
				return
			}
			want, err := os.ReadFile(file)
			require.NoError(t, err, "run with -update and read what it writes")
			sameJSON(t, want, pretty.Bytes())
		})
	}
	files, err := filepath.Glob(filepath.Join(root(t), "testdata/problems/*.json"))
	require.NoError(t, err)
	assert.Len(t, files, len(problemCodes), "an example for each problem and no other")
}

func TestAnswersMayGainMembersButOursHoldNone(t *testing.T) {
	s := newTestServer(t)
	r := get(t, s, "/v1/evaporation?length_mm=900&width_mm=400&room_c=21")
	v, err := decodeJSON(r.body)
	require.NoError(t, err)
	v.(map[string]any)["result"].(map[string]any)["brand_new"] = true
	require.NoError(t, kinDocument(t).Components.Schemas["EvaporationAnswer"].Value.VisitJSON(v))
	require.Error(t, closed().Components.Schemas["EvaporationAnswer"].Value.VisitJSON(v))
}

func TestViolationsInsideOptionalPartsSayWhere(t *testing.T) {
	s := newTestServer(t)
	plan := `{"display": {"volume_l": 100}, "room": {"usual": {"temp_c": 21}}, "attendance": {"look_every_h": 24},
		"power": {"longest_outage_h": -1}, "limits": {"comfort_low_c": 99}, "oxygen": {"x": 1},
		"measured": {"evaporation_factor": 99},
		"lights": [{"id": "lamp", "power_w": 9, "schedule": {"on_at": "25:00", "off_at": "20:00"}}]}`
	var pointers []string
	for _, v := range post(t, s, "/v1/plan-check", plan).problem(t).Errors {
		pointers = append(pointers, v.Pointer)
	}
	assert.Equal(t, []string{
		"#/lights/0/schedule/on_at", "#/limits/comfort_low_c", "#/measured/evaporation_factor", "#/oxygen/x",
		"#/power/longest_outage_h",
	}, pointers)
}
