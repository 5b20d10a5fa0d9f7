package webdocs

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"saltwright/clients/reading"
	"saltwright/internal/contract"
	"saltwright/internal/phrase"
)

func (x *calculator) memberName(member string, s *contract.Schema) string {
	return nameIn(x.voice, member, s.Unit)
}

func scalarText(voice *phrase.Voice, v any) string {
	switch v := v.(type) {
	case nil:
		return voice.Say("default_none")
	case string:
		return v
	case bool:
		if v {
			return voice.Say("said_yes")
		}
		return voice.Say("said_no")
	case json.Number:
		return decimal(voice, number(v))
	case []any:
		var parts []string
		for _, x := range v {
			parts = append(parts, scalarText(voice, x))
		}
		if len(parts) == 0 {
			return voice.Say("default_none")
		}
		return strings.Join(parts, ", ")
	case object:
		var parts []string
		for _, p := range v {
			parts = append(parts, p.key+" "+scalarText(voice, p.value))
		}
		return strings.Join(parts, ", ")
	}
	return fmt.Sprint(v)
}

// scalar is a plain value in words; a word that the contract lists is said in the reader's language.
func (x *calculator) scalar(v any, s *contract.Schema) string {
	if word, ok := v.(string); ok && len(s.Enum) > 0 {
		return choiceIn(x.voice, word)
	} else if ok {
		return x.voice.Contract(word)
	}
	return scalarText(x.voice, v)
}

// choice is one of the words that a member takes.
func (x *calculator) choice(member, word string) string {
	switch {
	case member == "units" && x.voice.Has("units_"+word):
		return x.voice.Say("units_" + word)
	case x.voice.Has("choice_" + word):
		return x.voice.Say("choice_" + word)
	case word == "true":
		return x.voice.Say("said_yes")
	case word == "false":
		return x.voice.Say("said_no")
	}
	return x.voice.Choice(member, words(word))
}

// choiceIn is one of the words that the contract lists; those that are no words have a phrase.
func choiceIn(v *phrase.Voice, word string) string {
	if code := "choice_" + word; v.Has(code) {
		return v.Say(code)
	}
	return v.Contract(words(word))
}

// reason says on what ground something was assumed.
func (x *calculator) reason(why string) string {
	if code := "reason_" + why; x.voice.Has(code) {
		return x.voice.Say(code)
	}
	return ""
}

// pointerName is a pointer into the request in words.
func pointerName(pointer, unit string) string {
	tokens := strings.Split(strings.TrimPrefix(pointer, "#/"), "/")
	for i, t := range tokens {
		tokens[i] = strings.NewReplacer("~1", "/", "~0", "~", "_", " ").Replace(t)
		if i == len(tokens)-1 {
			tokens[i] = plainName(t, unit)
		}
	}
	return strings.Join(tokens, ", ")
}

// pointerName is a pointer into the request in words: the names of the members on the way.
func (x *calculator) pointerName(pointer, unit string) string {
	tokens := strings.Split(pointerName(pointer, unit), ", ")
	for i := range tokens {
		tokens[i] = x.voice.Contract(tokens[i])
	}
	return strings.Join(tokens, ", ")
}

// unclearIn says why a field whose label has a unit could not be read.
func unclearIn(v *phrase.Voice, err error, unit string) string {
	var unclear *reading.Unclear
	if !errors.As(err, &unclear) || unclear.Is == "" {
		return v.Contract(fmt.Sprint(err))
	}
	is := v.Say("dimension_" + strings.ReplaceAll(string(unclear.Is), " ", "_"))
	if unclear.Unit == "" {
		return v.Say("unclear_without_unit", "is", is, "drop", unclear.Drop)
	}
	return v.Say("unclear_dimension", "is", is, "unit", unit)
}
