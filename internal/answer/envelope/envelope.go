// Package envelope is what every answer has in common: result, summary, assumptions, warnings, cautions, sources; and
// how a calculation refuses.
package envelope

import (
	"saltwright/internal/answer/words"
)

// Answer is what a calculation gives back to the transport.
type Answer[R any] struct {
	Result      R
	Summary     func(u words.Units) string
	Assumptions []Assumption
	Warnings    []Warning
	Cautions    []Caution
	Sources     []string // bibliography keys besides those of the relations that the calculation rests on
	// Reached are numbers on the way that a relation is published for a range of, by the name of the quantity.
	Reached map[string]float64
	Note    string // what to know of the model itself
}

type Assumption struct {
	Pointer string `json:"pointer"`
	Value   any    `json:"value"`
	Unit    string `json:"unit,omitempty"`
	Why     string `json:"why"`
	Source  string `json:"source,omitempty"`
	Note    string `json:"note,omitempty"`
}

type Warning struct {
	Code    string `json:"code"`
	Message string `json:"message"`
	Pointer string `json:"pointer,omitempty"`
}

type Caution struct {
	Code    string `json:"code"`
	Message string `json:"message"`
}

type Model struct {
	Name    string   `json:"name"`
	Version string   `json:"version"`
	Sources []string `json:"sources"`
	Ranges  []Range  `json:"ranges"`
	Note    string   `json:"note,omitempty"`
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

type Formatted struct {
	Pointer string `json:"pointer"`
	Text    string `json:"text"`
}

type Envelope struct {
	Result      any          `json:"result"`
	Summary     string       `json:"summary"`
	Formatted   []Formatted  `json:"formatted"`
	Assumptions []Assumption `json:"assumptions"`
	Warnings    []Warning    `json:"warnings"`
	Cautions    []Caution    `json:"cautions"`
	Model       Model        `json:"model"`
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
