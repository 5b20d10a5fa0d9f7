package risk

import "math"

// Outages are interruptions of one kind: how often, and how long on the average.
type Outages struct{ PerYear, MeanH float64 }

// Interruptions of the mains are two kinds, each as long as an exponential distribution says: the means of ten years
// of one country, ordinary days and days of major events. Low beyond a day: real ones have a longer tail. [EIA2023]
var Interruptions = []Outages{{1.047, 1.923}, {0.3075, 12.4}}

// longer is the share of the interruptions that last longer than some hours.
func longer(h float64) float64 { return overInterruptions(func(Outages) float64 { return 1 }, h) }

// beyondH is the mean time that an interruption goes on after some hours, those counting as 0 that have ended.
func beyondH(h float64) float64 {
	return overInterruptions(func(o Outages) float64 { return o.MeanH }, h)
}

func overInterruptions(of func(Outages) float64, h float64) float64 {
	sum, rate := 0.0, 0.0
	for _, o := range Interruptions {
		sum += o.PerYear * of(o) * math.Exp(-h/o.MeanH)
		rate += o.PerYear
	}
	return sum / rate
}

// drawOutageH returns how long one interruption lasts, from two numbers drawn evenly between 0 and 1.
func drawOutageH(kind, length float64) float64 {
	rate := 0.0
	for _, o := range Interruptions {
		rate += o.PerYear
	}
	for _, o := range Interruptions {
		if kind -= o.PerYear / rate; kind < 0 {
			return -o.MeanH * math.Log1p(-length)
		}
	}
	return -Interruptions[0].MeanH * math.Log1p(-length)
}
