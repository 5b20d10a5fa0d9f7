package contract

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func load(t testing.TB) *Contract {
	t.Helper()
	c, err := Load()
	require.NoError(t, err)
	return c
}

// request is one demo request of testdata.
type request struct {
	operation, name string
	body            []byte
}

func requests(t testing.TB) []request {
	t.Helper()
	files, err := filepath.Glob("../../testdata/api/post*/*.request.json")
	require.NoError(t, err)
	require.Greater(t, len(files), 50)
	var out []request
	for _, file := range files {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		folder, name := filepath.Split(file)
		out = append(out, request{filepath.Base(folder), strings.TrimSuffix(name, ".request.json"), data})
	}
	return out
}

// broken returns what is wrong with a request, as a problem lists it.
func broken(t *testing.T, err error) []Violation {
	t.Helper()
	var invalid *Invalid
	require.ErrorAs(t, err, &invalid)
	listed, total := Listed(invalid.Violations)
	assert.Len(t, listed, total)
	return listed
}

const sizing = `"length_mm":900,"width_mm":500,"water_depth_mm":500,"room_c":21`

func TestViolationsAllAtOnceWithTheirPlaces(t *testing.T) {
	_, err := load(t).Operation("postPlanAudit").Read([]byte(`{
		"display": {"volume_l": 1, "lid": "ajar", "wal_mm": 3},
		"room": {"usual": {"rh_percent": "wet"}},
		"heaters": [{"id": "h", "power_w": 100}, {"id": "in valid", "power_w": -1, "a/b~c": 1}],
		"sensors": 7, "name": 4
	}`), "")
	type seen struct{ code, pointer, said string }
	var got []seen
	byPointer := map[string]Violation{}
	for _, v := range broken(t, err) {
		got = append(got, seen{v.Code, v.Pointer, v.Said.String()})
		byPointer[v.Pointer] = v
		assert.Equal(t, InBody, v.In)
	}
	assert.Equal(t, []seen{
		{CodeRequired, "#/attendance", "value_required"},
		{CodeNotAllowed, "#/display/lid", "value_not_allowedmap[allowed:[open screen closed]]"},
		{CodeRange, "#/display/volume_l", "value_too_smallmap[least:{5 L}]"},
		{CodeUnknownMember, "#/display/wal_mm", "member_not_known"},
		{CodeUnknownMember, "#/heaters/1/a~1b~0c", "member_not_known"},
		{CodePattern, "#/heaters/1/id", "string_not_in_form"},
		{CodeRange, "#/heaters/1/power_w", "value_too_smallmap[least:{1 W}]"},
		{CodeType, "#/name", "value_of_wrong_typemap[type:string]"},
		{CodeType, "#/room/usual/rh_percent", "value_of_wrong_typemap[type:number]"},
		{CodeRequired, "#/room/usual/temp_c", "value_required"},
		{CodeType, "#/sensors", "value_of_wrong_typemap[type:array]"},
	}, got)
	assert.Equal(t, "wall_mm", byPointer["#/display/wal_mm"].Suggestion)
	assert.Equal(t, 5.0, *byPointer["#/display/volume_l"].Limit.Minimum)
	assert.Equal(t, "L", byPointer["#/display/volume_l"].Unit)
	assert.Equal(t, []string{"open", "screen", "closed"}, byPointer["#/display/lid"].Limit.Enum)
}

