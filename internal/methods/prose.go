package methods

import (
	"embed"
	"fmt"
	"sync"

	"go.yaml.in/yaml/v3"

	"saltwright/internal/catalogue"
)

//go:embed prose.*.yaml
var proseFiles embed.FS

// Prose is what the pages say in one language.
type Prose struct {
	Groups   map[string]string   // headings of the index, by code
	Subjects map[string]Page     // by package of the core
	Measured map[string]Compared // by code of a comparison
}

// Page is what a subject's page says before its relations.
type Page struct {
	Title, Group, About string
	Text                []string // paragraphs
	Unmeasured          string   // what could not be held against published values; empty where nothing is to say
}

// Compared is what a comparison is called: short beside a row of a picture, long in a table.
type Compared struct{ Short, Long string }

// Groups are the codes of the index's headings, in its order.
var Groups = []string{"water", "heat", "light", "flow", "plan", "inside"}

var prose = sync.OnceValues(func() (map[catalogue.Language]Prose, error) {
	all := map[catalogue.Language]Prose{}
	for _, l := range catalogue.Languages {
		name := "prose." + string(l) + ".yaml"
		data, err := proseFiles.ReadFile(name)
		if err != nil {
			return nil, fmt.Errorf("methods: %w", err)
		}
		var p Prose
		if err := yaml.Unmarshal(data, &p); err != nil {
			return nil, fmt.Errorf("methods: %s: %w", name, err)
		}
		all[l] = p
	}
	return all, nil
})

//go:embed relations.*.yaml
var relationFiles embed.FS

var sentences = sync.OnceValues(func() (map[catalogue.Language]map[string]string, error) {
	all := map[catalogue.Language]map[string]string{}
	for _, l := range catalogue.Languages {
		if l == catalogue.English {
			continue
		}
		name := "relations." + string(l) + ".yaml"
		data, err := relationFiles.ReadFile(name)
		if err != nil {
			return nil, fmt.Errorf("methods: %w", err)
		}
		said := map[string]string{}
		if err := yaml.Unmarshal(data, &said); err != nil {
			return nil, fmt.Errorf("methods: %s: %w", name, err)
		}
		all[l] = said
	}
	return all, nil
})

// SentenceIn returns what a relation gives, in a language, by the first sentence of its doc comment. Errors: a file
// that cannot be read, and a sentence that the language lacks.
func SentenceIn(l catalogue.Language, english string) (string, error) {
	if l == catalogue.English {
		return english, nil
	}
	all, err := sentences()
	if err != nil {
		return "", err
	}
	said := all[l][english]
	if said == "" {
		return "", fmt.Errorf("methods: relations.%s.yaml has no words for %q", l, english)
	}
	return said, nil
}

// ProseIn returns what the pages say in a language. Errors: a file that cannot be read.
func ProseIn(l catalogue.Language) (Prose, error) {
	all, err := prose()
	return all[l], err
}
