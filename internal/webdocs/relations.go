package webdocs

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"regexp"
	"strings"
)

// methodsJSON is what extractmethods reads out of the core's doc comments; a test holds it to them.
//
//go:embed methods.json
var methodsJSON []byte

// subject is one package of the core with the relations that cite a source.
type subject struct {
	Package   string     `json:"package"`
	Doc       string     `json:"doc"`
	Relations []relation `json:"relations"`
}

type relation struct {
	Name, Signature, Sentence           string
	Equation                            []string
	Quantities                          []quantity
	Remarks                             []string
	Accuracy, Errors, Source, Departure string
}

type quantity struct{ Symbol, Meaning, Unit, Range string }

func readMethods() ([]subject, error) {
	var out []subject
	if err := json.Unmarshal(methodsJSON, &out); err != nil {
		return nil, fmt.Errorf("webdocs: methods.json: %w", err)
	}
	return out, nil
}

// Name is the subject in words.
func (s subject) Name() string {
	if s.Package == "." {
		return "all calculations"
	}
	return s.Package
}

// Address is the last part of the subject's page.
func (s subject) Address() string { return strings.ReplaceAll(s.Name(), " ", "-") }

var packageHead = regexp.MustCompile(`^Package \w+ (is |holds )?`)

// About is what the package says of itself, without its name.
func (s subject) About() string {
	first, _, _ := strings.Cut(s.Doc, "\n\n")
	return sentence(strings.Join(strings.Fields(packageHead.ReplaceAllString(first, "")), " "))
}

// ID is the relation's anchor on its page.
func (r relation) ID() string { return strings.ReplaceAll(r.Name, ".", "-") }