// What a part of allOf refuses comes with its own place, code and words, and its defaults are filled in.
func TestAllOfIsReadAsIfItWereItsOwn(t *testing.T) {
	const part = `{"allOf": [{"type": "object", "additionalProperties": false, "required": ["n"], "properties": {
		"n": {"type": "number", "minimum": 1, "x-unit": "W"},
		"lid": {"type": "string", "enum": ["open"], "default": "open"}}}],
		"description": "d"}`
	c, err := Parse([]byte(written("{}", `{"type": "object", "additionalProperties": false, "properties": {
		"one": `+part+`, "many": {"type": "array", "items": `+part+`}}}`)))
	require.NoError(t, err)
	o := c.Operation("postThing")
	_, err = o.Read([]byte(`{"one": {"n": 0, "lit": 1}, "many": [{"n": 1}, {"lid": 7}, 3]}`), "")
	type seen struct{ code, pointer, said, unit, suggestion string }
	var got []seen
	for _, v := range broken(t, err) {
		got = append(got, seen{v.Code, v.Pointer, v.Said.String(), v.Unit, v.Suggestion})
	}
	assert.Equal(t, []seen{
		{CodeNotAllowed, "#/many/1/lid", "value_not_allowedmap[allowed:[open]]", "", ""},
		{CodeRequired, "#/many/1/n", "value_required", "", ""},
		{CodeType, "#/many/2", "value_of_wrong_typemap[type:object]", "", ""},
		{CodeUnknownMember, "#/one/lit", "member_not_known", "", "lid"},
		{CodeRange, "#/one/n", "value_too_smallmap[least:{1 W}]", "W", ""},
	}, got)
	var r struct {
		One *struct {
			N   float64 `json:"n"`
			Lid string  `json:"lid"`
		} `json:"one"`
		Many []struct {
			N   float64 `json:"n"`
			Lid string  `json:"lid"`
		} `json:"many"`
	}
	asked, err := o.Read([]byte(`{"one": {"n": 2}, "many": [{"n": 3}]}`), "")
	require.NoError(t, err)
	require.NoError(t, asked.Into(&r))
	assert.Equal(t, "open", r.One.Lid)
	assert.Equal(t, "open", r.Many[0].Lid)
}

// The members that once were parts of allOf, each with its own place, code and words.
func TestViolationsInPartsOfAPlan(t *testing.T) {
	audit := func(members string) string {
		const head = `{"display":{"volume_l":200},"room":{"usual":{"temp_c":21}},"attendance":{"look_every_h":24},`
		return head + members + `}`
	}
	light := func(schedule string) string {
		return audit(`"lights":[{"id":"l","power_w":9,"schedule":{` + schedule + `}}]`)
	}
	timer := func(schedule string) string {
		return audit(`"controls":[{"id":"c","kind":"timer","outputs":[],"schedule":{` + schedule + `}}]`)
	}
	const unknown, number = "member_not_known", "value_of_wrong_typemap[type:number]"
	for member, c := range map[string]struct{ body, code, said, suggestion string }{
		"#/power/longest_outage_h":    {audit(`"power":{"longest_outage_h":"long"}`), CodeType, number, ""},
		"#/power/circuit":             {audit(`"power":{"circuit":[]}`), CodeUnknownMember, unknown, "circuits"},
		"#/power/circuits/0/id":       {audit(`"power":{"circuits":[{}]}`), CodeRequired, "value_required", ""},
		"#/limits/harm_low_c":         {audit(`"limits":{"harm_low_c":-300}`), CodeRange, "value_too_small", ""},
		"#/limits":                    {audit(`"limits":7`), CodeType, "value_of_wrong_typemap", ""},
		"#/oxygen/surface":            {audit(`"oxygen":{"surface":"rough"}`), CodeUnknownMember, unknown, ""},
		"#/measured/dry_loss_factor":  {audit(`"measured":{"dry_loss_factor":"x"}`), CodeType, number, ""},
		"#/lights/0/schedule/on":      {light(`"on":1`), CodeUnknownMember, unknown, ""},
		"#/lights/0/schedule/off_at":  {light(`"on_at":"9:00","off_at":"25:00"`), CodePattern, "not_in_form", ""},
		"#/controls/0/schedule/on_at": {timer(`"on_at":9,"off_at":"21:00"`), CodeType, "value_of_wrong_typemap", ""},
		"#/budget/heaters_w":          {`{"budget":{"heaters_w":1}}`, CodeUnknownMember, unknown, "heaters"},
	} {
		operation := "postPlanAudit"
		if strings.HasPrefix(member, "#/budget") {
			operation = "postPlanDraft"
		}
		t.Run(member, func(t *testing.T) {
			_, err := load(t).Operation(operation).Read([]byte(c.body), "")
			for _, v := range broken(t, err) {
				if v.Pointer == member {
					assert.Equal(t, c.code, v.Code)
					assert.Contains(t, v.Said.String(), c.said)
					assert.Equal(t, c.suggestion, v.Suggestion)
					return
				}
			}
			t.Errorf("not found in %+v", broken(t, err))
		})
	}
}

