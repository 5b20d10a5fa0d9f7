package webdocs

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"net/http"
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
	return sentence(strings.Join(strings.Fields(packageHead.ReplaceAllString(strings.Split(s.Doc, "\n\n")[0], "")), " "))
}

// ID is the relation's anchor on its page.
func (r relation) ID() string { return strings.ReplaceAll(r.Name, ".", "-") }

func (s *Site) methodIndex(*http.Request) (string, view, error) {
	all, err := s.methods()
	if err != nil {
		return "", view{}, err
	}
	return "methods", view{Title: "Methods", About: "Every relation behind the numbers, with its source, range and accuracy.", Section: "methods", Body: all}, nil
}

func (s *Site) methodSubject(r *http.Request) (string, view, error) {
	all, err := s.methods()
	if err != nil {
		return "", view{}, err
	}
	for _, one := range all {
		if one.Address() == r.PathValue("subject") {
			return "method", view{Title: capital(one.Name()), About: one.About(), Section: "methods", Body: one}, nil
		}
	}
	return "", view{}, noPage{}
}

// cited is one work of the bibliography and where the methods use it.
type cited struct {
	Key      string `json:"key"`
	Citation string `json:"citation"`
	DOI      string `json:"doi"`
	Note     string `json:"note"`
	Uses     []use
}

type use struct{ Subject, Address, Relation, ID string }

// sources is the bibliography, as the API gives it.
func (s *Site) sources(w http.ResponseWriter, r *http.Request) {
	data, err := s.ask(r, http.MethodGet, "/v1/sources", "application/json", nil)
	if err != nil {
		s.broken(w, r, err)
		return
	}
	var list struct {
		Sources []cited `json:"sources"`
	}
	if err := json.Unmarshal(data, &list); err != nil {
		s.broken(w, r, err)
		return
	}
	subjects, err := s.methods()
	if err != nil {
		s.broken(w, r, err)
		return
	}
	for i := range list.Sources {
		one := &list.Sources[i]
		for _, sub := range subjects {
			for _, rel := range sub.Relations {
				if strings.Contains(rel.Source+rel.Departure, "["+one.Key+"]") {
					one.Uses = append(one.Uses, use{sub.Name(), sub.Address(), rel.Name, rel.ID()})
				}
			}
		}
	}
	s.show(w, r, http.StatusOK, "sources", view{Title: "Sources", About: "Every work that an answer, an assumption or a method cites.", Section: "sources", Body: list.Sources})
}
