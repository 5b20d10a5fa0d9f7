package light

import "testing"

func BenchmarkScore(b *testing.B) {
	blue, err := NewSchedule([]Point{{9, 0}, {10, 100}, {20, 100}, {21, 0}})
	if err != nil {
		b.Fatal(err)
	}
	white, err := NewSchedule([]Point{{11, 0}, {13, 80}, {17, 80}, {19, 0}})
	if err != nil {
		b.Fatal(err)
	}
	bluePPFD, whitePPFD := 120.0, 200.0
	in := ScoreInput{Livestock: "mixed_reef", MoonlightPercent: 1, Channels: []Channel{
		{ID: "blue", Schedule: blue, PeakPPFD: &bluePPFD, PowerW: 60, HeatShare: 0.3},
		{ID: "white", Schedule: white, PeakPPFD: &whitePPFD, PowerW: 90, HeatShare: 0.3},
	}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Score(in); err != nil {
			b.Fatal(err)
		}
	}
}