func TestBodiesThatAreNotOneJSONValue(t *testing.T) {
	o := load(t).Operation("postHeaterSizing")
	digits := strings.Repeat("1", maxNumberBytes+1)
	for name, c := range map[string]struct{ body, said, pointer string }{
		"nothing":             {"", "body_missing", ""},
		"blanks":              {" \n", "body_ends_early", ""},
		"not JSON":            {"{,}", "body_not_json_atmap[byte:2]", ""},
		"cut short":           {`{"a":`, "body_ends_early", ""},
		"cut in a text":       {`{"a":"b`, "body_ends_early", ""},
		"cut in a word":       {`{"a":tr`, "body_ends_early", ""},
		"trailing data":       {`{` + sizing + `} xx`, "body_followed_by_more", ""},
		"two values":          {`{` + sizing + `}{}`, "body_followed_by_more", ""},
		"member given twice":  {`{` + sizing + `,"room_c":22}`, "member_given_twice", "#/room_c"},
		"twice by an escape":  {`{` + sizing + `,"room\u005fc":22}`, "member_given_twice", "#/room_c"},
		"null twice":          {`{"lid":null,"lid":null}`, "member_given_twice", "#/lid"},
		"unknown twice":       {`{"a/b":1,"a/b":1}`, "member_given_twice", "#/a~1b"},
		"bad UTF-8":           {"{\"a\":\"\xff\"}", "body_not_utf8", ""},
		"half a character":    {`{"a":"\ud800"}`, "body_not_json_at", ""},
		"NaN":                 {`{"length_mm":NaN}`, "body_not_json_at", ""},
		"leading zero":        {`{"length_mm":01}`, "body_not_json_at", ""},
		"a comment":           {`{/**/}`, "body_not_json_at", ""},
		"a comma at the end":  {`{"length_mm":1,}`, "body_not_json_at", ""},
		"long number":         {`{"length_mm":` + digits + `}`, "number_too_longmap[most:64]", "#/length_mm"},
		"long number inside":  {`{"a":[0,` + digits + `]}`, "number_too_longmap[most:64]", "#/a/1"},
		"too deep":            {strings.Repeat(`[`, 17), "body_too_deepmap[most:16]", ""},
		"far too deep":        {strings.Repeat(`[`, 60000), "body_too_deepmap[most:16]", ""},
		"too deep in objects": {strings.Repeat(`{"a":`, 10000), "body_too_deepmap[most:16]", ""},
		"too many values":     {`[` + strings.Repeat("1,", 5000) + `1]`, "body_of_too_many_valuesmap[most:5000]", ""},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := o.Read([]byte(c.body), "")
			var malformed *Malformed
			require.ErrorAs(t, err, &malformed)
			assert.Contains(t, malformed.Said.String(), c.said)
			if c.pointer == "" {
				assert.Empty(t, malformed.Violations)
				return
			}
			require.Len(t, malformed.Violations, 1)
			v := malformed.Violations[0]
			assert.Equal(t, [3]string{CodeSyntax, InBody, c.pointer}, [3]string{v.Code, v.In, v.Pointer})
		})
	}
	members := make([]string, maxMembers+1)
	for i := range members {
		members[i] = fmt.Sprintf(`"x%d":1`, i)
	}
	_, err := o.Read([]byte("{"+strings.Join(members, ",")+"}"), "")
	assert.ErrorContains(t, err, "object_of_too_many_membersmap[most:256]")
	_, err = o.Read([]byte("{"+strings.Join(members[1:], ",")+"}"), "")
	assert.ErrorAs(t, err, new(*Invalid))
	_, err = o.Read([]byte(strings.Repeat(`[`, 16)+strings.Repeat(`]`, 16)), "")
	assert.ErrorAs(t, err, new(*Invalid), "just within the depth")
	_, err = o.Read([]byte(`[`+strings.Repeat("1,", 4998)+`1]`), "")
	assert.ErrorAs(t, err, new(*Invalid), "just within the values")
}

