package webdocs

import (
	"encoding/json"
	"html/template"
	"net/http"
	"regexp"
	"strings"

	"saltwright/internal/methods"
)

// methodPage is a subject of the core: what is said of it, published cases beside it, and its relations.
type methodPage struct {
	methods.Page
	methods.Subject
	Paragraphs []template.HTML
	Unknown    template.HTML // what could not be measured
	Compared   []comparison
	Picture    picturedCases
}

// methodGroup is the subjects under one heading of the index.
type methodGroup struct {
	Title string
	Pages []methodPage
}

// methodPages are all subjects in a reader's language.
func (s *Site) methodPages(to reader) ([]methodPage, methods.Prose, error) {
	subjects, err := s.methods()
	if err != nil {
		return nil, methods.Prose{}, err
	}
	said, err := methods.ProseIn(to.Language)
	if err != nil {
		return nil, said, err
	}
	var out []methodPage
	for _, one := range subjects {
		out = append(out, methodPage{Page: said.Subjects[one.Package], Subject: one})
	}
	return out, said, nil
}

func (s *Site) methodIndex(r *http.Request) (string, view, error) {
	to := readerOf(r)
	pages, said, err := s.methodPages(to)
	if err != nil {
		return "", view{}, err
	}
	var groups []methodGroup
	for _, code := range methods.Groups {
		g := methodGroup{Title: said.Groups[code]}
		for _, p := range pages {
			if p.Group == code {
				g.Pages = append(g.Pages, p)
			}
		}
		groups = append(groups, g)
	}
	return "methods", view{
		Title: to.Say("methods_title"), About: to.Say("methods_about"), Section: "methods", Body: groups,
	}, nil
}

func (s *Site) methodSubject(r *http.Request) (string, view, error) {
	to := readerOf(r)
	pages, said, err := s.methodPages(to)
	if err != nil {
		return "", view{}, err
	}
	for _, p := range pages {
		if p.Address() != r.PathValue("subject") {
			continue
		}
		measured, err := p.Measured()
		if err != nil {
			return "", view{}, err
		}
		for _, paragraph := range p.Text {
			p.Paragraphs = append(p.Paragraphs, s.linked(r, paragraph))
		}
		p.Unknown = s.linked(r, p.Unmeasured)
		p.Compared = comparisonsOf(to.Voice, said, measured)
		p.Picture = pictureOf(to.Voice, said, measured)
		return "method", view{Title: p.Title, About: p.Page.About, Section: "methods", Body: p}, nil
	}
	return "", view{}, noPage{}
}

// linked is a paragraph with links to the works that it cites and, by its title, to the calculator that it names in
// braces.
func (s *Site) linked(r *http.Request, paragraph string) template.HTML {
	name := named.FindStringSubmatch(paragraph)
	if name == nil {
		return cite(paragraph)
	}
	x := s.calculatorFor(r, name[1])
	if x == nil {
		return cite(paragraph)
	}
	link := `<a href="/docs/calculators/` + x.Name + `/">` + template.HTMLEscapeString(x.Title) + `</a>`
	// #nosec G203 -- cite escapes the paragraph, and the title is escaped above
	return template.HTML(strings.ReplaceAll(string(cite(paragraph)), name[0], link))
}

var named = regexp.MustCompile(`\{([a-z-]+)\}`)

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
	to := readerOf(r)
	pages, _, err := s.methodPages(to)
	if err != nil {
		s.broken(w, r, err)
		return
	}
	for i := range list.Sources {
		one := &list.Sources[i]
		for _, p := range pages {
			for _, rel := range p.Relations {
				if strings.Contains(rel.Source+rel.Departure, "["+one.Key+"]") {
					one.Uses = append(one.Uses, use{p.Title, p.Address(), rel.Name, rel.ID()})
				}
			}
		}
	}
	s.show(w, r, http.StatusOK, "sources", view{
		Title: to.Say("nav_sources"), About: to.Say("sources_about"),
		Section: "sources", Body: list.Sources,
	})
}
