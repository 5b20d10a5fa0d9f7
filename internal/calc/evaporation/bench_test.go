package evaporation

import "testing"

func BenchmarkEstimate(b *testing.B) {
	s := pool()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Estimate(s); err != nil {
			b.Fatal(err)
		}
	}
}
