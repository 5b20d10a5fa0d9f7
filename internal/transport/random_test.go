package transport

import (
	"encoding/json"
	"math/rand/v2"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"saltwright/internal/contract"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// shuffle replaces some leaves of a request by others that the contract allows,
// often by the ends of their ranges, and adds some members that were left out.
func shuffle(r *rand.Rand, s *contract.Schema, value any, share float64) any {
	switch v := value.(type) {
	case map[string]any:
		if s == nil {
			return v
		}
		for _, name := range slices.Sorted(slices.Values(s.MemberNames())) {
			p := s.Member(name).Schema
			old, given := v[name]
			switch {
			case given:
				v[name] = shuffle(r, p, old, share)
			case isNumber(p) && r.Float64() < share/4:
				v[name] = drawn(r, p)
			}
		}
		return v
	case []any:
		for i := range v {
			v[i] = shuffle(r, s.Items, v[i], share)
		}
		return v
	}
	if r.Float64() >= share || s == nil {
		return value
	}
	switch {
	case isNumber(s):
		return drawn(r, s)
	case s.Type == "boolean":
		return r.IntN(2) == 0
	case len(s.Enum) > 0:
		return s.Enum[r.IntN(len(s.Enum))]
	}
	return value
}

func isNumber(s *contract.Schema) bool { return s.Type == "number" || s.Type == "integer" }

func drawn(r *rand.Rand, s *contract.Schema) any {
	x := *s.Minimum + (*s.Maximum-*s.Minimum)*r.Float64()
	switch r.IntN(4) {
	case 0:
		x = *s.Minimum
	case 1:
		x = *s.Maximum
	}
	if s.Type == "integer" {
		return json.Number(strconv.FormatFloat(x, 'f', 0, 64))
	}
	return json.Number(strconv.FormatFloat(x, 'g', -1, 64))
}

// Whatever the contract allows is answered: by a result inside the contract or
// by a problem that names members of the request, never by a fault of ours.
func TestRequestsWithinTheContractNeverFail(t *testing.T) {
	s := newTestServer(t)
	files, err := filepath.Glob(filepath.Join(root(t), "testdata/api/*/*.request.json"))
	require.NoError(t, err)
	for _, file := range files {
		id := filepath.Base(filepath.Dir(file))
		o := s.contract.Operation(id)
		if o.Body == nil || strings.HasSuffix(file, "-problem.request.json") {
			continue
		}
		rounds, share := 40, 0.25
		// a plan has many members, and each simulates some dozen faults
		if strings.HasPrefix(id, "postPlan") && id != "postPlanCheck" {
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
				value, err := decodeJSON(request)
				require.NoError(t, err)
				r := rand.New(rand.NewPCG(uint64(seed), uint64(len(request))))
				body, err := json.Marshal(shuffle(r, o.Body, value, share*float64(1+seed%4)))
				require.NoError(t, err)
				path := o.Path
				if len(o.Targets) > 0 && seed%2 == 1 {
					path += "?samples=3"
				}
				got := post(t, s, path, string(body))
				if !assert.Contains(t, []int{http.StatusOK, http.StatusUnprocessableEntity}, got.status, "%s\n%s", body,
					got.body) || got.status == http.StatusOK {
					continue
				}
				for _, v := range got.problem(t).Errors {
					assert.NotEqual(t, contract.CodeOther, v.Code, "%s\n%s", body, got.body)
					assert.True(t, v.Pointer != "#" && o.Member(v.Pointer) != nil,
						"%s is nothing in the request: %s\n%s", v.Pointer, v.Detail, body)
				}
			}
		})
	}
	t.Logf("%d requests shuffled", len(files))
}
