// Package text holds what is said to people as data: a code and named parameters. What a code reads as, in which
// language and in whose units, is the catalogue's.
package text

import "fmt"

// Params are the parameters of a text by name. A value is a float64 in the contract's unit, an int, a string that needs
// no translation (a name that the user gave, a word of a closed list), a Text, a list of texts or strings, a
// Measured or an Amount. The catalogue says of each parameter what it is.
type Params map[string]any

// Text is one text that a person may read.
type Text struct {
	Code   string
	Params Params

	spoken string
}

// Measured is a number with its uncertainty, both in the contract's unit.
type Measured struct {
	Value       float64
	Uncertainty float64 // at least 0
}

// Amount is a number of a quantity that only the caller knows: by its unit in the contract.
type Amount struct {
	Value float64
	Unit  string
}

// Of returns the text with a code of the catalogue.
//
// Errors: none. Source: [Derived].
func Of(code string, params Params) Text { return Text{Code: code, Params: params} }

// joined is the code of texts that stand one after the other.
const joined = "sentences"

// Sentences returns texts one after the other; those without a code are left out.
//
// Errors: none. Source: [Derived].
func Sentences(list ...Text) Text {
	var said []Text
	for _, t := range list {
		if t.Code != "" {
			said = append(said, t)
		}
	}
	switch len(said) {
	case 0:
		return Text{}
	case 1:
		return said[0]
	}
	return Of(joined, Params{"list": said})
}

// Speak sets how the text reads in an answer.
//
// Errors: none. Source: [Derived].
func (t *Text) Speak(as string) { t.spoken = as }

// String is the code and the parameters, for logs and tests.
func (t Text) String() string {
	if len(t.Params) == 0 {
		return t.Code
	}
	return fmt.Sprintf("%s%v", t.Code, map[string]any(t.Params))
}

// MarshalText writes how the text reads, so that in JSON it is a string.
//
// Errors: a text that nobody has spoken, which is a programmer's mistake. Source: [Derived].
func (t Text) MarshalText() ([]byte, error) {
	if t.Code != "" && t.spoken == "" {
		return nil, fmt.Errorf("text: nobody has spoken %s", t)
	}
	return []byte(t.spoken), nil
}

// IsZero tells whether there is nothing to say.
//
// Errors: none. Source: [Derived].
func (t Text) IsZero() bool { return t.Code == "" }
