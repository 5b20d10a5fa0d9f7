package transport

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"maps"
	"net/http"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"sort"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/api"
	"saltwright/internal/calc/source"
	"saltwright/internal/contract"
	"saltwright/internal/unit"
)

// cited tells whether the bibliography has a key.
func cited(key string) bool {
	return slices.ContainsFunc(source.All(), func(e source.Entry) bool { return e.Key == key })
}

func TestContractIsValidWithItsExamples(t *testing.T) {
	doc, err := openapi3.NewLoader().LoadFromData(api.OpenAPI)
	require.NoError(t, err)
	require.NoError(t, doc.Validate(context.Background(), openapi3.EnableExamplesValidation(),
		openapi3.EnableSchemaDefaultsValidation()))
	assert.Equal(t, "3.0.3", doc.OpenAPI)
}

func TestOperationsAndHandlersMustMatch(t *testing.T) {
	_, err := build(Config{}, func(table map[string]handler) { delete(table, "getIndex") })
	assert.ErrorContains(t, err, "getIndex of the contract has no handler")
	_, err = build(Config{}, func(table map[string]handler) { table["getNothing"] = getProblem })
	assert.ErrorContains(t, err, "getNothing has no operation")
}

func TestDocumentsOfOursFitTheContract(t *testing.T) {
	for schema, value := range map[string]any{"Problem": problem{}, "ProblemPage": problemPage{},
		"Index": indexResponse{}} {
		assert.ElementsMatch(t, slices.Collect(maps.Keys(kinDocument(t).Components.Schemas[schema].Value.Properties)),
			jsonNames(reflect.TypeOf(value)), schema)
	}
}

func jsonNames(t reflect.Type) (names []string) {
	for i := range t.NumField() {
		name, _, _ := strings.Cut(t.Field(i).Tag.Get("json"), ",")
		names = append(names, name)
	}
	return names
}

// A GET twin takes the members of its POST's body and the units and the language; nothing more, nothing less.
// Where a plan is packed, it
// takes that in place of what it packs, and what the POST takes beside its body.
func TestGetTwinsTakeWhatPostTakes(t *testing.T) {
	s := newTestServer(t)
	twins := 0
	for _, o := range s.contract.Operations {
		id := o.ID
		if o.Method != http.MethodGet || o.ModelVersion == "" {
			continue
		}
		twins++
		twin := s.contract.Operation("post" + strings.TrimPrefix(id, "get"))
		require.NotNil(t, twin, id)
		names := map[string]bool{"units": true, "language": true, "include": true, "samples": true, "seed": true}
		for name, p := range route(t,
			twin).Operation.RequestBody.Value.Content.Get("application/json").Schema.Value.Properties {
			if o.Packs == "#" || o.Packs != "" && (p.Value.Type.Is("array") || name == "plan") {
				continue
			}
			names[name] = true
			param := route(t, o).Operation.Parameters.GetByInAndName(openapi3.ParameterInQuery, name)
			if assert.NotNil(t, param, "%s: %s", id, name) {
				assert.Equal(t, p.Value, param.Schema.Value, "%s: %s must be the body's member", id, name)
				assert.Equal(t, twin.Body.Member(name).Required, param.Required, "%s: %s", id, name)
			}
		}
		if o.Packs != "" {
			names["plan"] = true
			for _, p := range twin.Parameters {
				names[p.Name] = true
			}
		}
		for _, p := range route(t, o).Operation.Parameters {
			assert.True(t, names[p.Value.Name], "%s: %s is not in the body", id, p.Value.Name)
		}
	}
	assert.GreaterOrEqual(t, twins, 4)
}

// schemas visits every schema of the document once, with a name to find it by.
func schemas(doc *openapi3.T, visit func(at string, s *openapi3.Schema)) {
	seen := map[*openapi3.Schema]bool{}
	for _, name := range slices.Sorted(maps.Keys(doc.Components.Schemas)) {
		walkSchema(name, doc.Components.Schemas[name], seen, visit)
	}
	for path, item := range doc.Paths.Map() {
		for _, op := range item.Operations() {
			for _, p := range op.Parameters {
				walkSchema(path+"?"+p.Value.Name, p.Value.Schema, seen, visit)
			}
		}
	}
}

