package chart

import (
	"math"
	"strconv"
	"strings"
)

// mostTicks fit beside each other in a narrow picture.
const mostTicks = 6

// extent is what an axis has to show.
type extent struct{ low, high float64 }

func extentOf(values []float64) extent {
	e := extent{math.Inf(1), math.Inf(-1)}
	for _, v := range values {
		e.low, e.high = min(e.low, v), max(e.high, v)
	}
	if len(values) == 0 {
		e = extent{0, 1}
	}
	if e.high == e.low {
		half := max(math.Abs(e.low)*0.1, 0.5)
		e.low, e.high = e.low-half, e.high+half
	}
	return e
}

// Around is an axis of numbers that holds all values and begins and ends at a tick.
func Around(label, unit string, values ...float64) Axis {
	e := extentOf(values)
	step := roundStep(e.high-e.low, mostTicks-2)
	return between(label, unit, math.Floor(e.low/step+1e-9)*step, math.Ceil(e.high/step-1e-9)*step, step)
}

// FromZero is Around with zero among the values, as bars need it.
func FromZero(label, unit string, values ...float64) Axis {
	return Around(label, unit, append([]float64{0}, values...)...)
}

// Until is an axis from zero that ends at a number, wherever that is.
func Until(label, unit string, end float64) Axis {
	return between(label, unit, 0, end, roundStep(end, mostTicks))
}

// hoursBetweenTicks are round steps of a clock.
var hoursBetweenTicks = []float64{0.25, 0.5, 1, 2, 3, 6, 12, 24, 48, 96, 192, 384, 768}

// UntilHour is Until for hours: its ticks are those of a clock.
func UntilHour(label, unit string, end float64) Axis {
	for _, step := range hoursBetweenTicks {
		if end/step <= mostTicks {
			return between(label, unit, 0, end, step)
		}
	}
	return Until(label, unit, end)
}

// Clock is a day from midnight to midnight.
func Clock(label string) Axis {
	a := between(label, "", 0, 24, 6)
	for i := range a.Ticks {
		a.Ticks[i].Text += ":00"
	}
	return a
}

// Named is an axis of names, at 0, 1, 2 and so on.
func Named(label string, names ...string) Axis {
	a := Axis{Kind: Names, Label: label, Min: -0.5, Max: float64(len(names)) - 0.5, Ticks: []Tick{}}
	for i, name := range names {
		a.Ticks = append(a.Ticks, Tick{float64(i), name})
	}
	return a
}

// roundStep is the smallest of 1, 2 and 5 times a power of ten that divides a length into so many parts at most.
func roundStep(length float64, parts int) float64 {
	power := math.Pow(10, math.Floor(math.Log10(length/float64(parts))))
	for _, m := range []float64{1, 2, 5} {
		if length/(m*power) <= float64(parts)+1e-9 {
			return m * power
		}
	}
	return 10 * power
}

// between makes the axis with a tick at every multiple of step.
func between(label, unit string, low, high, step float64) Axis {
	a := Axis{Kind: Numbers, Label: label, Unit: unit, Min: Rounded(low), Max: Rounded(high), Ticks: []Tick{}}
	decimals := 0
	for decimals < 6 && math.Abs(step*math.Pow10(decimals)-math.Round(step*math.Pow10(decimals))) > 1e-6 {
		decimals++
	}
	for n := math.Ceil(low/step - 1e-9); n <= math.Floor(high/step+1e-9); n++ {
		text := strconv.FormatFloat(n*step, 'f', decimals, 64)
		if n == 0 {
			text = "0"
		}
		a.Ticks = append(a.Ticks, Tick{Rounded(n * step), strings.Replace(text, "-", "−", 1)})
	}
	return a
}

// Rounded keeps six digits, more than any picture shows, and takes the noise of a calculation for the zero it is.
func Rounded(v float64) float64 {
	const noise = 1e-12
	if math.Abs(v) < noise {
		return 0
	}
	out, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 6, 64), 64)
	if err != nil {
		return v // only what is no number
	}
	return out
}

// shown is the label with its unit.
func (a Axis) shown() string {
	if a.Unit == "" || a.Label == "" {
		return a.Label + a.Unit
	}
	return a.Label + ", " + a.Unit
}
