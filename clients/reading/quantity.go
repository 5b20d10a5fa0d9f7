package reading

import (
	"math"
	"strconv"
)

// Quantity is a number as somebody wrote it, with its unit.
type Quantity struct {
	Value float64
	Unit  *Unit // nil when none was written
	Text  string

	thousands bool // could mean thousands: 1.200
}

// InContractUnit returns the number in the contract's unit of its dimension, to
// 1/10000, which is finer than anybody measures and keeps addresses short.
func (q Quantity) InContractUnit() float64 {
	return math.Round(q.Unit.toContract(q.Value)*1e4) / 1e4
}

// String writes the quantity so that it is read back as the same.
func (q Quantity) String() string {
	text := strconv.FormatFloat(q.Value, 'f', -1, 64)
	switch {
	case q.Unit == nil:
		return text
	case q.Unit.Symbol == "%":
		return text + q.Unit.Symbol
	}
	return text + " " + q.Unit.Symbol
}

// TakenFor tells what the number was read as: "length 36 in", and "a plain number" without a unit.
func (q Quantity) TakenFor() string {
	if q.Unit == nil {
		return "a plain number"
	}
	return string(q.Unit.Dimension) + " " + q.String()
}

// RoundedFrom converts a number in the contract's unit to unit u, rounded to four figures. Rounding a limit up or down
// keeps the number that is shown within the limit.
func (u *Unit) RoundedFrom(contract float64, round func(float64) float64) Quantity {
	return Quantity{Value: FourFigures(u.fromContract(contract), round), Unit: u}
}

// FourFigures rounds a number to four figures.
func FourFigures(v float64, round func(float64) float64) float64 {
	if v == 0 || math.IsInf(v, 0) || math.IsNaN(v) {
		return v
	}
	figures := math.Pow(10, 3-math.Floor(math.Log10(math.Abs(v))))
	// The error of binary fractions must not cause a further step.
	scaled := v * figures
	if near := math.Round(scaled); math.Abs(scaled-near) < 1e-6 {
		scaled = near
	}
	v, _ = strconv.ParseFloat(strconv.FormatFloat(round(scaled)/figures, 'g', 6, 64), 64)
	return v
}
