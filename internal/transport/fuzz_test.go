package transport

import (
	"context"
	"encoding/json"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

func seeds(f *testing.F, operation string) {
	files, err := filepath.Glob(filepath.Join(root(f), "testdata/api", operation, "*.request.json"))
	if err != nil || len(files) == 0 {
		f.Fatalf("no seeds for %s: %v", operation, err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(data))
	}
}

// fuzzPost sends anything; the answer is 200 or a refusal, within the contract, never a 500.
func fuzzPost(f *testing.F, path string) {
	s := newTestServer(f)
	f.Fuzz(func(t *testing.T, body string) {
		ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
		defer cancel()
		req := httptest.NewRequest(http.MethodPost, path, strings.NewReader(body)).WithContext(ctx)
		req.Header.Set("Content-Type", "application/json")
		if r := call(t, s, req); r.status >= 500 {
			t.Fatalf("%d %s", r.status, r.body)
		}
	})
}

func FuzzSalinityConversion(f *testing.F) {
	seeds(f, "postSalinityConversion")
	fuzzPost(f, "/v1/salinity-conversion")
}

// FuzzPlanAudit shuffles the small demo plans within and at the ends of the
// contract's ranges: nearly every input reaches the simulation.
func FuzzPlanAudit(f *testing.F) {
	s := newTestServer(f)
	o := s.contract.Operation("postPlanAudit")
	var plans [][]byte
	for _, name := range []string{"example", "first-timer", "example-household-oversized-heater"} {
		data, err := os.ReadFile(filepath.Join(root(f), "testdata/api/postPlanAudit", name+".request.json"))
		if err != nil {
			f.Fatal(err)
		}
		plans = append(plans, data)
	}
	for i := range plans {
		f.Add(uint8(i), uint64(i), uint8(10))
	}
	f.Fuzz(func(t *testing.T, which uint8, seed uint64, percent uint8) {
		plan := plans[int(which)%len(plans)]
		value, err := decodeJSON(plan)
		if err != nil {
			t.Fatal(err)
		}
		r := rand.New(rand.NewPCG(seed, 1))
		body, err := json.Marshal(shuffle(r, o.Body, value, float64(percent%101)/100))
		if err != nil {
			t.Fatal(err)
		}
		// The fuzzer calls ten seconds a hang; a slow machine is none.
		ctx, cancel := context.WithTimeout(context.Background(), 6*time.Second)
		defer cancel()
		req := httptest.NewRequest(http.MethodPost, o.Path, strings.NewReader(string(body))).WithContext(ctx)
		req.Header.Set("Content-Type", "application/json")
		got := call(t, s, req)
		if ctx.Err() == nil && got.status != http.StatusOK && got.status != http.StatusUnprocessableEntity {
			t.Fatalf("%d %s\n%s", got.status, got.body, body)
		}
	})
}

// FuzzPlanDecoding stops before the simulation: whatever passes the contract becomes a plan or a named conflict.
func FuzzPlanDecoding(f *testing.F) {
	seeds(f, "postPlanAudit")
	s := newTestServer(f)
	f.Fuzz(func(t *testing.T, body string) {
		got := post(t, s, "/v1/plan-check", body)
		if got.status >= http.StatusInternalServerError {
			t.Fatalf("neither a plan nor a refusal: %s", got.body)
		}
	})
}
