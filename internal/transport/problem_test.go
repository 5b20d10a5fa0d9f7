package transport

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"saltwright/internal/contract"

	"github.com/labstack/echo/v4"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const sizing = `"length_mm":900,"width_mm":500,"water_depth_mm":500,"room_c":21`

func TestViolationsAllAtOnceWithTheirPlaces(t *testing.T) {
	s := newTestServer(t)
	r := post(t, s, "/v1/plan-audit", `{
		"display": {"volume_l": 1, "lid": "ajar", "wal_mm": 3},
		"room": {"usual": {"rh_percent": "wet"}},
		"heaters": [{"id": "h", "power_w": 100}, {"id": "in valid", "power_w": -1, "a/b~c": 1}],
		"sensors": 7
	}`)
	require.Equal(t, http.StatusUnprocessableEntity, r.status)
	p := r.problem(t)
	assert.Equal(t, "invalid_request", p.Code)
	type seen struct{ code, pointer string }
	var got []seen
	byPointer := map[string]contract.Violation{}
	for _, v := range p.Errors {
		got = append(got, seen{v.Code, v.Pointer})
		byPointer[v.Pointer] = v
		assert.Equal(t, "body", v.In)
	}
	assert.Equal(t, []seen{
		{contract.CodeRequired, "#/attendance"},
		{contract.CodeNotAllowed, "#/display/lid"},
		{contract.CodeRange, "#/display/volume_l"},
		{contract.CodeUnknownMember, "#/display/wal_mm"},
		{contract.CodeUnknownMember, "#/heaters/1/a~1b~0c"},
		{contract.CodePattern, "#/heaters/1/id"},
		{contract.CodeRange, "#/heaters/1/power_w"},
		{contract.CodeType, "#/room/usual/rh_percent"},
		{contract.CodeRequired, "#/room/usual/temp_c"},
		{contract.CodeType, "#/sensors"},
	}, got)
	assert.Equal(t, 10, p.ErrorsTotal)
	assert.Equal(t, "The request has 10 invalid values", p.Title)
	assert.Equal(t, "wall_mm", byPointer["#/display/wal_mm"].Suggestion)
	assert.Equal(t, 5.0, *byPointer["#/display/volume_l"].Limit.Minimum)
	assert.Equal(t, "L", byPointer["#/display/volume_l"].Unit)
	assert.Equal(t, []string{"open", "screen", "closed"}, byPointer["#/display/lid"].Limit.Enum)
}

func TestConflictsOfAPlanAreA422(t *testing.T) {
	const head = `"room":{"usual":{"temp_c":21}},"attendance":{"look_every_h":24}`
	cases := []struct {
		name, plan string
		pointers   []string
	}{
		{"intake above the water line",
			`{"display":{"volume_l":200},"sump":{"length_mm":600,"width_mm":300,"height_mm":400,` +
				`"water_level_mm":200,"return_intake_mm":250},` + head + `}`,
			[]string{"#/sump/return_intake_mm", "#/sump/water_level_mm"}},
		{"pump faster than its pipe",
			`{"display":{"volume_l":200},"top_off_pumps":[{"id":"p","flow_l_h":100,"reservoir":"r",` +
				`"pipe_limit_l_h":20}],"reservoirs":[{"id":"r","volume_l":20}],` + head + `}`,
			[]string{"#/top_off_pumps/0/flow_l_h", "#/top_off_pumps/0/pipe_limit_l_h"}},
		{"setpoint outside its own limits",
			`{"display":{"volume_l":200},"heaters":[{"id":"h","power_w":100,"thermostat_c":30}],` + head + `}`,
			[]string{"#/heaters/0/thermostat_c"}},
		{"unknown id", `{"display":{"volume_l":200},"heaters":[{"id":"h","power_w":100,"circuit":"nowhere"}],` +
			head +
			`}`, []string{"#/heaters/0/circuit"}},
		{"loop of controls", `{"display":{"volume_l":200},"sensors":[{"id":"s","kind":"temperature"}],"controls":[
			{"id":"a","kind":"supervisor","sensor":"s","when":"above","threshold_c":28,"outputs":["b"]},
			{"id":"b","kind":"supervisor","sensor":"s","when":"above","threshold_c":28,"outputs":["a"]}],` + head + `}`,
			[]string{"#/controls/0/outputs", "#/controls/1/outputs"}},
		{"control with no sensor",
			`{"display":{"volume_l":200},"heaters":[{"id":"h","power_w":100}],"controls":[{"id":"a",` +
				`"kind":"heating","setpoint_c":25,"outputs":["h"]}],` + head + `}`, []string{"#/controls/0"}},
		{"light that goes on and off at once",
			`{"display":{"volume_l":200},"lights":[{"id":"l","power_w":100,"schedule":{"on_at":"10:00",` +
				`"off_at":"10:00"}}],` + head + `}`,
			[]string{"#/lights/0/schedule/off_at", "#/lights/0/schedule/on_at"}},
	}
	s := newTestServer(t)
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r := post(t, s, "/v1/plan-audit", c.plan)
			require.Equal(t, http.StatusUnprocessableEntity, r.status, "%s", r.body)
			var pointers []string
			for _, v := range r.problem(t).Errors {
				assert.Equal(t, contract.CodeConflict, v.Code)
				assert.NotEmpty(t, v.Detail)
				pointers = append(pointers, v.Pointer)
			}
			assert.Equal(t, c.pointers, pointers)
		})
	}
}

