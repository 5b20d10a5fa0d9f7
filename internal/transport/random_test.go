package transport

import (
	"encoding/json"
	"maps"
	"math/rand/v2"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"saltwright/internal/answer/envelope"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// shuffle replaces some leaves of a request by others that the contract allows,
// often by the ends of their ranges, and adds some members that were left out.
func shuffle(r *rand.Rand, ref *openapi3.SchemaRef, value any, share float64) any {
	switch v := value.(type) {
	case map[string]any:
		object := objectOf(ref)
		if object == nil {
			return v
		}
		for _, name := range sortedNames(object.Properties) {
			p := object.Properties[name]
			old, given := v[name]
			switch {
			case given:
				v[name] = shuffle(r, p, old, share)
			case isNumber(p) && r.Float64() < share/4:
				v[name] = drawn(r, p.Value)
			}
		}
		return v
	case []any:
		for i := range v {
			v[i] = shuffle(r, itemsOf(ref), v[i], share)
		}
		return v
	}
	if r.Float64() >= share || ref == nil {
		return value
	}
	switch {
	case isNumber(ref):
		return drawn(r, ref.Value)
	case ref.Value.Type.Is("boolean"):
		return r.IntN(2) == 0
	case len(ref.Value.Enum) > 0:
		return ref.Value.Enum[r.IntN(len(ref.Value.Enum))]
	}
	return value
}

func isNumber(ref *openapi3.SchemaRef) bool {
	return ref != nil && ref.Value.Type != nil && (ref.Value.Type.Is("number") || ref.Value.Type.Is("integer"))
}

func drawn(r *rand.Rand, s *openapi3.Schema) any {
	x := *s.Min + (*s.Max-*s.Min)*r.Float64()
	switch r.IntN(4) {
	case 0:
		x = *s.Min
	case 1:
		x = *s.Max
	}
	if s.Type.Is("integer") {
		return json.Number(strconv.FormatFloat(x, 'f', 0, 64))
	}
	return json.Number(strconv.FormatFloat(x, 'g', -1, 64))
}

// objectOf returns the schema with the properties, through allOf.
func objectOf(ref *openapi3.SchemaRef) *openapi3.Schema {
	if ref == nil || ref.Value == nil {
		return nil
	}
	if len(ref.Value.Properties) > 0 {
		return ref.Value
	}
	for _, part := range ref.Value.AllOf {
		if o := objectOf(part); o != nil {
			return o
		}
	}
	return nil
}

func sortedNames(m openapi3.Schemas) []string {
	return slices.Sorted(maps.Keys(m))
}

// Whatever the contract allows is answered: by a result inside the contract or
// by a problem that names members of the request, never by a fault of ours.
func TestRequestsWithinTheContractNeverFail(t *testing.T) {
	s := newTestServer(t)
	files, err := filepath.Glob(filepath.Join(root(t), "testdata/api/*/*.request.json"))
	require.NoError(t, err)
	for _, file := range files {
		id := filepath.Base(filepath.Dir(file))
		o := s.contract.operations[id]
		if o.body == nil || strings.HasSuffix(file, "-problem.request.json") {
			continue
		}
		rounds, share := 40, 0.25
		if strings.HasPrefix(id, "postPlan") && id != "postPlanCheck" { // a plan has many members, and each simulates some dozen faults
			rounds, share = 2, 0.01
		}
		if testing.Short() {
			if id == "postPlanRemedies" {
				continue // dozens of audits each; the long run has them
			}
			rounds = min(rounds, 4)
		}
		t.Run(id+"/"+strings.TrimSuffix(filepath.Base(file), ".request.json"), func(t *testing.T) {
			request, err := os.ReadFile(file)
			require.NoError(t, err)
			for seed := range rounds {
				value, err := envelope.DecodeJSON(request)
				require.NoError(t, err)
				r := rand.New(rand.NewPCG(uint64(seed), uint64(len(request))))
				body, err := json.Marshal(shuffle(r, o.body, value, share*float64(1+seed%4)))
				require.NoError(t, err)
				path := o.path
				if len(o.targets) > 0 && seed%2 == 1 {
					path += "?samples=3"
				}
				got := post(t, s, path, string(body))
				if !assert.Contains(t, []int{http.StatusOK, http.StatusUnprocessableEntity}, got.status, "%s\n%s", body, got.body) || got.status == http.StatusOK {
					continue
				}
				for _, v := range got.problem(t).Errors {
					assert.NotEqual(t, envelope.CodeOther, v.Code, "%s\n%s", body, got.body)
					assert.True(t, v.Pointer != "#" && o.member(v.Pointer) != nil, "%s is nothing in the request: %s\n%s", v.Pointer, v.Detail, body)
				}
			}
		})
	}
	t.Logf("%d requests shuffled", len(files))
}
