package seawater

import "testing"

func BenchmarkConvert(b *testing.B) {
	for _, scale := range []struct {
		name  Scale
		value float64
	}{{ScaleSpecificGravity, 1.026}, {ScaleConductivity25, 53}, {ScaleRefractometerBrine, 36}} {
		b.Run(string(scale.name), func(b *testing.B) {
			in := ConversionInput{
				Scale: scale.name, Value: scale.value, Sample: 25, Pair: Pair25, MeterPercentPerK: 2,
				ReadingUncertainty: 0.0005,
			}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Convert(in); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
