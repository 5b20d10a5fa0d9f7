package transport

import (
	"bytes"
	"compress/flate"
	"encoding/base64"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/packed"
)

// planInLink returns a plan of the cases, and the parameter that carries it.
func planInLink(t *testing.T) (document, parameter string) {
	t.Helper()
	raw, err := os.ReadFile("../../testdata/api/postPlanAudit/first-timer.request.json")
	require.NoError(t, err)
	text, err := packed.Pack(raw)
	require.NoError(t, err)
	return string(raw), "plan=" + text
}

// Every answer to a plan that POST gives has an address where GET gives it, byte for byte, with a tag and a life.
func TestAPlanTravelsInItsLink(t *testing.T) {
	s := newTestServer(t)
	document, parameter := planInLink(t)
	for _, name := range []string{"plan-check", "plan-audit", "plan-hand-over", "plan-remedies", "plan-risk"} {
		path, body := "/v1/"+name, document
		if name == "plan-risk" {
			body = `{"plan":` + document + `,"tank_years":0}`
		}
		posted := post(t, s, path+"?units=us", body)
		require.Equal(t, http.StatusOK, posted.status, "%s: %s", name, posted.body)
		at := posted.header.Get("Content-Location")
		require.True(t, strings.HasPrefix(at, path+"?"), "%s: %s", name, at)
		read := get(t, s, at)
		require.Equal(t, http.StatusOK, read.status, "%s: %s", name, read.body)
		assert.Equal(t, string(posted.body), string(read.body), name)
		assert.Equal(t, keepAnHour, read.header.Get("Cache-Control"), name)
		etag := read.header.Get("ETag")
		require.NotEmpty(t, etag, name)
		req := httptest.NewRequest(http.MethodGet, at, nil)
		req.Header.Set("If-None-Match", etag)
		assert.Equal(t, http.StatusNotModified, call(t, s, req).status, name)
	}
	brief := get(t, s, "/v1/plan-audit?detail=brief&"+parameter)
	require.Equal(t, http.StatusOK, brief.status)
	var told struct {
		Result struct{ Faults []any }
	}
	require.NoError(t, json.Unmarshal(brief.body, &told))
	assert.Empty(t, told.Result.Faults)
	req := httptest.NewRequest(http.MethodGet, "/v1/plan-audit?"+parameter, nil)
	req.Header.Set("Accept", "text/html")
	assert.True(t, strings.HasPrefix(string(call(t, s, req).body), "<!DOCTYPE html>"), "a report has an address too")
}

// What no query can say has no address: rates are a list of objects.
func TestListsStayWithPost(t *testing.T) {
	document, _ := planInLink(t)
	r := post(t, newTestServer(t), "/v1/plan-risk",
		`{"plan":`+document+`,"rates":[{"element":"heater","per_year":0.1}]}`)
	require.Equal(t, http.StatusOK, r.status, "%s", r.body)
	assert.Empty(t, r.header.Get("Content-Location"))
}

// A link that is no plan is refused, and the answer says why and where.
func TestLinksThatAreNoPlan(t *testing.T) {
	s := newTestServer(t)
	pack := func(document string) string {
		text, err := packed.Pack([]byte(document))
		require.NoError(t, err)
		return text
	}
	raw := func(document []byte) string {
		var small bytes.Buffer
		to, err := flate.NewWriter(&small, flate.BestCompression)
		require.NoError(t, err)
		_, err = to.Write(document)
		require.NoError(t, err)
		require.NoError(t, to.Close())
		return base64.RawURLEncoding.EncodeToString(small.Bytes())
	}
	const tank = `{"display":{"volume_l":60},"room":{"usual":{"temp_c":21}},"attendance":{"look_every_h":24}`
	for name, c := range map[string]struct{ plan, code, pointer, reason string }{
		"nothing":       {"", "wrong_length", "", "string_too_short"},
		"other letters": {"a+b/c", "wrong_form", "", "string_not_in_form"},
		"too long":      {strings.Repeat("A", 7001), "wrong_length", "", "string_too_long"},
		"cut":           {pack(tank + "}")[:20], "syntax", "", "packed_damaged"},
		"a bomb":        {raw(make([]byte, 5<<20)), "syntax", "", "packed_too_large"},
		"no JSON":       {raw([]byte("tank")), "syntax", "", "packed_holds_no_document"},
		"a member twice": {raw([]byte(tank + `,"name":"a","name":"b"}`)), "syntax", "",
			"packed_holds_no_document"},
		"another value": {pack(tank + `,"heaters":[{"id":"h","power_w":-5}]}`), "out_of_range", "#/heaters/0/power_w",
			""},
		"another member": {pack(tank + `,"haeters":[]}`), "unknown_member", "#/haeters", ""},
		"another format": {pack(tank + `,"$schema":"/schemas/plan-9.json"}`), "wrong_form", "#/$schema", ""},
		"no plan":        {pack(`[]`), "wrong_type", "#", ""},
		"impossible as such": {pack(tank +
			`,"controls":[{"id":"c","kind":"heating","sensor":"no","outputs":[]}]}`), "conflict", "#/controls/0/sensor",
			""},
	} {
		t.Run(name, func(t *testing.T) {
			r := get(t, s, "/v1/plan-audit?plan="+url.QueryEscape(c.plan))
			require.Equal(t, http.StatusUnprocessableEntity, r.status, "%s", r.body)
			var p problem
			require.NoError(t, json.Unmarshal(r.body, &p))
			require.NotEmpty(t, p.Errors)
			found := false
			for _, v := range p.Errors {
				assert.Equal(t, "query", v.In)
				assert.Equal(t, "plan", v.Parameter)
				if v.Code == c.code && v.Pointer == c.pointer && (c.reason == "" || v.Reason.Code == c.reason) {
					found = true
				}
			}
			assert.True(t, found, "%s", r.body)
		})
	}
}

// The schema that a plan may name stands at its address, and names everything that a plan may say.
func TestThePlansSchemaHasAnAddress(t *testing.T) {
	s, err := New(Config{PublicURL: "https://plans.example/salt/"})
	require.NoError(t, err)
	r := get(t, s, planSchemaPath)
	require.Equal(t, http.StatusOK, r.status)
	assert.Equal(t, "application/schema+json", r.header.Get("Content-Type"))
	var schema struct {
		ID         string                     `json:"$id"`
		Dialect    string                     `json:"$schema"`
		Properties map[string]json.RawMessage `json:"properties"`
		Defs       map[string]json.RawMessage `json:"$defs"`
	}
	require.NoError(t, json.Unmarshal(r.body, &schema))
	assert.Equal(t, "https://plans.example/salt/schemas/plan-1.json", schema.ID)
	for _, m := range s.contract.Schema("PlanRequest").Members {
		assert.Contains(t, schema.Properties, m.Name)
	}
	assert.Contains(t, schema.Defs, "PlanHeater")
	assert.NotContains(t, string(r.body), "#/components/")
	_, parameter := planInLink(t)
	document := `{"$schema":"` + schema.ID + `",` + `"display":{"volume_l":60},"room":{"usual":{"temp_c":21}},` +
		`"attendance":{"look_every_h":24}}`
	assert.Equal(t, http.StatusOK, post(t, s, "/v1/plan-check", document).status)
	assert.NotEmpty(t, parameter)
}