func TestNumbers(t *testing.T) {
	o := load(t).Operation("postHeaterSizing")
	for _, zero := range []string{"0", "-0", "-0.0", "-0e9", "-1e-400"} {
		r, err := o.Read([]byte(`{`+sizing+`,"altitude_m":`+zero+`}`), "")
		require.NoError(t, err)
		assert.Equal(t, "0", fmt.Sprint(r.Sent()["altitude_m"]), zero)
	}
	for _, huge := range []string{"1e400", "-1e5000000"} {
		_, err := o.Read([]byte(`{`+sizing+`,"altitude_m":`+huge+`}`), "")
		list := broken(t, err)
		require.Len(t, list, 1)
		got := [3]string{list[0].Code, list[0].Pointer, list[0].Said.String()}
		assert.Equal(t, [3]string{CodeType, "#/altitude_m", "value_of_wrong_typemap[type:number]"}, got)
	}
	change := load(t).Operation("postLightAcclimation")
	whole := func(n string) error {
		_, err := change.Read([]byte(`{"start_dli_mol_m2_d":3,"steps_per_week":`+n+`,"channels":[
			{"id":"a","peak_ppfd":120,"on_at":"09:00","off_at":"21:00","power_w":60}]}`), "")
		return err
	}
	assert.NoError(t, whole("7"))
	assert.NoError(t, whole("0.7e1"))
	assert.NoError(t, whole("7.0"))
	assert.Equal(t, "value_of_wrong_typemap[type:integer]", broken(t, whole("6.5"))[0].Said.String())
}

// null stands for "not stated" where the contract has a default, and is refused elsewhere.
func TestNull(t *testing.T) {
	o := load(t).Operation("postHeaterSizing")
	r, err := o.Read([]byte(`{`+sizing+`,"lid":null}`), "")
	require.NoError(t, err)
	assert.NotContains(t, r.Sent(), "lid")
	_, err = o.Read([]byte(`{`+sizing+`,"coldest_c":null}`), "")
	list := broken(t, err)
	require.Len(t, list, 1)
	assert.Equal(t, [2]string{"#/coldest_c", "value_of_wrong_typemap[type:number]"},
		[2]string{list[0].Pointer, list[0].Said.String()})
}