func TestRefusalsBeforeTheContract(t *testing.T) {
	s := newTestServer(t)
	cases := []struct {
		name, method, path, mediaType, body string
		status                              int
		code                                string
	}{
		{"no such path", "GET", "/v1/nothing", "", "", 404, "not_found"},
		{"wrong method", "DELETE", "/v1/heater-sizing", "", "", 405, "method_not_allowed"},
		{"post without a twin", "POST", "/v1/sources", "application/json", "{}", 405, "method_not_allowed"},
		{"wrong media type", "POST", "/v1/heater-sizing", "text/plain", "{}", 415, "unsupported_media_type"},
		{"no media type", "POST", "/v1/heater-sizing", "", "{}", 415, "unsupported_media_type"},
		{"no body", "POST", "/v1/heater-sizing", "application/json", "", 400, "malformed_request"},
		{"not JSON", "POST", "/v1/heater-sizing", "application/json", "{,}", 400, "malformed_request"},
		{"cut short", "POST", "/v1/heater-sizing", "application/json", `{"a":`, 400, "malformed_request"},
		{"trailing data", "POST", "/v1/heater-sizing", "application/json", `{` + sizing + `} xx`, 400,
			"malformed_request"},
		{"two values", "POST", "/v1/heater-sizing", "application/json", `{` + sizing + `}{}`, 400,
			"malformed_request"},
		{"member given twice", "POST", "/v1/heater-sizing", "application/json", `{` + sizing + `,"room_c":22}`, 400,
			"malformed_request"},
		{"bad UTF-8", "POST", "/v1/heater-sizing", "application/json", "{\"a\":\"\xff\"}", 400, "malformed_request"},
		{"NaN", "POST", "/v1/heater-sizing", "application/json", `{"length_mm":NaN}`, 400, "malformed_request"},
		{"long number", "POST", "/v1/heater-sizing", "application/json",
			`{"length_mm":` + strings.Repeat("1", 65) + `}`, 400, "malformed_request"},
		{"too deep", "POST", "/v1/heater-sizing", "application/json",
			strings.Repeat(`[`, 17) + strings.Repeat(`]`, 17),
			400, "malformed_request"},
		{"too many values", "POST", "/v1/heater-sizing", "application/json", `[` + strings.Repeat("1,", 5000) + `1]`,
			400, "malformed_request"},
		{"too large", "POST", "/v1/heater-sizing", "application/json",
			`{"a":"` + strings.Repeat("x", maxBodyBytes) + `"}`, 413, "payload_too_large"},
		{"a list, not an object", "POST", "/v1/heater-sizing", "application/json", `[]`, 422, "invalid_request"},
		{"bad query", "GET", "/v1/heater-sizing?a=%zz", "", "", 400, "malformed_request"},
		{"unknown kind of problem", "GET", "/problems/boredom", "", "", 404, "not_found"},
		{"query on an address without one", "GET", "/v1/sources?x=1", "", "", 422, "invalid_request"},
		{"query on the index", "GET", "/?x=1", "", "", 422, "invalid_request"},
		{"body on an address without one", "GET", "/v1/evaporation?length_mm=900&width_mm=500&room_c=21",
			"application/json", "{}", 400, "malformed_request"},
		{"document with another method", "POST", "/openapi.json", "application/json", "{}", 405,
			"method_not_allowed"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			req := httptest.NewRequest(c.method, c.path, strings.NewReader(c.body))
			if c.mediaType != "" {
				req.Header.Set("Content-Type", c.mediaType)
			}
			r := call(t, s, req)
			require.Equal(t, c.status, r.status, "%s", r.body)
			p := r.problem(t)
			assert.Equal(t, c.code, p.Code)
			assert.Equal(t, c.status, p.Status)
			assert.Equal(t, "/problems/"+c.code, p.Type)
			assert.Equal(t, "no-store", r.header.Get("Cache-Control"))
			assert.NotContains(t, string(r.body), "xxxx", "no echo of what was sent")
			if c.status == 405 {
				assert.NotEmpty(t, r.header.Get("Allow"))
			}
		})
	}
	assert.Equal(t, "OPTIONS, GET, HEAD", call(t, s,
		httptest.NewRequest("PUT", "/openapi.yaml", nil)).header.Get("Allow"))
	assert.Equal(t, "OPTIONS, GET, HEAD, POST", call(t, s,
		httptest.NewRequest("DELETE", "/v1/heater-sizing", nil)).header.Get("Allow"))
	assert.Equal(t, "OPTIONS, GET, HEAD", call(t, s,
		httptest.NewRequest("POST", "/v1/sources", nil)).header.Get("Allow"))
}

