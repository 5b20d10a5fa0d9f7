// Package picture turns numbers and texts of an answer into those of its reader, for charts. Each calculation
// builds its own beside itself; nothing is calculated here.
package picture

import (
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
	"saltwright/internal/unit"
)

// Reader is whom a chart is drawn for.
type Reader struct {
	speaker *catalogue.Speaker
	us      bool
}

// For returns who draws for a reader.
func For(u catalogue.Reader) Reader { return Reader{u.Speaker(), u.Units == catalogue.US} }

// Say writes a text.
func (r Reader) Say(t text.Text) string { return r.speaker.Say(t) }

// Number writes a number of a quantity of the catalogue with its unit.
func (r Reader) Number(name string, x float64) string {
	return r.speaker.Number(x, name, catalogue.UnitOf(name))
}

// In returns a number of a quantity in the reader's unit, as a chart has it.
func (r Reader) In(name string, x float64) float64 {
	x, _ = unit.Of(catalogue.UnitOf(name)).For(r.us, x)
	return chart.Rounded(x)
}

// All is In for several numbers.
func (r Reader) All(name string, list ...float64) []float64 {
	out := make([]float64, len(list))
	for i, x := range list {
		out[i] = r.In(name, x)
	}
	return out
}

// Unit is how the reader writes the unit of a quantity.
func (r Reader) Unit(name string) string {
	return r.speaker.Unit(catalogue.UnitOf(name))
}

// Around is an axis of a quantity that holds all values, which are in the contract's unit.
func (r Reader) Around(label text.Text, name string, values ...float64) chart.Axis {
	return chart.Around(r.Say(label), r.Unit(name), r.All(name, values...)...)
}

// FromZero is Around with zero among the values.
func (r Reader) FromZero(label text.Text, name string, values ...float64) chart.Axis {
	return chart.FromZero(r.Say(label), r.Unit(name), r.All(name, values...)...)
}

// Line is a series of a quantity over places that are the reader's already.
func (r Reader) Line(label text.Text, drawn chart.Drawn, name string, xs, values []float64) chart.Series {
	out := chart.Series{Name: r.Say(label), Drawn: drawn, Points: make([]chart.Point, len(xs))}
	for i, x := range xs {
		out.Points[i] = chart.Point{X: chart.Rounded(x), Y: r.In(name, values[i])}
	}
	return out
}

// Table puts heads and rows together.
func Table(columns []string, rows ...[]string) chart.Table {
	out := chart.Table{Columns: columns, Rows: make([]chart.Row, len(rows))}
	for i, cells := range rows {
		out.Rows[i] = chart.Row{Cells: cells}
	}
	return out
}

// Times is an axis of time in hours, or in days where it is long, and what an hour is on it.
type Times struct {
	Axis    chart.Axis
	PerHour float64
}

const longestInHours = 72.0

// Until is the time from an event until so many hours later.
func (r Reader) Until(hours, days text.Text, endH float64) Times {
	if endH <= longestInHours {
		return Times{chart.UntilHour(r.Say(hours), "", endH), 1}
	}
	endD := endH / quantity.HoursPerDay
	return Times{chart.Until(r.Say(days), "", endD), 1 / quantity.HoursPerDay}
}

// At is where an hour is.
func (t Times) At(hour float64) float64 { return chart.Rounded(hour * t.PerHour) }