// walkSchema visits a schema and those below it that were not seen yet.
func walkSchema(at string, ref *openapi3.SchemaRef, seen map[*openapi3.Schema]bool,
	visit func(at string, s *openapi3.Schema)) {
	if ref == nil || ref.Value == nil || seen[ref.Value] {
		return
	}
	seen[ref.Value] = true
	visit(at, ref.Value)
	for _, name := range slices.Sorted(maps.Keys(ref.Value.Properties)) {
		walkSchema(at+"."+name, ref.Value.Properties[name], seen, visit)
	}
	walkSchema(at+"[]", ref.Value.Items, seen, visit)
	for _, p := range ref.Value.AllOf {
		walkSchema(at, p, seen, visit)
	}
}

func TestHouseRulesOfTheContract(t *testing.T) {
	doc := kinDocument(t)
	requested := map[*openapi3.Schema]bool{}
	for _, item := range doc.Paths.Map() {
		if item.Post != nil {
			walkSchema("", item.Post.RequestBody.Value.Content.Get("application/json").Schema, requested,
				func(string, *openapi3.Schema) {})
		}
	}
	numbers := 0
	schemas(doc, func(at string, s *openapi3.Schema) {
		if s.Type.Is("number") || s.Type.Is("integer") {
			numbers++
			assert.NotNil(t, s.Min, "%s: minimum", at)
			assert.NotNil(t, s.Max, "%s: maximum", at)
			assert.NotEmpty(t, s.Format, "%s: format", at)
			assert.NotEmpty(t, s.Extensions["x-unit"], "%s: x-unit", at)
		}
		if s.Type.Is("object") {
			has := s.AdditionalProperties.Has
			assert.Equal(t, requested[s], has != nil && !*has, "%s: an object of a request refuses unknown members, "+
				"one of an answer alone says nothing", at)
			assert.True(t, requested[s] || has == nil, "%s: additionalProperties", at)
		}
		if s.Type.Is("array") {
			assert.NotNil(t, s.MaxItems, "%s: maxItems", at)
		}
		// keywords that problems have no words for
		assert.Empty(t, s.OneOf, "%s: oneOf", at)
		assert.Empty(t, s.AnyOf, "%s: anyOf", at)
		assert.Nil(t, s.Not, "%s: not", at)
		assert.Nil(t, s.MultipleOf, "%s: multipleOf", at)
		assert.False(t, s.UniqueItems, "%s: uniqueItems", at)
		assert.False(t, s.Nullable, "%s: nullable", at)
		assert.False(t, s.ExclusiveMin.IsSet() || s.ExclusiveMax.IsSet(), "%s: exclusive bounds", at)
		assert.True(t, s.MinProps == 0 && s.MaxProps == nil, "%s: minProperties, maxProperties", at)
		if s.Extensions["x-formatted"] == true {
			name, _ := s.Extensions["x-unit"].(string)
			converted := unit.Of(name).US != ""
			assert.True(t, converted || slices.Contains(sameInUS, name), "%s: how is %s written in US units?", at,
				name)
		}
		if s.Type.Is("string") && len(s.Enum) == 0 {
			assert.NotNil(t, s.MaxLength, "%s: maxLength or enum", at)
		}
		for name, p := range s.Properties {
			where := at + "." + name
			leaf := p.Value.Type != nil && !p.Value.Type.Is("array") && !p.Value.Type.Is("object")
			if p.Value.Default != nil && leaf {
				note, ok := p.Value.Extensions["x-assumption"].(map[string]any)
				if assert.True(t, ok, "%s: a default needs an x-assumption", where) {
					assert.Contains(t, []any{"default", "common_practice", "source", "derived"}, note["why"], where)
					if key, ok := note["source"].(string); ok {
						assert.True(t, cited(key), "%s: source %s", where, key)
					}
				}
			}
			if !slices.Contains(s.Required, name) && !leaf && p.Value.Default == nil && hasDefaultsInside(p, 0) &&
				strings.HasSuffix(at, "Request") {
				assert.Contains(t, optionalWithoutDefaults, where, "an optional object with defaults inside needs "+
					"default: {}")
			}
		}
	})
	assert.Greater(t, numbers, 200)
	for path, item := range doc.Paths.Map() {
		for method, op := range item.Operations() {
			at := method + " " + path
			assert.NotEmpty(t, op.OperationID, at)
			assert.NotEmpty(t, op.Summary, at)
			assert.NotEmpty(t, op.Description, at)
			assert.NotEmpty(t, op.Tags, at)
			for _, status := range []string{"400", "422", "500"} {
				r := op.Responses.Value(status)
				if assert.NotNil(t, r, "%s: %s", at, status) {
					assert.Contains(t, r.Value.Content, "application/problem+json", at)
				}
			}
			assert.NotEmpty(t, op.Responses.Value("200").Value.Content["application/json"].Examples,
				"%s: an example answer", at)
			if strings.HasPrefix(path, "/v1/") && !slices.Contains([]string{"listSources", "listTexts", "postBatch"},
				op.OperationID) {
				assert.NotEmpty(t, op.Extensions["x-model-version"], "%s: x-model-version", at)
			}
		}
	}
}

