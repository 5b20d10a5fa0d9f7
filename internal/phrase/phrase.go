// Package phrase holds the words of the pages themselves: headings, buttons, labels, hints. What an answer says is in
// the catalogue; what a page says around it is here.
//
// A language is one file, such as es.yaml: a code and what it reads as, with parameters in double braces and, where a
// count decides, a form for one and a form for others. The tests name what a language lacks or has too much.
package phrase

import (
	"embed"
	"fmt"
	"html/template"
	"maps"
	"slices"
	"strings"

	"github.com/nicksnyder/go-i18n/v2/i18n"
	"go.yaml.in/yaml/v3"
	"golang.org/x/text/language"

	"saltwright/internal/catalogue"
)

//go:embed *.yaml
var files embed.FS

// Voice says the phrases of one language. It is safe for concurrent use.
type Voice struct {
	Language  catalogue.Language
	localizer *i18n.Localizer
	messages  map[string]*i18n.Message
	contract  map[string]string // what the contract says in English, and what the language says for it
}

var voices = map[catalogue.Language]*Voice{}

func init() {
	bundle := i18n.NewBundle(language.English)
	bundle.RegisterUnmarshalFunc("yaml", yaml.Unmarshal)
	for _, l := range catalogue.Languages {
		name := string(l) + ".yaml"
		data, err := files.ReadFile(name)
		must(err)
		file, err := bundle.ParseMessageFileBytes(data, name)
		must(err)
		v := &Voice{l, i18n.NewLocalizer(bundle, string(l)), map[string]*i18n.Message{}, nil}
		if l != catalogue.English {
			for _, of := range []string{"contract.", "plan.", "sources."} {
				words, err := files.ReadFile(of + name)
				must(err)
				must(yaml.Unmarshal(words, &v.contract))
			}
		}
		for _, m := range file.Messages {
			v.messages[m.ID] = m
			spoken := *m
			spoken.Many = m.Other // of a million in Spanish, which no count reaches
			must(bundle.AddMessages(file.Tag, &spoken))
		}
		voices[l] = v
	}
}

// In returns the voice of a language; English where there is no such language.
func In(l catalogue.Language) *Voice {
	if v := voices[l]; v != nil {
		return v
	}
	return voices[catalogue.English]
}

// Say says a phrase. Its parameters follow as name and value; the one named count decides between one and several. A
// code that the language does not have panics: the tests find it.
func (v *Voice) Say(code string, params ...any) string {
	data := map[string]any{}
	for i := 0; i+1 < len(params); i += 2 {
		data[fmt.Sprint(params[i])] = params[i+1]
	}
	return v.localize(code, data)
}

// Markup is Say for a phrase with tags in it, which are our own; what the parameters say is escaped.
func (v *Voice) Markup(code string, params ...any) template.HTML {
	data := map[string]any{}
	for i := 0; i+1 < len(params); i += 2 {
		data[fmt.Sprint(params[i])] = template.HTMLEscapeString(fmt.Sprint(params[i+1]))
	}
	return template.HTML(v.localize(code, data)) // #nosec G203 -- a file of ours, with parameters escaped above
}

// Contract says what a description, a title or a word of the contract says. What a language has no words for is said in
// English; a test of the pages names it.
func (v *Voice) Contract(english string) string {
	if said := v.contract[english]; said != "" {
		return said
	}
	return english
}

// Member says what a member of the contract is called, by its own name where its plain name means other things too.
func (v *Voice) Member(member, plain string) string {
	if said := v.contract[member]; said != "" && strings.Contains(member, "_") {
		return said
	}
	return v.Contract(plain)
}

// Choice says one of the words that a member takes, which may mean something else in another member. The member is
// named alone or at the end of a path.
func (v *Voice) Choice(member, plain string) string {
	member = member[strings.LastIndexAny(member, "./")+1:]
	if said := v.contract[member+": "+plain]; said != "" {
		return said
	}
	return v.Contract(plain)
}

// YesNo says a truth value.
func (v *Voice) YesNo(is bool) string {
	if is {
		return v.Say("said_yes")
	}
	return v.Say("said_no")
}

// Described is Contract for what explains: nothing where the language has no words for it, since what it explains has a
// name of its own.
func (v *Voice) Described(english string) string {
	if v.Language == catalogue.English {
		return english
	}
	return v.contract[english]
}

// Has tells whether there is a phrase with this code.
func (v *Voice) Has(code string) bool { return v.messages[code] != nil }

// Text is how a phrase of others or of many reads, with its parameters in braces.
func (v *Voice) Text(code string) string { return v.messages[code].Other }

// Codes are those of all phrases, sorted.
func (v *Voice) Codes() []string { return slices.Sorted(maps.Keys(v.messages)) }

func (v *Voice) localize(code string, data map[string]any) string {
	config := &i18n.LocalizeConfig{MessageID: code, TemplateData: data}
	if m := v.messages[code]; m != nil && m.One != "" {
		config.PluralCount = data["count"]
	}
	said, err := v.localizer.Localize(config)
	if err != nil {
		panic(fmt.Errorf("phrase: %s: %w", code, err))
	}
	return said
}

// must stops the program over files that are part of it.
func must(err error) {
	if err != nil {
		panic(fmt.Errorf("phrase: %w", err))
	}
}