func TestQueryIsReadAsStrictlyAsABody(t *testing.T) {
	o := load(t).Operation("getTopOffEndurance")
	const base = "volume_l=300&surface_length_mm=900&surface_width_mm=500&room_c=21&reservoir_l=20" +
		"&return_chamber_length_mm=300&return_chamber_width_mm=300&pump_l_h=10&days_away=7"
	const repeated, number, truth = "value_given_twice", "value_of_wrong_typemap[type:number]",
		"value_of_wrong_typemap[type:boolean]"
	const lids = "value_not_allowedmap[allowed:[open screen closed]]"
	for name, c := range map[string]struct{ query, parameter, code, said, suggestion string }{
		"not a number":              {"&water_c=warm", "water_c", CodeType, number, ""},
		"NaN":                       {"&water_c=NaN", "water_c", CodeType, number, ""},
		"infinity":                  {"&water_c=Inf", "water_c", CodeType, number, ""},
		"hexadecimal":               {"&water_c=0x1p4", "water_c", CodeType, number, ""},
		"giant exponent":            {"&water_c=1e5000000", "water_c", CodeType, number, ""},
		"empty":                     {"&water_c=", "water_c", CodeType, "value_empty", ""},
		"out of range":              {"&water_c=99", "water_c", CodeRange, "value_too_largemap[most:{36 degC}]", ""},
		"truth in another spelling": {"&siphon_break=1", "siphon_break", CodeType, truth, ""},
		"truth in capitals":         {"&siphon_break=TRUE", "siphon_break", CodeType, truth, ""},
		"another letter case":       {"&lid=Open", "lid", CodeNotAllowed, lids, ""},
		"an empty choice":           {"&lid=", "lid", CodeNotAllowed, lids, ""},
		"given twice":               {"&lid=ajar&lid=ajar", "lid", CodeRepeated, repeated, ""},
		"unknown": {
			"&watre_c=25", "watre_c", CodeUnknownParameter, "parameter_not_known", "water_c",
		},
		"units": {"&units=imperial", "units", CodeNotAllowed, "value_not_allowedmap[allowed:[metric us]]", ""},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := o.Read(nil, base+c.query)
			list := broken(t, err)
			require.Len(t, list, 1)
			v := list[0]
			assert.Equal(t, [6]string{InQuery, c.parameter, "", c.code, c.said, c.suggestion},
				[6]string{v.In, v.Parameter, v.Pointer, v.Code, v.Said.String(), v.Suggestion})
		})
	}
	_, err := o.Read(nil, strings.TrimPrefix(base, "volume_l=300&")+"&water_c=99")
	list := broken(t, err)
	require.Len(t, list, 2, "all at once")
	assert.Equal(t, [2]string{"volume_l", CodeRequired}, [2]string{list[0].Parameter, list[0].Code})
	assert.Equal(t, "degC", list[1].Unit)
	for _, bad := range []string{"a=%zz", "a=1;b=2"} {
		_, err = o.Read(nil, bad)
		assert.ErrorContains(t, err, "query_not_valid")
	}
	r, err := o.Read(nil, base+"&siphon_break=true&units=us")
	require.NoError(t, err)
	assert.Equal(t, true, r.Sent()["siphon_break"])
	assert.Equal(t, "us", r.Parameter("units"))
	assert.NotContains(t, r.Sent(), "units")
	r, err = load(t).Operation("postHeaterSizing").Read([]byte(`{`+sizing+`}`), "samples=200")
	require.NoError(t, err)
	got := [3]any{r.Parameter("units"), r.Parameter("samples"), r.Parameter("seed")}
	assert.Equal(t, [3]any{"metric", 200.0, 1.0}, got)
	_, err = load(t).Operation("postHeaterSizing").Read([]byte(`{"length_mm":0}`), "samples=2.0&unit=us")
	assert.Len(t, broken(t, err), 6, "body and query at once")
}

func TestPathParameters(t *testing.T) {
	o := load(t).Operation("getProblem")
	assert.NoError(t, o.ReadPath(map[string]string{"code": "not_found"}))
	v := broken(t, o.ReadPath(map[string]string{"code": "boredom"}))
	assert.Equal(t, [3]string{InPath, "code", CodeNotAllowed}, [3]string{v[0].In, v[0].Parameter, v[0].Code})
}

func TestViolationListIsCutAndCounted(t *testing.T) {
	heaters, controls := strings.Repeat(`{"id":"a","power_w":-1,"x":1},`, 10), strings.Repeat(`{},`, 30)
	body := `{"heaters":[` + heaters + `{}],"controls":[` + controls + `{}]}`
	_, err := load(t).Operation("postPlanAudit").Read([]byte(body), "")
	var invalid *Invalid
	require.ErrorAs(t, err, &invalid)
	listed, total := Listed(invalid.Violations)
	assert.Len(t, listed, MostViolations)
	assert.Greater(t, total, MostViolations)
	byPointer := func(a, b Violation) int { return strings.Compare(a.Pointer, b.Pointer) }
	assert.True(t, slices.IsSortedFunc(listed, byPointer))
	twice, total := Listed(append(slices.Clone(listed), listed...))
	assert.Equal(t, listed, twice)
	assert.Equal(t, MostViolations, total)
}

