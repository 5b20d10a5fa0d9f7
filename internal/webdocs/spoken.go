package webdocs

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strings"

	"saltwright/internal/contract"
	"saltwright/internal/phrase"
)

// calculatorFor returns the calculator of that name in the language of a request, or nil.
func (s *Site) calculatorFor(r *http.Request, name string) *calculator {
	return calculatorNamed(s.contract, name, readerOf(r).Voice)
}

func (s *Site) groupsFor(r *http.Request) []group { return groupsOf(s.contract, readerOf(r).Voice) }

// nameIn is a member's name without its unit, in words of a language.
func nameIn(v *phrase.Voice, member, unit string) string { return v.Contract(plainName(member, unit)) }

func (x *calculator) memberName(member string, s *contract.Schema) string {
	return nameIn(x.voice, member, s.Unit)
}

// scalar is a plain value in words; a word that the contract lists is said in the reader's language.
func (x *calculator) scalar(v any, s *contract.Schema) string {
	if word, ok := v.(string); ok && len(s.Enum) > 0 {
		return x.voice.Contract(words(word))
	}
	return scalarText(x.voice, v)
}

// choice is one of the words that a member takes.
func (x *calculator) choice(member, word string) string {
	switch {
	case member == "units" && x.voice.Has("units_"+word):
		return x.voice.Say("units_" + word)
	case word == "true":
		return x.voice.Say("said_yes")
	case word == "false":
		return x.voice.Say("said_no")
	}
	return x.voice.Contract(words(word))
}

// reason says on what ground something was assumed.
func (x *calculator) reason(why string) string {
	if code := "reason_" + why; x.voice.Has(code) {
		return x.voice.Say(code)
	}
	return ""
}

// pointerName is a pointer into the request in words: the names of the members on the way.
func (x *calculator) pointerName(pointer, unit string) string {
	tokens := strings.Split(pointerName(pointer, unit), ", ")
	for i := range tokens {
		tokens[i] = x.voice.Contract(tokens[i])
	}
	return strings.Join(tokens, ", ")
}

// spokenDefault is what is taken where a member is left out, as a language writes it.
func spokenDefault(v *phrase.Voice, s *contract.Schema, text string) string {
	switch {
	case s.Type == "boolean" && text == "true":
		return v.Say("said_yes")
	case s.Type == "boolean" && text == "false":
		return v.Say("said_no")
	case s.Type == "string":
		return v.Contract(words(text))
	}
	if _, err := json.Number(text).Float64(); err == nil {
		return decimal(v, text)
	}
	return text
}

// unclearIn says why a field could not be read.
func unclearIn(v *phrase.Voice, err error) string { return v.Contract(fmt.Sprint(err)) }
