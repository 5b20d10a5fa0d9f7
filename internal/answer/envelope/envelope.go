// Package envelope is what every answer has in common: result, summary, assumptions, warnings, cautions, sources; and
// how a calculation refuses.
package envelope

import (
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

// Answer is what a calculation gives back to the transport.
type Answer[R any] struct {
	Result      R
	Headline    text.Text // the verdict, at most 140 characters
	Details     text.Text // what follows it in the summary: the number, why, and what nobody may miss
	KeyFigures  []KeyFigure
	Actions     []text.Text // what to do, in order
	Assumptions []Assumption
	Warnings    []Warning
	Cautions    []Caution
	Sources     []string // bibliography keys besides those of the relations that the calculation rests on
	// Reached are numbers on the way that a relation is published for a range of, by the name of the quantity.
	Reached map[string]float64
	Note    text.Text // what to know of the model itself
	Brief   bool      // assumptions, numbers as texts, published ranges and what texts are made of are left out
	// Charts draws the answer; nil where there is nothing to draw.
	Charts func(u catalogue.Reader) ([]chart.Chart, error)
}

type Assumption struct {
	Pointer string    `json:"pointer"`
	Value   any       `json:"value"`
	Unit    string    `json:"unit,omitempty"`
	Why     string    `json:"why"`
	Source  string    `json:"source,omitempty"`
	Note    text.Text `json:"note,omitzero"`
}

// KeyFigure is one of the three to five numbers that people ask for.
type KeyFigure struct {
	Label    text.Text // its code names the figure
	Value    float64   // in the contract's unit of the quantity
	Quantity string    // of the catalogue
}

// Warning is about a valid request that deserves a second look.
type Warning struct {
	Code    string    `json:"code"`
	Message text.Text `json:"message"`
	Pointer string    `json:"pointer,omitempty"`
}

// Warn returns a warning about a member of the request; the pointer is empty for one about all of it.
func Warn(said text.Text, pointer string) Warning { return Warning{said.Code, said, pointer} }

// Caution is for people who may get hurt: its code and how it reads.
type Caution struct {
	Code    string    `json:"code"`
	Message text.Text `json:"message"`
}

func caution(code string) Caution { return Caution{code, text.Of(code, nil)} }

type Model struct {
	Name    string    `json:"name"`
	Version string    `json:"version"`
	Sources []string  `json:"sources"`
	Ranges  []Range   `json:"ranges"`
	Note    text.Text `json:"note,omitzero"`
}

// Range is what a relation is published for and what the contract accepts, of one number.
type Range struct {
	Place         string   `json:"place"`
	Unit          string   `json:"unit"`
	PublishedLow  float64  `json:"published_low"`
	PublishedHigh float64  `json:"published_high"`
	AcceptedLow   *float64 `json:"accepted_low,omitempty"`
	AcceptedHigh  *float64 `json:"accepted_high,omitempty"`
	Relation      string   `json:"relation"`
	Source        string   `json:"source"`
}

// Figure is a key figure as it is answered.
type Figure struct {
	Code  string    `json:"code"`
	Label text.Text `json:"label"`
	Value float64   `json:"value"`
	Unit  string    `json:"unit"`
	Text  string    `json:"text"`
}

// Text tells what a text of an answer is made of.
type Text struct {
	Pointer string         `json:"pointer"`
	Code    string         `json:"code"`
	Params  map[string]any `json:"params"`
}

type Formatted struct {
	Pointer string `json:"pointer"`
	Text    string `json:"text"`
}

type Envelope struct {
	Headline    text.Text     `json:"headline"`
	KeyFigures  []Figure      `json:"key_figures"`
	Actions     []text.Text   `json:"actions"`
	Summary     string        `json:"summary"`
	Result      any           `json:"result"`
	Formatted   []Formatted   `json:"formatted"`
	Assumptions []Assumption  `json:"assumptions"`
	Warnings    []Warning     `json:"warnings"`
	Cautions    []Caution     `json:"cautions"`
	Texts       []Text        `json:"texts"`
	Model       Model         `json:"model"`
	Charts      []chart.Chart `json:"charts,omitempty"` // where they were asked for
}

// List returns the slice, or an empty one for nil, so that JSON has [] and not null.
func List[T any](s []T) []T {
	if s == nil {
		return []T{}
	}
	return s
}

// Each converts a list; the list of nothing is empty and never nil.
func Each[From, To any](list []From, convert func(From) To) []To {
	out := make([]To, len(list))
	for i, x := range list {
		out[i] = convert(x)
	}
	return out
}