// shape makes a Go type that fits a schema, as a person would write it.
func shape(s *Schema) reflect.Type {
	switch s.Type {
	case "number":
		return reflect.TypeFor[float64]()
	case "integer":
		return reflect.TypeFor[int]()
	case "boolean":
		return reflect.TypeFor[bool]()
	case "string":
		return reflect.TypeFor[string]()
	case "array":
		return reflect.SliceOf(shape(s.Items))
	case "object":
		var fields []reflect.StructField
		for i, m := range s.Members {
			t, tag := shape(m.Schema), m.Name
			if !m.Required && m.Schema.Default == nil && t.Kind() != reflect.Slice {
				t, tag = reflect.PointerTo(t), m.Name+",omitempty"
			}
			json := reflect.StructTag(fmt.Sprintf("json:%q", tag))
			fields = append(fields, reflect.StructField{Name: fmt.Sprint("F", i), Type: t, Tag: json})
		}
		return reflect.StructOf(fields)
	}
	return rawMessage
}

// checkerFilled is the whole of a request as the checker itself fills in defaults.
func checkerFilled(t testing.TB, o *Operation, body []byte) any {
	t.Helper()
	dec := json.NewDecoder(bytes.NewReader(body))
	dec.UseNumber()
	var value any
	require.NoError(t, dec.Decode(&value))
	require.NoError(t, o.Body.checker.VisitJSON(value, openapi3.VisitAsRequest(), openapi3.DefaultsSet(func() {})))
	return value
}

// The struct that Into fills is what encoding/json reads from the request with the checker's own defaults.
func TestIntoGivesWhatTheCheckerAndEncodingJSONGive(t *testing.T) {
	taken := 0
	for _, q := range requests(t) {
		o := load(t).Operation(q.operation)
		r, err := o.Read(bytes.Clone(q.body), "")
		if err != nil {
			assert.Contains(t, q.name, "problem")
			continue
		}
		taken++
		kind := shape(o.Body)
		got := reflect.New(kind)
		require.NoError(t, r.Into(got.Interface()), q.name)
		full, err := json.Marshal(checkerFilled(t, o, q.body))
		require.NoError(t, err)
		want := reflect.New(kind)
		require.NoError(t, json.Unmarshal(full, want.Interface()))
		wantJSON, err := json.Marshal(want.Interface())
		require.NoError(t, err)
		gotJSON, err := json.Marshal(got.Interface())
		require.NoError(t, err)
		assert.JSONEq(t, string(wantJSON), string(gotJSON), "%s %s", q.operation, q.name)
		if q.operation != "postBatch" { // spaces in raw members
			assert.Equal(t, want.Elem().Interface(), got.Elem().Interface(), "%s %s", q.operation, q.name)
		}
	}
	assert.Greater(t, taken, 40)
}

// Two requests share nothing that one of them could change.
func TestIntoSharesNothing(t *testing.T) {
	c, err := Parse([]byte(small))
	require.NoError(t, err)
	type inner struct {
		Tags []string `json:"tags"`
	}
	type body struct {
		inner
		N      float64  `json:"n"`
		List   []string `json:"list"`
		Inside inner    `json:"inside"`
		Maybe  *float64 `json:"maybe"`
	}
	var a, b body
	r, err := c.Operation("postThing").Read([]byte(`{"n":1}`), "")
	require.NoError(t, err)
	require.NoError(t, r.Into(&a))
	assert.Equal(t, body{inner: inner{[]string{"t"}}, N: 1, List: []string{}, Inside: inner{[]string{"x", "y"}}}, a)
	a.Tags[0], a.Inside.Tags[1] = "changed", "changed"
	require.NoError(t, r.Into(&b))
	assert.Equal(t, []string{"t"}, b.Tags)
	assert.Equal(t, []string{"x", "y"}, b.Inside.Tags)

	assert.ErrorContains(t, r.Into(a), "no pointer")
	assert.ErrorContains(t, r.Into(&struct{ inner }{}), "has no field")
	type more struct {
		body
		M float64 `json:"m"`
	}
	assert.ErrorContains(t, r.Into(&more{}), "the contract has no m")
	assert.ErrorContains(t, c.Operation("postThing").Fits(reflect.TypeFor[struct {
		N string `json:"n"`
	}]()), "n: string holds no number")
}

