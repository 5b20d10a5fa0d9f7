package transport

import (
	"encoding/json"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"saltwright/internal/contract"
	"saltwright/internal/negotiate"
)

// FuzzEveryCalculation draws requests within the contract for every operation but
// those that simulate plans (FuzzPlanAudit has them): so each calculation below is
// reached with whatever the contract lets through.
func FuzzEveryCalculation(f *testing.F) {
	s := newTestServer(f)
	type kind struct {
		o       *contract.Operation
		example []byte
	}
	var kinds []kind
	for _, o := range s.contract.Operations {
		name := o.Name()
		if s.contract.Calculation(name) != o {
			continue
		}
		if strings.HasPrefix(name, "plan-") && name != "plan-check" {
			continue
		}
		data, err := os.ReadFile(filepath.Join(root(f), "testdata/api", o.ID, "example.request.json"))
		if err != nil {
			f.Fatal(err)
		}
		kinds = append(kinds, kind{o, data})
	}
	for i := range kinds {
		f.Add(uint8(i), uint64(i), 0.3)
	}
	f.Fuzz(func(t *testing.T, which uint8, seed uint64, share float64) {
		k := kinds[int(which)%len(kinds)]
		value, err := decodeJSON(k.example)
		if err != nil {
			t.Fatal(err)
		}
		body, err := json.Marshal(shuffle(rand.New(rand.NewPCG(seed, uint64(which))), k.o.Body, value,
			min(1, max(0, share))))
		if err != nil {
			t.Fatal(err)
		}
		if r := post(t, s, k.o.Path, string(body)); r.status != http.StatusOK &&
			r.status != http.StatusUnprocessableEntity {
			t.Fatalf("%s: %d\n%s\n%s", k.o.ID, r.status, body, r.body)
		}
	})
}

// FuzzQuery asks GET operations anything.
func FuzzQuery(f *testing.F) {
	s := newTestServer(f)
	for _, seed := range []string{
		"scale=specific_gravity&value=1.026", "scale=psu&value=1e5000000", "value=-0&scale=psu&units=us", "a=b&a=c",
		"%zz", "scale;value",
		"scale=practical_psu&value=35&sample_c=+25", "value=%31&scale=chlorinity_g_kg", "value=0x10&scale=psu",
		"value=1_0&scale=psu", "length_mm=900&width_mm=500&room_c=21&samples=3&seed=1",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, query string) {
		for _, path := range []string{"/v1/salinity-conversion", "/v1/evaporation"} {
			req := httptest.NewRequest(http.MethodGet, path, nil)
			req.URL.RawQuery = query
			if values, err := url.ParseQuery(query); err == nil && len(values.Get("samples")) > 2 {
				continue // a long study is no find
			}
			rec := httptest.NewRecorder()
			s.ServeHTTP(rec, req)
			if !slices.Contains([]int{200, 400, 422}, rec.Code) || !json.Valid(rec.Body.Bytes()) {
				t.Fatalf("%s?%q: %d %s", path, query, rec.Code, rec.Body)
			}
		}
	})
}

// FuzzBatch sends anything as a batch.
func FuzzBatch(f *testing.F) {
	seeds(f, "postBatch")
	f.Add(`{"calculations":[{"operation":"daylight","request":null},{"operation":"daylight","request":[],` +
		`"units":"us","samples":2}]}`)
	fuzzPost(f, "/v1/batch")
}

// FuzzReadKeys reads anything as a keys file.
func FuzzReadKeys(f *testing.F) {
	f.Add([]byte(`[{"id":"a","sha256":"` + hashOf("a") +
		`","origins":["https://a.example"],"per_minute":1,"per_day":1}]`))
	f.Add([]byte(`[]`))
	f.Fuzz(func(t *testing.T, data []byte) {
		k, err := ReadKeys(data)
		if (k == nil) == (err == nil) {
			t.Fatalf("%v and %v", k, err)
		}
		if err != nil {
			return
		}
		for _, h := range *k.byHash.Load() {
			if h.id == "" || len(h.policies) != 2 || h.policies[0].Quota < 1 {
				t.Fatalf("%+v", h)
			}
		}
	})
}

// FuzzPreferred reads anything as the field that chooses an answer's form.
func FuzzPreferred(f *testing.F) {
	f.Add("text/html,*/*;q=0.8")
	f.Add(";;;")
	f.Fuzz(func(t *testing.T, accept string) {
		if got := negotiate.Preferred(accept, asJSON, asMarkdown,
			asHTML); !slices.Contains([]string{asJSON, asMarkdown, asHTML}, got) {
			t.Fatalf("%q prefers %q", accept, got)
		}
	})
}
