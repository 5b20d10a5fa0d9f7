package phrase

import (
	"html/template"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/catalogue"
)

var (
	placeholder = regexp.MustCompile(`\{\{\.(\w+)\}\}`)
	tag         = regexp.MustCompile(`</?[a-z]+[^>]*>`)
)

func placeholders(of ...string) []string {
	var out []string
	for _, s := range of {
		for _, m := range placeholder.FindAllStringSubmatch(s, -1) {
			out = append(out, m[1])
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func tags(s string) []string {
	out := tag.FindAllString(s, -1)
	slices.Sort(out)
	return out
}

// TestEveryLanguageSaysEveryPhrase names each phrase that a language lacks, has too much, or says with other values,
// tags or plural forms than English.
func TestEveryLanguageSaysEveryPhrase(t *testing.T) {
	english := In(catalogue.English).messages
	for _, l := range catalogue.Languages {
		own := In(l).messages
		for code, m := range english {
			said := own[code]
			if !assert.NotNil(t, said, "%s.yaml lacks %s", l, code) {
				continue
			}
			assert.Equal(t, m.One == "", said.One == "", "%s.yaml: %s: forms for one and for others", l, code)
			assert.Equal(t, placeholders(m.One, m.Other), placeholders(said.One, said.Other), "%s.yaml: %s", l, code)
			assert.Equal(t, tags(m.Other), tags(said.Other), "%s.yaml: tags of %s", l, code)
			assert.NotEmpty(t, said.Other, "%s.yaml: %s", l, code)
		}
		for code := range own {
			assert.Contains(t, english, code, "%s.yaml has a phrase that English has not", l)
		}
	}
}

// TestEveryPhraseIsUsed looks for each code in the sources and templates that speak.
func TestEveryPhraseIsUsed(t *testing.T) {
	var all []byte
	for _, room := range []string{"webdocs", "drawing"} {
		err := filepath.WalkDir(filepath.Join("..", room), func(path string, d os.DirEntry, err error) error {
			if err != nil || d.IsDir() || !slices.Contains([]string{".go", ".html", ".js"}, filepath.Ext(path)) {
				return err
			}
			data, err := os.ReadFile(path) // #nosec G304 -- of this repository
			all = append(all, data...)
			return err
		})
		require.NoError(t, err)
	}
	for code := range In(catalogue.English).messages {
		built := slices.ContainsFunc(builtCodes, func(r *regexp.Regexp) bool { return r.MatchString(code) })
		if !built {
			said := regexp.MustCompile(`["'.]` + code + `\b`).Match(all)
			assert.True(t, said, "nothing says %s", code)
		}
	}
}

// builtCodes are codes that a program puts together from a prefix and the name of something.
var builtCodes = []*regexp.Regexp{
	regexp.MustCompile(`^(failed|units|reason|program|kind|dimension|group|part|moment|state|course_in|have|asks?)_`),
	regexp.MustCompile(`^(choice|gallery|culprit|specimen)_`),
}

func TestSay(t *testing.T) {
	assert.Equal(t, "Modelo x 1", In(catalogue.Spanish).Say("model", "name", "x", "version", "1"))
	assert.Equal(t, template.HTML("Frente al <a href=\"/docs/gallery/&lt;/\">plan bueno</a> del mismo acuario"),
		In(catalogue.Spanish).Markup("plan_against", "sound", "<"))
	assert.Panics(t, func() { In(catalogue.English).Say("no such phrase") })
}