func TestChunkedBodyHasTheSameLimit(t *testing.T) {
	s := newTestServer(t)
	req := httptest.NewRequest("POST", "/v1/heater-sizing",
		struct{ io.Reader }{strings.NewReader(`{"a":"` + strings.Repeat("x", maxBodyBytes) + `"}`)})
	req.ContentLength = -1
	req.Header.Set("Content-Type", "application/json; charset=utf-8")
	assert.Equal(t, 413, call(t, s, req).status)
}

// Bodies that made validators burn seconds and gigabytes; each is refused at once.
func TestHostileBodies(t *testing.T) {
	s := newTestServer(t)
	unknown := func(n int) string {
		var b strings.Builder
		b.WriteString("{")
		for i := range n {
			if i > 0 {
				b.WriteByte(',')
			}
			b.WriteString(`"m`)
			b.WriteString(strings.Repeat("x", i%7))
			b.WriteByte(byte('a' + i%26))
			b.WriteString(strings.Repeat("y", i/26%40))
			b.WriteString(strings.Repeat("z", i/1040))
			b.WriteString(`":1`)
		}
		b.WriteString("}")
		return b.String()
	}
	numbered := func(n int) string {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, `"x%d":1,`, i)
		}
		return "{" + strings.TrimSuffix(b.String(), ",") + "}"
	}
	cases := map[string]string{
		"9000 nested lists":       strings.Repeat("[", 9000),
		"9000 nested objects":     strings.Repeat(`{"a":`, 9000),
		"thousands of members":    unknown(1500),
		"4900 short members":      numbered(4900),
		"5000 members":            numbered(5000),
		"giant exponent":          `{"length_mm":1e5000000}`,
		"giant negative exponent": `{"length_mm":1e-5000000,` + `"width_mm":500,"water_depth_mm":500,"room_c":21}`,
		"many violations":         `{"heaters":[` + strings.Repeat(`{"id":"a","power_w":-1,"x":1},`, 900) + `{}]}`,
	}
	for name, body := range cases {
		t.Run(name, func(t *testing.T) {
			path := "/v1/heater-sizing"
			if name == "many violations" {
				path = "/v1/plan-audit"
			}
			done := make(chan reply, 1)
			go func() { done <- post(t, s, path, body) }()
			select {
			case r := <-done:
				assert.Contains(t, []int{400, 422}, r.status, "%.300s", r.body)
				assert.LessOrEqual(t, len(r.problem(t).Errors), contract.MostViolations)
				assert.Less(t, len(r.body), 64<<10)
				again := post(t, s, path, body)
				assert.Equal(t, string(withoutID(r.body)), string(withoutID(again.body)),
					"the same request gives the same bytes")
			case <-time.After(2 * time.Second):
				t.Fatal("took more than two seconds")
			}
		})
	}
}

