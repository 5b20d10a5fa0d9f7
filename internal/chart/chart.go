// Package chart holds pictures as data, and the one way in which all of them are drawn.
//
//	figure.go  a picture on a page: its title, the drawing for narrow and wide columns, and the same as a table
//	svg.go     one drawing: what is drawn in which order, and the axes
//	legend.go  samples with names
//	marks.go   bands, spans and moments
//	series.go  lines, steps, bars and dots
//	layout.go  where everything stands; no two texts of a picture overlap
//	axis.go    axes with round ticks
//	chart.go   what a picture says; the contract's schema Chart is this, member by member
//	pen.go     the elements of SVG that are used
//
// Numbers are in the reader's units already, texts in the reader's words: the package knows no physics and no language.
package chart

// Chart is one picture. Everything is in the units that Axis.Unit names.
type Chart struct {
	Code     string   `json:"code"`              // which picture it is
	Subject  string   `json:"subject,omitempty"` // what of the answer it shows, by its id there; empty: all of it
	Title    string   `json:"title"`             // the verdict
	Sentence string   `json:"sentence"`          // what there is to see, for who cannot see it
	X        Axis     `json:"x"`
	Y        Axis     `json:"y"`
	Series   []Series `json:"series"`
	Bands    []Band   `json:"bands"`
	Spans    []Span   `json:"spans"`
	Marks    []Mark   `json:"marks"`
	Table    Table    `json:"table"`
}

// Kind says what stands along an axis.
type Kind string

// The kinds of axis.
const (
	Numbers Kind = "numbers"
	Names   Kind = "names" // a tick each at 0, 1, 2 and so on
)

// Axis is one side of a picture. Min is below Max.
type Axis struct {
	Kind  Kind    `json:"kind"`
	Label string  `json:"label"`
	Unit  string  `json:"unit"` // as the reader writes it, and part of the label; empty for a pure number
	Min   float64 `json:"min"`
	Max   float64 `json:"max"`
	Ticks []Tick  `json:"ticks"`
}

// Tick is one place of an axis with its text.
type Tick struct {
	At   float64 `json:"at"`
	Text string  `json:"text"`
}

// Drawn says how a series is drawn.
type Drawn string

// The ways of drawing. Bars lie along the axis of numbers where the other one has names.
const (
	Line   Drawn = "line"
	Dashed Drawn = "dashed" // what would have followed
	Step   Drawn = "step"   // stays until it changes
	Bars   Drawn = "bars"
	Dots   Drawn = "dots"
)

// Series is what belongs together, in the order of its points.
type Series struct {
	Name   string  `json:"name"`
	Drawn  Drawn   `json:"drawn"`
	Points []Point `json:"points"`
}

// Point is one place of a picture.
type Point struct {
	X    float64  `json:"x"`
	Y    float64  `json:"y"`
	From *float64 `json:"from,omitempty"` // where a bar begins; nil: at zero
	Text string   `json:"text,omitempty"` // beside a bar
}

// Good or bad, as bands have it.
const (
	Comfort = "comfort"
	Harm    = "harm"
)

// Band is a range of the upright axis, from low to high, over the whole width.
type Band struct {
	Kind string  `json:"kind"`
	Name string  `json:"name"`
	From float64 `json:"from"`
	To   float64 `json:"to"`
}

// Span is the time that a limit may be passed before it counts.
type Span struct {
	Name string  `json:"name"`
	From float64 `json:"from"` // along the level axis
	To   float64 `json:"to"`
	Y    float64 `json:"y"` // the limit
}

// Mark is one moment along the level axis.
type Mark struct {
	Name string  `json:"name"`
	X    float64 `json:"x"`
}

// Table says the same as the picture in texts: as many cells in each row as there are columns.
type Table struct {
	Columns []string `json:"columns"`
	Rows    []Row    `json:"rows"`
}

// Row is one row of a table.
type Row struct {
	Cells []string `json:"cells"`
}
