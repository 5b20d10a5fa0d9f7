// Package methods is what the doc comments of the calculation core say of its relations.
// The pages show it, and answers name their sources from it.
package methods

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"regexp"
	"strings"
	"sync"
)

// methodsJSON is what extractmethods reads out of the core's doc comments; a test holds it to them.
//
//go:embed methods.json
var methodsJSON []byte

// Subject is one package of the core with the relations that cite a source.
type Subject struct {
	Package   string     `json:"package"`
	Doc       string     `json:"doc"`
	Relations []Relation `json:"relations"`
}

// Relation is one function of the core that cites a source.
type Relation struct {
	Name, Signature, Sentence           string
	Equation                            []string
	Quantities                          []Quantity
	Remarks                             []string
	Accuracy, Errors, Source, Departure string
}

// Quantity is one line of what a relation takes or gives.
type Quantity struct{ Symbol, Meaning, Unit, Range string }

// Read returns every subject of the core. It is read once. Errors: a file that is no list of subjects.
var Read = sync.OnceValues(func() ([]Subject, error) {
	var out []Subject
	if err := json.Unmarshal(methodsJSON, &out); err != nil {
		return nil, fmt.Errorf("methods.json: %w", err)
	}
	return out, nil
})

var key = regexp.MustCompile(`\[([A-Za-z][A-Za-z0-9]*)\]`)

// Sources returns the keys of the works that a relation cites, by package and function, "seawater.Density". Errors: a
// relation that the core does not have, or that cites nothing.
func Sources(name string) ([]string, error) {
	subjects, err := Read()
	if err != nil {
		return nil, err
	}
	pkg, function, _ := strings.Cut(name, ".")
	for _, s := range subjects {
		if s.Package != pkg {
			continue
		}
		for _, r := range s.Relations {
			if r.Name == function {
				var out []string
				for _, m := range key.FindAllStringSubmatch(r.Source+" "+r.Departure, -1) {
					out = append(out, m[1])
				}
				return out, nil
			}
		}
	}
	return nil, fmt.Errorf("methods: the core has no relation %s that cites a source", name)
}

// Name is the subject in words.
func (s Subject) Name() string {
	if s.Package == "." {
		return "all calculations"
	}
	return s.Package
}

// Address is the last part of the subject's page.
func (s Subject) Address() string { return strings.ReplaceAll(s.Name(), " ", "-") }

var packageHead = regexp.MustCompile(`^Package \w+ (is |holds )?`)

// About is what the package says of itself, without its name.
func (s Subject) About() string {
	first, _, _ := strings.Cut(s.Doc, "\n\n")
	text := strings.Join(strings.Fields(packageHead.ReplaceAllString(first, "")), " ")
	return strings.ToUpper(text[:1]) + text[1:]
}

// ID is the relation's anchor on its page.
func (r Relation) ID() string { return strings.ReplaceAll(r.Name, ".", "-") }
