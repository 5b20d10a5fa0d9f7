package webdocs

import (
	"regexp"
	"slices"

	"saltwright/internal/contract"
	"saltwright/internal/phrase"
)

// contractWord is a name of the contract in a sentence: words of the language have no underscores.
var contractWord = regexp.MustCompile(`[a-z][a-z0-9]*(?:_[a-z0-9]+)+`)

// inWords says a text of the API with labels in the place of the contract's names.
func (x *calculator) inWords(text string) string {
	if x.post == nil { // a form of the workshop, which has words of its own
		return text
	}
	return contractWord.ReplaceAllStringFunc(text, func(word string) string {
		name := ""
		if m := memberAt(x.post.Body, word); m != nil {
			name = x.labelOf(m)
		} else if name = memberLabel(x.voice, x.post.Body, word); name == "" && chosenIn(x.post.Body, word) {
			name = choiceIn(x.voice, word)
		}
		if name == "" {
			return word // of the reader's own
		}
		return x.voice.Say("quoted", "name", name)
	})
}

// chosenIn tells whether a word is one that some member of a schema takes.
func chosenIn(s *contract.Schema, word string) bool {
	if s == nil {
		return false
	}
	return slices.Contains(s.Enum, word) || chosenIn(s.Items, word) ||
		slices.ContainsFunc(s.Members, func(m *contract.Member) bool { return chosenIn(m.Schema, word) })
}

// memberLabel is the label of a member, wherever it first stands in a schema; empty where there is none of that name.
func memberLabel(v *phrase.Voice, s *contract.Schema, word string) string {
	for _, m := range s.Members {
		if m.Name == word {
			return v.Member(m.Name, plainName(m.Name, m.Schema.Unit))
		}
		below := m.Schema
		if below.Items != nil {
			below = below.Items
		}
		if label := memberLabel(v, below, word); label != "" {
			return label
		}
	}
	return ""
}

// labelOf is the label of a member's field.
func (x *calculator) labelOf(m *contract.Member) string {
	if code := "asks_" + m.Name; x.voice.Has(code) {
		return x.voice.Say(code)
	}
	name, _ := label(x.voice, m, m.Schema.Unit)
	return name
}

// planInWords says a text with the labels of a plan's members in the place of the contract's names.
func planInWords(v *phrase.Voice, s *contract.Schema, text string) string {
	return contractWord.ReplaceAllStringFunc(text, func(word string) string {
		return v.Say("quoted", "name", labelOf(v, s, word))
	})
}

// labelOf is the label of a member or a choice, wherever it first stands in a schema; else its words.
func labelOf(v *phrase.Voice, s *contract.Schema, word string) string {
	if label := memberLabel(v, s, word); label != "" {
		return label
	}
	return v.Contract(words(word))
}