func TestViolationListIsCutAndCounted(t *testing.T) {
	s := newTestServer(t)
	p := post(t, s, "/v1/plan-audit", `{"heaters":[`+strings.Repeat(`{"id":"a","power_w":-1,"x":1},`,
		10)+`{}],"controls":[`+strings.Repeat(`{},`, 30)+`{}]}`).problem(t)
	assert.Len(t, p.Errors, contract.MostViolations)
	assert.Greater(t, p.ErrorsTotal, contract.MostViolations)
}

func TestQueryIsReadAsStrictlyAsABody(t *testing.T) {
	s := newTestServer(t)
	const base = "/v1/top-off-endurance?volume_l=300&surface_length_mm=900&surface_width_mm=500&room_c=21&" +
		"reservoir_l=20&return_chamber_length_mm=300&return_chamber_width_mm=300&pump_l_h=10&days_away=7"
	cases := []struct{ name, query, parameter, code, suggestion string }{
		{"not a number", "&water_c=warm", "water_c", contract.CodeType, ""},
		{"NaN", "&water_c=NaN", "water_c", contract.CodeType, ""},
		{"infinity", "&water_c=Inf", "water_c", contract.CodeType, ""},
		{"hexadecimal", "&water_c=0x1p4", "water_c", contract.CodeType, ""},
		{"giant exponent", "&water_c=1e5000000", "water_c", contract.CodeType, ""},
		{"empty", "&water_c=", "water_c", contract.CodeType, ""},
		{"out of range", "&water_c=99", "water_c", contract.CodeRange, ""},
		{"truth in another spelling", "&siphon_break=1", "siphon_break", contract.CodeType, ""},
		{"truth in capitals", "&siphon_break=TRUE", "siphon_break", contract.CodeType, ""},
		{"not true nor false", "&siphon_break=maybe", "siphon_break", contract.CodeType, ""},
		{"another letter case", "&lid=Open", "lid", contract.CodeNotAllowed, ""},
		{"given twice", "&lid=open&lid=open", "lid", contract.CodeRepeated, ""},
		{"unknown", "&watre_c=25", "watre_c", contract.CodeUnknownParameter, "water_c"},
		{"units", "&units=imperial", "units", contract.CodeNotAllowed, ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r := get(t, s, base+c.query)
			require.Equal(t, 422, r.status, "%s", r.body)
			p := r.problem(t)
			require.Len(t, p.Errors, 1, "%s", r.body)
			v := p.Errors[0]
			assert.Equal(t, [5]string{"query", c.parameter, "", c.code, c.suggestion},
				[5]string{v.In, v.Parameter, v.Pointer, v.Code, v.Suggestion})
		})
	}
	const high = "&reservoir_floor_mm=900&reservoir_water_line_mm=1200"
	on, off := get(t, s, base+high+"&siphon_break=true"), get(t, s, base+high+"&siphon_break=false")
	require.Equal(t, 200, on.status, "%s", on.body)
	assert.NotEqual(t, string(on.body), string(off.body))
}

func TestNegativeZeroIsZero(t *testing.T) {
	s := newTestServer(t)
	with := func(altitude string) reply {
		return post(t, s, "/v1/heater-sizing", `{`+sizing+`,"altitude_m":`+altitude+`}`)
	}
	zero := with("0")
	require.Equal(t, 200, zero.status)
	for _, same := range []string{"-0", "-0.0", "-0e9", "-1e-400"} {
		assert.Equal(t, string(zero.body), string(with(same).body), same)
	}
	assert.NotContains(t, string(zero.body), ":-0,")
	const path = "/v1/heater-sizing?length_mm=900&width_mm=500&water_depth_mm=500&room_c=21&altitude_m="
	assert.Equal(t, string(zero.body), string(get(t, s, path+"-0").body))
}

func TestPublicURLMustBeAnAddress(t *testing.T) {
	for _, bad := range []string{"salt.example", "/salt", "ftp://salt.example", "https://",
		"https://salt.example?x=1",
		"::"} {
		_, err := New(Config{PublicURL: bad})
		assert.Error(t, err, bad)
	}
}

func TestPreflightAndHead(t *testing.T) {
	s := newTestServer(t)
	r := call(t, s, httptest.NewRequest("OPTIONS", "/v1/heater-sizing", nil))
	assert.Equal(t, 204, r.status)
	assert.Equal(t, "GET, HEAD, POST, OPTIONS", r.header.Get("Access-Control-Allow-Methods"))
	head := call(t, s, httptest.NewRequest("HEAD",
		"/v1/heater-sizing?length_mm=900&width_mm=500&water_depth_mm=500&room_c=21", nil))
	assert.Equal(t, 200, head.status)
	for _, path := range []string{"/", "/openapi.json", "/openapi.yaml", "/problems/not_found"} {
		assert.Equal(t, 200, call(t, s, httptest.NewRequest("HEAD", path, nil)).status, path)
	}
}

