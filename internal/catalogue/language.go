package catalogue

import (
	"embed"
	"errors"
	"io/fs"
	"slices"
	"strings"

	"github.com/nicksnyder/go-i18n/v2/i18n"
	"go.yaml.in/yaml/v3"
	"golang.org/x/text/language"
	"golang.org/x/text/message"
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

//go:embed ??.yaml
var files embed.FS

// messages are those of each language's own file, by code.
var messages = map[Language]map[string]*i18n.Message{}

var matcher language.Matcher

func init() {
	var tags []language.Tag
	bundle := i18n.NewBundle(language.English)
	bundle.RegisterUnmarshalFunc("yaml", yaml.Unmarshal)
	for _, l := range Languages {
		tag := language.MustParse(string(l))
		tags = append(tags, tag)
		messages[l] = own(bundle, l)
		for code, m := range messages[English] {
			if said := messages[l][code]; said != nil {
				m = said
			}
			spoken := *m
			spoken.Many = m.Other // of a million in Spanish, which no count reaches
			must(bundle.AddMessages(tag, &spoken))
		}
		for _, u := range []Units{Metric, US} {
			r := Reader{l, u}
			speakers[r] = &Speaker{Reader: r, localizer: i18n.NewLocalizer(bundle, string(l)),
				printer: message.NewPrinter(tag)}
		}
	}
	matcher = language.NewMatcher(tags)
}

// own reads the file of a language; a language without a file says nothing of its own.
func own(bundle *i18n.Bundle, l Language) map[string]*i18n.Message {
	name := string(l) + ".yaml"
	data, err := files.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	must(err)
	file, err := bundle.ParseMessageFileBytes(data, name)
	must(err)
	out := map[string]*i18n.Message{}
	for _, m := range file.Messages {
		out[m.ID] = m
	}
	return out
}

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

// ReadsAs returns how a code reads in a language: with a count of one, which is empty where it counts nothing, and
// otherwise. Parameters stand in braces.
func ReadsAs(l Language, code string) (one, other string) {
	braces := strings.NewReplacer("{{.", "{", "}}", "}")
	m := messages[l][code]
	if m == nil {
		m = messages[English][code]
	}
	return braces.Replace(m.One), braces.Replace(m.Other)
}