const small = `{"openapi": "3.0.3", "info": {"title": "t", "version": "1"}, "paths": {"/v1/thing": {"post": {
	"operationId": "postThing", "x-cost": 1,
	"requestBody": {"content": {"application/json": {"schema": {
		"type": "object", "additionalProperties": false, "required": ["n"], "properties": {
		"n": {"type": "number"}, "maybe": {"type": "number"},
		"list": {"type": "array", "items": {"type": "string"}, "default": []},
		"tags": {"type": "array", "items": {"type": "string"}, "default": ["t"]},
		"inside": {"type": "object", "additionalProperties": false, "default": {}, "properties": {
			"tags": {"type": "array", "items": {"type": "string"}, "default": ["x", "y"]}}}}}}}},
	"responses": {"200": {"description": "ok"}}}}}}`

// The assumptions are the leaves that the checker's defaults add to what was sent, where the contract says why.
func TestAssumedIsWhatTheCheckersDefaultsAdd(t *testing.T) {
	found := 0
	for _, q := range requests(t) {
		o := load(t).Operation(q.operation)
		r, err := o.Read(bytes.Clone(q.body), "")
		if err != nil {
			continue
		}
		var sent any
		require.NoError(t, json.Unmarshal(q.body, &sent))
		want := map[string]Assumed{}
		added(want, o.Body, sent, checkerFilled(t, o, q.body), "#")
		got := r.Assumed()
		found += len(got)
		assert.Len(t, got, len(want), q.name)
		for _, a := range got {
			w, ok := want[a.Pointer]
			require.True(t, ok, "%s: %s", q.name, a.Pointer)
			assert.EqualValues(t, fmt.Sprint(w.Value), fmt.Sprint(a.Value), a.Pointer)
			w.Value, a.Value = nil, nil
			assert.Equal(t, w, a)
		}
		byPointer := func(a, b Assumed) int { return strings.Compare(a.Pointer, b.Pointer) }
		assert.True(t, slices.IsSortedFunc(got, byPointer))
	}
	assert.Greater(t, found, 500)
}

// added compares a request with what it became: the plain way, over the whole tree.
func added(out map[string]Assumed, s *Schema, sent, full any, pointer string) {
	switch f := full.(type) {
	case map[string]any:
		given, _ := sent.(map[string]any)
		for name, v := range f {
			if m := s.Member(name); m != nil {
				added(out, m.Schema, given[name], v, pointer+"/"+EscapePointer(name))
			}
		}
	case []any:
		if given, ok := sent.([]any); ok {
			for i, v := range f {
				added(out, s.Items, given[i], v, fmt.Sprintf("%s/%d", pointer, i))
			}
		} else if len(f) > 0 && s.Assumption != nil {
			out[pointer] = Assumed{pointer, full, s.Unit, *s.Assumption}
		}
	default:
		if sent == nil && s.Assumption != nil && full != "" {
			out[pointer] = Assumed{pointer, full, s.Unit, *s.Assumption}
		}
	}
}

func TestAssumedOfAQuery(t *testing.T) {
	get := load(t).Operation("getEvaporation")
	post := load(t).Operation("postEvaporation")
	q, err := get.Read(nil, "length_mm=900&width_mm=500&room_c=21&lid=open")
	require.NoError(t, err)
	b, err := post.Read([]byte(`{"length_mm":900,"width_mm":500,"room_c":21,"lid":"open"}`), "")
	require.NoError(t, err)
	assert.NotEmpty(t, q.Assumed())
	assert.Equal(t, b.Assumed(), q.Assumed())
	assert.Equal(t, b.Sent(), q.Sent())
	assert.Nil(t, q.Raw())
}