// sameInUS are units that US readers use as they are.
var sameInUS = []string{
	"1", "dKH", "meq/L", "mg/L", "g/kg", "ppm", "g", "mL", "W", "kWh", "kWh/d", "s", "min", "h", "h/d", "d",
	"mol/(m2 d)",
}

// optionalWithoutDefaults are optional objects whose absence differs from any value.
var optionalWithoutDefaults = []string{
	"PlanRequest.sump", "PlanRequest.chemistry", "PlanRequest.worth",
	"ModelCalibrationRequest.evaporation", "ModelCalibrationRequest.duty", "ModelCalibrationRequest.cool_down",
}

func hasDefaultsInside(ref *openapi3.SchemaRef, depth int) bool {
	if ref == nil || ref.Value == nil || depth > 4 {
		return false
	}
	for _, p := range ref.Value.Properties {
		if p.Value.Default != nil || hasDefaultsInside(p, depth+1) {
			return true
		}
	}
	for _, p := range ref.Value.AllOf {
		if hasDefaultsInside(p, depth) {
			return true
		}
	}
	return false
}

func TestProblemCodesAreTheContracts(t *testing.T) {
	s := newTestServer(t)
	var ours []string
	for _, p := range problemCodes {
		ours = append(ours, p.Code)
		r := get(t, s, "/problems/"+p.Code)
		assert.Equal(t, http.StatusOK, r.status, "the type of every problem opens")
	}
	for _, schema := range []string{"Problem", "ProblemPage"} {
		var theirs []string
		for _, v := range kinDocument(t).Components.Schemas[schema].Value.Properties["code"].Value.Enum {
			theirs = append(theirs, v.(string))
		}
		assert.ElementsMatch(t, ours, theirs, schema)
	}
	var theirs []string
	for _, v := range kinDocument(t).Components.Schemas["Violation"].Value.Properties["code"].Value.Enum {
		theirs = append(theirs, v.(string))
	}
	assert.ElementsMatch(t, contract.ViolationCodes, theirs)
}

