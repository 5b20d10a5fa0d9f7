package contract

import (
	"cmp"
	"slices"
	"strings"

	"saltwright/internal/calc/text"
	"saltwright/internal/spelling"
)

// Codes of violations. The contract's schema of a problem lists the same ones.
const (
	CodeRequired         = "required"
	CodeUnknownMember    = "unknown_member"
	CodeUnknownParameter = "unknown_parameter"
	CodeRepeated         = "repeated_parameter"
	CodeType             = "wrong_type"
	CodeRange            = "out_of_range"
	CodeNotAllowed       = "not_allowed"
	CodeLength           = "wrong_length"
	CodePattern          = "wrong_form"
	CodeCount            = "wrong_count"
	CodeConflict         = "conflict"
	CodeSyntax           = "syntax"
	CodeOther            = "invalid"
)

// ViolationCodes lists every code that a violation can have.
var ViolationCodes = []string{
	CodeRequired, CodeUnknownMember, CodeUnknownParameter, CodeRepeated, CodeType, CodeRange, CodeNotAllowed,
	CodeLength, CodePattern, CodeCount, CodeConflict, CodeSyntax, CodeOther,
}

// Where a violation is.
const (
	InBody  = "body"
	InQuery = "query"
	InPath  = "path"
)

// Violation is one thing wrong with a request.
type Violation struct {
	Code       string `json:"code"`
	In         string `json:"in"`                  // InBody, InQuery or InPath
	Pointer    string `json:"pointer,omitempty"`   // of a body: a JSON pointer as a URI fragment
	Parameter  string `json:"parameter,omitempty"` // of a query or path: its name
	Detail     string `json:"detail"`              // what Said reads as; the transport writes it
	Reason     Reason `json:"reason"`              // the same as data
	Limit      *Bound `json:"limit,omitempty"`
	Unit       string `json:"unit,omitempty"`
	Suggestion string `json:"suggestion,omitempty"`

	Said text.Text `json:"-"`

	unknown string   // an unknown name as it was sent, and
	known   []string // the names it may be meant to be: compared only where the violation is shown
}

// Bound is the limit that was broken; one member is set, or both ends of a range.
type Bound struct {
	Minimum   *float64 `json:"minimum,omitempty"`
	Maximum   *float64 `json:"maximum,omitempty"`
	Enum      []string `json:"enum,omitempty"`
	MinLength *int     `json:"min_length,omitempty"`
	MaxLength *int     `json:"max_length,omitempty"`
	MinItems  *int     `json:"min_items,omitempty"`
	MaxItems  *int     `json:"max_items,omitempty"`
	Pattern   *string  `json:"pattern,omitempty"`
}

// Malformed is the error of a body that is not one JSON value within the
// limits, or of a query that cannot be parsed: nothing could be checked.
type Malformed struct {
	Said       text.Text
	Violations []Violation // at most one, where the place is known
}

// Error returns the code of what is said and its parameters, which hold nothing that was sent.
func (m *Malformed) Error() string { return m.Said.String() }

// Invalid is the error of a request that was read but breaks the contract.
type Invalid struct{ Violations []Violation }

// Error returns a fixed text; Violations says what is wrong.
func (i *Invalid) Error() string { return "the request breaks the contract" }

// MostViolations bounds what Listed returns.
const MostViolations = 50

// Listed returns violations as a problem lists them: sorted by place, without
// those said twice, at most MostViolations, with suggestions for unknown names.
// The total counts those that were cut too.
func Listed(violations []Violation) (listed []Violation, total int) {
	sorted := make([]*Violation, len(violations))
	for i := range violations {
		sorted[i] = &violations[i]
	}
	order := func(a, b *Violation) int {
		if c := cmp.Or(strings.Compare(a.In, b.In), strings.Compare(a.Pointer, b.Pointer),
			strings.Compare(a.Parameter, b.Parameter), strings.Compare(a.Code, b.Code),
			strings.Compare(a.Said.Code, b.Said.Code)); c != 0 {
			return c
		}
		return strings.Compare(a.Said.String(), b.Said.String())
	}
	slices.SortStableFunc(sorted, order)
	for i, at := range sorted {
		if i > 0 && order(at, sorted[i-1]) == 0 {
			continue
		}
		total++
		if len(listed) == MostViolations {
			continue
		}
		v := *at
		if v.unknown != "" {
			v.Suggestion = spelling.Nearest(v.unknown, v.known)
		}
		listed = append(listed, v)
	}
	return listed, total
}

// EscapePointer escapes one token of a JSON pointer (RFC 6901).
func EscapePointer(token string) string {
	return strings.ReplaceAll(strings.ReplaceAll(token, "~", "~0"), "/", "~1")
}

// clip shortens a name that a caller made up before it is shown.
func clip(name string) string {
	const most = 60
	r := []rune(name)
	if len(r) <= most {
		return name
	}
	return string(r[:most]) + "…"
}