func TestDocumentsAreServed(t *testing.T) {
	s := newTestServer(t)
	r := get(t, s, "/openapi.json")
	assert.Equal(t, 200, r.status)
	assert.Contains(t, string(r.body), `"openapi":"3.0.3"`)
	r = get(t, s, "/openapi.yaml")
	assert.True(t, bytes.HasPrefix(r.body, []byte("openapi: 3.0.3")))
	assert.Contains(t, string(get(t, s, "/v1/sources").body), "Derived")
	assert.Contains(t, string(get(t, s, "/").body), "/v1/plan-audit")
}

func TestGetGivesWhatPostGives(t *testing.T) {
	s := newTestServer(t)
	a := get(t, s, "/v1/heater-sizing?length_mm=900&width_mm=500&water_depth_mm=500&room_c=21&lid=screen")
	b := post(t, s, "/v1/heater-sizing", `{`+sizing+`,"lid":"screen"}`)
	require.Equal(t, 200, a.status, "%s", a.body)
	assert.JSONEq(t, string(b.body), string(a.body))
	r := get(t, s, "/v1/heater-sizing?length_mm=900&width_mm=500&water_depth_mm=500&room_c=21&setpoint_c=31&"+
		"harm_low_c=20&harm_high_c=30")
	require.Equal(t, 422, r.status)
	for _, v := range r.problem(t).Errors {
		assert.Equal(t, "query", v.In)
		assert.NotEmpty(t, v.Parameter)
		assert.Empty(t, v.Pointer)
	}
}

func TestUnitsChangeTextsOnly(t *testing.T) {
	s := newTestServer(t)
	m, u := get(t, s, "/v1/evaporation?length_mm=900&width_mm=500&room_c=21"),
		get(t, s, "/v1/evaporation?length_mm=900&width_mm=500&room_c=21&units=us")
	assert.Contains(t, string(m.body), "2.2")
	assert.Contains(t, string(u.body), "gal")
	assert.NotContains(t, string(u.body), " L ")
	result := func(b []byte) string {
		_, rest, _ := strings.Cut(string(b), `"result":`)
		r, _, _ := strings.Cut(rest, `"formatted"`)
		return r
	}
	assert.Equal(t, result(m.body), result(u.body))
}

func TestAFaultOfOursIsA500WithoutItsCause(t *testing.T) {
	var log bytes.Buffer
	s, err := build(Config{Logger: slog.New(slog.NewJSONHandler(&log, nil)), PublicURL: "https://salt.example/"},
		func(table map[string]handler) {
			table["getIndex"] = func(echo.Context, *contract.Operation) error { panic("a secret") }
			table["listSources"] = func(echo.Context, *contract.Operation) error { return errors.New("a secret") }
		})
	require.NoError(t, err)
	for _, path := range []string{"/", "/v1/sources"} {
		r := get(t, s, path)
		assert.Equal(t, 500, r.status)
		p := r.problem(t)
		assert.Equal(t, "https://salt.example/problems/internal_error", p.Type)
		assert.NotContains(t, string(r.body), "secret")
		assert.Contains(t, log.String(), "a secret")
		assert.Contains(t, log.String(), strings.TrimPrefix(p.Instance, "urn:uuid:"))
		assert.Equal(t, path == "/", strings.Contains(log.String(), "runtime/debug") || strings.Contains(log.String(),
			"goroutine"), "a panic leaves its stack in the log")
		log.Reset()
	}
}

func TestARequestThatIsGivenUpStopsTheAudit(t *testing.T) {
	s := newTestServer(t)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	req := httptest.NewRequest("POST", "/v1/plan-audit",
		strings.NewReader(`{"display":{"volume_l":200},"room":{"usual":{"temp_c":21}},`+
			`"attendance":{"look_every_h":24}}`)).WithContext(ctx)
	req.Header.Set("Content-Type", "application/json")
	rec := httptest.NewRecorder()
	s.ServeHTTP(rec, req)
	assert.Equal(t, statusAbandoned, rec.Code, "nobody reads it")
}
