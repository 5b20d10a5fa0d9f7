package transport

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func benchmarkPost(b *testing.B, path, file string) {
	s := newTestServer(b)
	body, err := os.ReadFile(filepath.Join(root(b), "testdata/api", file))
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		req := httptest.NewRequest(http.MethodPost, path, strings.NewReader(string(body)))
		req.Header.Set("Content-Type", "application/json")
		rec := httptest.NewRecorder()
		s.ServeHTTP(rec, req)
		if rec.Code != http.StatusOK {
			b.Fatal(rec.Code)
		}
	}
}

func BenchmarkPlanAuditHousehold(b *testing.B) {
	benchmarkPost(b, "/v1/plan-audit", "postPlanAudit/example-household-sound.request.json")
}

func BenchmarkPlanRiskHousehold(b *testing.B) {
	benchmarkPost(b, "/v1/plan-risk", "postPlanRisk/example.request.json")
}

func BenchmarkHeaterSizing(b *testing.B) {
	benchmarkPost(b, "/v1/heater-sizing", "postHeaterSizing/example.request.json")
}

func BenchmarkSalinityConversion(b *testing.B) {
	benchmarkPost(b, "/v1/salinity-conversion", "postSalinityConversion/example.request.json")
}

// The flat calculators that bots and pages ask most: transport, contract, calculation and JSON, without the network.
func BenchmarkFlatCalculators(b *testing.B) {
	s := newServer(b, Config{Quotas: Quotas("anon", 1<<40, 1<<41)})
	for _, c := range []struct{ name, method, path, request string }{
		{"salinity-get", http.MethodGet, salinityAt, ""},
		{"salinity-post", http.MethodPost, "/v1/salinity-conversion", "postSalinityConversion/example"},
		{"evaporation-get", http.MethodGet, "/v1/evaporation?length_mm=900&width_mm=500&room_c=21", ""},
		{"heater-sizing-post", http.MethodPost, "/v1/heater-sizing", "postHeaterSizing/example"},
		{"light-score-post", http.MethodPost, "/v1/light-schedule-score", "postLightScheduleScore/example"},
	} {
		b.Run(c.name, func(b *testing.B) {
			var body []byte
			if c.request != "" {
				var err error
				if body, err = os.ReadFile(filepath.Join(root(b), "testdata/api",
					c.request+".request.json")); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportAllocs()
			for b.Loop() {
				req := httptest.NewRequest(c.method, c.path, bytes.NewReader(body))
				req.Header.Set("Content-Type", "application/json")
				rec := httptest.NewRecorder()
				if s.ServeHTTP(rec, req); rec.Code != http.StatusOK {
					b.Fatal(rec.Body.String())
				}
			}
		})
	}
}
