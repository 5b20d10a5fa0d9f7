package heat

import "testing"

func BenchmarkCoolingFan(b *testing.B) {
	in := fan(29, 0.5)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := CoolingFan(in); err != nil {
			b.Fatal(err)
		}
	}
}
