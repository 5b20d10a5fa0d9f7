package webdocs

import (
	"encoding/json"
	"net/http"
	"strings"
)

func (s *Site) methodIndex(*http.Request) (string, view, error) {
	all, err := s.methods()
	if err != nil {
		return "", view{}, err
	}
	return "methods", view{
		Title: "Methods", About: "Every relation behind the numbers, with its source, range and accuracy.",
		Section: "methods", Body: all,
	}, nil
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
	s.show(w, r, http.StatusOK, "sources", view{
		Title: "Sources", About: "Every work that an answer, an assumption or a method cites.",
		Section: "sources", Body: list.Sources,
	})
}
