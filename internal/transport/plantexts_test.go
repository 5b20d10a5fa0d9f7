package transport

import (
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// metricNumber is a number with a metric unit; W, kWh, mg/L, h and psu are the same in the US.
var metricNumber = regexp.MustCompile(`[0-9] ?(°C|K|L|L/h|L/d|mL|mm|cm|m|kg|g|W/L)(\b|[^A-Za-z/])`)

const householdRequest = "testdata/api/postPlanAudit/example-household-sound.request.json"

// tag is of HTML or SVG.
var tag = regexp.MustCompile(`<[^>]*>`)

// whatIsSaid is the answer of a plan operation.
func whatIsSaid(t *testing.T, s *Server, id, query string, request []byte) map[string]any {
	t.Helper()
	r := post(t, s, s.contract.Operation(id).Path+query, string(request))
	require.Equal(t, http.StatusOK, r.status, string(r.body))
	var answer map[string]any
	require.NoError(t, json.Unmarshal(r.body, &answer))
	return answer
}

// saidIn visits the strings of an answer that people read: all but the plans and patches in it, which are documents.
func saidIn(v any, visit func(string)) {
	switch v := v.(type) {
	case string:
		visit(v)
	case []any:
		for _, x := range v {
			saidIn(x, visit)
		}
	case map[string]any:
		for name, x := range v {
			if name != "plan" && name != "patch" {
				saidIn(x, visit)
			}
		}
	}
}

// In US units no text of a plan's answer, and no line of its report, has a metric number; headlines are short.
func TestPlansSpeakOneSystem(t *testing.T) {
	s := newTestServer(t)
	operations := []string{"postPlanAudit", "postPlanCheck", "postPlanDraft", "postPlanHandOver", "postPlanRemedies",
		"postPlanRisk"}
	for _, id := range operations {
		files, err := filepath.Glob(filepath.Join(root(t), "testdata/api", id, "example*.request.json"))
		require.NoError(t, err)
		if testing.Short() {
			files = files[:1]
		}
		for _, file := range files {
			request, err := os.ReadFile(file)
			require.NoError(t, err)
			for _, units := range []string{"metric", "us"} {
				var answer map[string]any
				require.NoError(t, json.Unmarshal(answered(t, s.contract.Operation(id), request, units).body, &answer))
				headline, _ := answer["headline"].(string)
				assert.LessOrEqual(t, utf8.RuneCountInString(headline), 140, headline)
				figures, _ := answer["key_figures"].([]any)
				assert.GreaterOrEqual(t, len(figures), 3, file)
				assert.LessOrEqual(t, len(figures), 5, file)
				assert.NotEmpty(t, answer["actions"], file)
				if units == "us" {
					saidIn(answer, func(said string) { assert.NotRegexp(t, metricNumber, said, file) })
				}
			}
		}
	}
	request, err := os.ReadFile(filepath.Join(root(t), householdRequest))
	require.NoError(t, err)
	for _, accept := range []string{"text/markdown", "text/html"} {
		page := string(report(t, s, accept, request))
		if _, body, html := strings.Cut(page, "</style>"); html {
			page = tag.ReplaceAllString(body, " ")
		}
		for _, line := range strings.Split(page, "\n") {
			assert.NotRegexp(t, metricNumber, line, accept)
		}
	}
}

func report(t *testing.T, s *Server, accept string, request []byte) []byte {
	t.Helper()
	req, err := http.NewRequest(http.MethodPost, "/v1/plan-audit?units=us", strings.NewReader(string(request)))
	require.NoError(t, err)
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("Accept", accept)
	r := call(t, s, req)
	require.Equal(t, http.StatusOK, r.status)
	return r.body
}

// A brief audit fits a phone, the usual one leaves out what simply holds, the full one nothing.
func TestAnAuditIsAsLongAsAsked(t *testing.T) {
	s := newTestServer(t)
	request, err := os.ReadFile(filepath.Join(root(t), householdRequest))
	require.NoError(t, err)
	sizes := map[string]int{}
	faults := map[string]int{}
	for _, detail := range []string{"brief", "usual", "full"} {
		r := post(t, s, "/v1/plan-audit?detail="+detail, string(request))
		require.Equal(t, http.StatusOK, r.status)
		sizes[detail] = len(r.body)
		answer := whatIsSaid(t, s, "postPlanAudit", "?detail="+detail, request)
		result := answer["result"].(map[string]any)
		faults[detail] = len(result["faults"].([]any))
		total := int(result["faults_total"].(float64))
		switch detail {
		case "brief":
			assert.LessOrEqual(t, len(result["findings"].([]any)), 5)
			assert.Empty(t, answer["texts"])
			assert.Zero(t, faults[detail])
		case "usual":
			assert.Equal(t, total-int(result["held"].(float64)), faults[detail])
			for _, f := range result["faults"].([]any) {
				assert.NotEqual(t, "held", f.(map[string]any)["verdict"])
			}
		case "full":
			assert.Equal(t, total, faults[detail])
		}
	}
	t.Logf("bytes: %v, faults: %v", sizes, faults)
	assert.Less(t, sizes["brief"], 5000)
	assert.Less(t, sizes["usual"], sizes["full"]*3/4)
	assert.Equal(t, sizes["usual"], len(post(t, s, "/v1/plan-audit", string(request)).body), "usual is usual")
}