// Every named request example runs through the real server and gives the
// documented answer, where one is documented under the same name.
func TestExamplesOfTheContractAreTrue(t *testing.T) {
	s := newTestServer(t)
	ran, compared := 0, 0
	for _, o := range s.contract.Operations {
		id := o.ID
		if o.Body == nil {
			continue
		}
		answers := route(t, o).Operation.Responses.Value("200").Value.Content["application/json"].Examples
		for name, example := range route(t, o).Operation.RequestBody.Value.Content["application/json"].Examples {
			ran++
			request, err := json.Marshal(example.Value.Value)
			require.NoError(t, err)
			r := answered(t, o, request, "")
			require.Equal(t, http.StatusOK, r.status, "%s %s: %s", id, name, r.body)
			if answer, ok := answers[name]; ok {
				compared++
				want, err := json.Marshal(answer.Value.Value)
				require.NoError(t, err)
				sameJSON(t, want, r.body)
			}
		}
		assert.NotEmpty(t, answers, id)
	}
	assert.GreaterOrEqual(t, compared, 5)
	// What has no body: the twin of a POST gives the same answer to the same request, documents give theirs.
	for _, o := range s.contract.Operations {
		id := o.ID
		answers := route(t, o).Operation.Responses.Value("200").Value.Content["application/json"].Examples
		if o.Body != nil {
			continue
		}
		for name, answer := range answers {
			ran++
			request := map[string]any{}
			switch {
			case o.ModelVersion != "":
				twin := s.contract.Operation("post" + strings.TrimPrefix(id, "get"))
				example := route(t, twin).Operation.RequestBody.Value.Content["application/json"].Examples[name]
				require.NotNil(t, example, "%s %s", id, name)
				request = example.Value.Value.(map[string]any)
			case id == "getProblem":
				request["code"] = answer.Value.Value.(map[string]any)["code"]
			}
			raw, err := json.Marshal(request)
			require.NoError(t, err)
			r := ask(t, s, o, raw)
			require.Equal(t, http.StatusOK, r.status, "%s %s: %s", id, name, r.body)
			want, err := json.Marshal(answer.Value.Value)
			require.NoError(t, err)
			if id == "listSources" || id == "listTexts" { // documented by one of their entries
				var some, all map[string][]any
				require.NoError(t, json.Unmarshal(want, &some))
				require.NoError(t, json.Unmarshal(r.body, &all))
				for list, entries := range some {
					assert.Subset(t, all[list], entries)
				}
				continue
			}
			compared++
			sameJSON(t, want, r.body)
		}
	}
	t.Logf("%d request examples ran, %d documented answers compared", ran, compared)
}

// The contract's version must change with the contract once it is released; while
// it is 0.x the lock is renewed with -update, so that every change is a decision.
func TestContractLock(t *testing.T) {
	sum := sha256.Sum256(bytes.ReplaceAll(api.OpenAPI, []byte("\r\n"), []byte("\n")))
	now := kinDocument(t).Info.Version + " " + hex.EncodeToString(sum[:]) + "\n"
	file := filepath.Join(root(t), "testdata/contract.lock")
	locked, err := os.ReadFile(file)
	if *update {
		if version, _, _ := strings.Cut(string(locked), " "); err == nil && string(locked) != now &&
			!strings.HasPrefix(version, "0.") {
			require.NotEqual(t, version, kinDocument(t).Info.Version,
				"a released contract changed without its version")
		}
		require.NoError(t, os.WriteFile(file, []byte(now), 0o644))
		return
	}
	require.NoError(t, err)
	assert.Equal(t, string(locked), now,
		"the contract changed: raise info.version, or run with -update while it is 0.x")
}

func TestSourcesCitedInAnswersExist(t *testing.T) {
	s := newTestServer(t)
	files, err := filepath.Glob(filepath.Join(root(t), "testdata/api/*/*.request.json"))
	require.NoError(t, err)
	var keys []string
	for _, file := range files {
		request, err := os.ReadFile(file)
		require.NoError(t, err)
		o := s.contract.Operation(filepath.Base(filepath.Dir(file)))
		r := answered(t, o, request, "")
		if o.ModelVersion == "" || r.status != http.StatusOK {
			continue
		}
		var e struct {
			Assumptions []struct{ Pointer, Why, Source string } `json:"assumptions"`
			Model       struct{ Sources []string }              `json:"model"`
		}
		require.NoError(t, json.Unmarshal(r.body, &e))
		assert.NotEmpty(t, e.Model.Sources, file)
		keys = append(keys, e.Model.Sources...)
		for _, a := range e.Assumptions {
			if a.Source != "" {
				keys = append(keys, a.Source)
			}
			assert.NotEmpty(t, a.Why, a.Pointer)
		}
		assert.True(t, sort.SliceIsSorted(e.Assumptions, func(i,
			j int) bool {
			return e.Assumptions[i].Pointer < e.Assumptions[j].Pointer
		}))
	}
	for _, k := range keys {
		assert.True(t, cited(k), "source %s", k)
	}
}
