package heat

import "testing"

func BenchmarkSizeHeater(b *testing.B) {
	for name, in := range map[string]SizingInput{"display": alone(sizing()), "display-and-sump": sizing()} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := SizeHeater(in); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// alone takes the sump away, as in the smallest request.
func alone(in SizingInput) SizingInput {
	in.System.Sump = nil
	return in
}

func BenchmarkBalance(b *testing.B) {
	in := BalanceInput{System: system(), Water: 25.5, Room: room(21, 0.5), Gains: GainsAverage}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Balance(in); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkBackstop(b *testing.B) {
	in := BackstopInput{SetpointC: 25.5, HysteresisK: 0.4, ThermostatC: 26.6, ThermostatToleranceK: 0.5, HarmHighC: 29}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Backstop(in); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSizeChiller(b *testing.B) {
	in := chillerInput()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := SizeChiller(in); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkCoolingFan(b *testing.B) {
	in := fan(29, 0.5)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := CoolingFan(in); err != nil {
			b.Fatal(err)
		}
	}
}
