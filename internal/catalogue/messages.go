package catalogue

import (
	"embed"
	"errors"
	"io/fs"
	"strings"

	"github.com/nicksnyder/go-i18n/v2/i18n"
	"go.yaml.in/yaml/v3"
	"golang.org/x/text/language"
	"golang.org/x/text/message"
)

//go:embed ??.yaml
var files embed.FS

// messages are those of each language's own file, by code.
var messages = map[Language]map[string]*i18n.Message{}

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
