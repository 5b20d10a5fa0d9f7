package envelope

// violationCodes are the codes of single errors inside a problem.
const (
	CodeRequired     = "required"
	CodeUnknown      = "unknown_member"
	CodeUnknownParam = "unknown_parameter"
	CodeRepeated     = "repeated_parameter"
	CodeType         = "wrong_type"
	CodeRange        = "out_of_range"
	CodeNotAllowed   = "not_allowed"
	CodeLength       = "wrong_length"
	CodePattern      = "wrong_form"
	CodeItems        = "wrong_count"
	CodeConflict     = "conflict"
	CodeSyntax       = "syntax"
	CodeOther        = "invalid"
)

// MaxViolations bounds what a problem lists; errors_total says how many there are.
const MaxViolations = 50

// Violation is one thing wrong with a request.
type Violation struct {
	Code       string `json:"code"`
	In         string `json:"in"` // body, query or path
	Pointer    string `json:"pointer,omitempty"`
	Parameter  string `json:"parameter,omitempty"`
	Detail     string `json:"detail"`
	Limit      *Bound `json:"limit,omitempty"`
	Unit       string `json:"unit,omitempty"`
	Suggestion string `json:"suggestion,omitempty"`

	Unknown string          `json:"-"` // an unknown name as it was sent, and
	Known   func() []string `json:"-"` // the names it may be meant to be: looked up only for what is shown

	Quantity string `json:"-"` // what a calculation found out of range, by its own name
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
