package catalogue

import (
	"slices"

	"golang.org/x/text/language"
)

// Language is one that texts are said in, by its tag (RFC 5646). Each has one file, such as de.yaml.
type Language string

const (
	English Language = "en"
	German  Language = "de"
	Spanish Language = "es"
)

// Languages are all there are, English first: it is the source, and what a text is said in that another language lacks.
var Languages = []Language{English, German, Spanish}

// Whole are the languages that say every text. A test holds them to that.
var Whole = []Language{English, German, Spanish}

var matcher language.Matcher

func (l Language) known() bool { return slices.Contains(Languages, l) }

// longestField is the longest Accept-Language, in bytes, that is worth reading.
const longestField = 500

// Preferred returns the language that an Accept-Language field likes best (RFC 9110, 12.5.4), by the rules that
// Unicode gives for languages that are near each other; English where it likes none.
func Preferred(field string) Language {
	if field == "" || len(field) > longestField {
		return English
	}
	tags, _, err := language.ParseAcceptLanguage(field)
	if err != nil {
		return English
	}
	_, i, sure := matcher.Match(tags...)
	if sure == language.No {
		return English
	}
	return Languages[i]
}
