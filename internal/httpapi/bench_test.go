package httpapi

import (
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