func TestMember(t *testing.T) {
	o := load(t).Operation("postPlanAudit")
	assert.Equal(t, "W", o.Member("#/heaters/3/power_w").Unit)
	assert.Equal(t, "object", o.Member("#/power").Type)
	assert.Equal(t, "PlanPower", o.Member("#/power").Name)
	assert.NotNil(t, o.Member("#"))
	for _, none := range []string{"#/heater", "#/heaters/x", "#/heaters/0/power", "#/name/0"} {
		assert.Nil(t, o.Member(none), none)
	}
	assert.Equal(t, "mm", load(t).Operation("getEvaporation").Member("#/length_mm").Unit)
	assert.Nil(t, load(t).Operation("getIndex").Member("#/length_mm"))
}

// Any bytes give a value that encoding/json gives too, or a refusal.
func FuzzParseJSON(f *testing.F) {
	for _, seed := range []string{
		`{}`, `{"a":[1,2,{"b":null}]}`, `{"a":1,"a":2}`, `[[[[`, `1e999`, `[-0,-0.0e1,{"-0":-1e-999}]`, ` {} x`,
		`"\ud800"`, "{\"a\":\"\xff\"}",
		`{"lid":null,"room_c":-0}`, `{"\u0061":"\n\"\\"}`, `"😀"`, `"\ud83d\ude00"`,
	} {
		f.Add([]byte(seed))
	}
	s := load(f).Operation("postHeaterSizing").Body
	f.Fuzz(func(t *testing.T, data []byte) {
		before := bytes.Clone(data)
		got, err := parseJSON(data, nil)
		if !bytes.Equal(before, data) {
			t.Fatal("the bytes were changed")
		}
		if _, guided := parseJSON(data, s); (guided == nil) != (err == nil) {
			t.Fatalf("with a schema %v, without %v", guided, err)
		}
		if err != nil {
			var malformed *Malformed
			if !errors.As(err, &malformed) || malformed.Said.IsZero() || !utf8.ValidString(malformed.Error()) {
				t.Fatalf("not a refusal: %v", err)
			}
			return
		}
		dec := json.NewDecoder(bytes.NewReader(data))
		dec.UseNumber()
		var want any
		if err := dec.Decode(&want); err != nil || !json.Valid(data) {
			t.Fatalf("passed but is no JSON: %q", data)
		}
		if !reflect.DeepEqual(plain(want), got) {
			t.Fatalf("%q became %v, not %v", data, got, want)
		}
	})
}

// plain turns numbers into what the parser makes of them.
func plain(v any) any {
	switch x := v.(type) {
	case json.Number:
		if f, err := x.Float64(); err == nil {
			return f + 0
		}
	case []any:
		for i := range x {
			x[i] = plain(x[i])
		}
	case map[string]any:
		for name := range x {
			x[name] = plain(x[name])
		}
	}
	return v
}

// Any request is taken, and then fits its type, or is refused with a typed error.
func FuzzRead(f *testing.F) {
	for _, q := range requests(f) {
		if len(q.body) < 2000 {
			f.Add(q.operation, q.body, "units=us")
		}
	}
	f.Add("getEvaporation", []byte{}, "length_mm=900&width_mm=500&room_c=21")
	c := load(f)
	f.Fuzz(func(t *testing.T, operation string, body []byte, query string) {
		o := c.Operation(operation)
		if o == nil || o.Request == nil {
			return
		}
		r, err := o.Read(body, query)
		if err != nil {
			var malformed *Malformed
			var invalid *Invalid
			if !errors.As(err, &malformed) && (!errors.As(err, &invalid) || len(invalid.Violations) == 0) {
				t.Fatalf("not a refusal: %v", err)
			}
			return
		}
		target := reflect.New(shape(o.Request)).Interface()
		if err := r.Into(target); err != nil {
			t.Fatal(err)
		}
		r.Assumed()
		if _, err := url.ParseQuery(query); err != nil {
			t.Fatal(err)
		}
	})
}
