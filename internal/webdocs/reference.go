package webdocs

import (
	"net/http"
	"slices"
	"strings"

	"saltwright/internal/catalogue"
	"saltwright/internal/contract"
	"saltwright/internal/phrase"
)

// operations by tag, for the index of the reference.
type operationGroup struct {
	Name, About string
	Operations  []*contract.Operation
}

type referencePage struct {
	Version string
	Groups  []operationGroup
	Schemas []*contract.Schema
}

func (s *Site) reference(r *http.Request) (string, view, error) {
	c := s.contract
	to, p := readerOf(r), referencePage{Version: c.Version}
	for _, t := range c.Tags {
		g := operationGroup{Name: capital(to.Contract(t.Name)), About: t.Description}
		for _, o := range c.Operations {
			if o.Tag == t.Name {
				g.Operations = append(g.Operations, o)
			}
		}
		p.Groups = append(p.Groups, g)
	}
	p.Schemas = slices.Clone(c.Schemas)
	slices.SortFunc(p.Schemas, func(a, b *contract.Schema) int { return strings.Compare(a.Name, b.Name) })
	return "reference", view{
		Title: to.Say("nav_reference"), About: to.Say("reference_about"),
		Section: "reference", Scripts: []string{"filter.js"}, Body: p,
	}, nil
}

type operationPage struct {
	*contract.Operation
	Calculator string // its page, where there is one
	Parameters []parameterRow
	Body       *memberTable
	BodyName   string
	Sample     string // a request
	Snippets   []snippet
	Answers    []answerRow
}

type parameterRow struct {
	memberRow
	In, Sample string
}

type answerRow struct {
	contract.Answer
	Link, Example string
}

func (s *Site) referenceOperation(r *http.Request) (string, view, error) {
	c := s.contract
	o := c.Operation(r.PathValue("operation"))
	if o == nil {
		return "", view{}, noPage{}
	}
	p := operationPage{Operation: o}
	to := readerOf(r)
	x := calculatorNamed(c, o.Name(), phrase.In(catalogue.English)) // samples are written as programs send them
	if x != nil {
		p.Calculator = x.Name
	}
	for _, q := range o.Parameters {
		row := parameterRow{memberRow: rowOf(to.Voice, q.Name, q.Required, q.Schema), In: q.In}
		row.Meaning = sentence(to.Contract(q.Description))
		if x != nil {
			if m := x.post.Body.Member(q.Name); m != nil {
				row.Meaning = sentence(to.Contract(m.Schema.Description))
			}
			if o.Method == http.MethodGet {
				row.Sample = x.example().Get(q.Name)
			}
		}
		if q.In == "path" && len(q.Schema.Enum) > 0 {
			row.Sample = q.Schema.Enum[0]
		}
		p.Parameters = append(p.Parameters, row)
	}
	if o.Body != nil {
		p.Body, p.BodyName = tableOf(to.Voice, o.Body), o.Body.Name
		if len(o.Examples) > 0 {
			p.Sample = pretty(o.Examples[len(o.Examples)-1].Value)
		}
	}
	path := o.Path
	for _, q := range p.Parameters {
		path = strings.ReplaceAll(path, "{"+q.Name+"}", q.Sample)
	}
	if x != nil && x.Flat && o.Method == http.MethodGet {
		path = x.address(x.example())
	}
	p.Snippets = snippetsOf(o.Method, originMark+path, p.Sample)
	for _, a := range o.Answers {
		row := answerRow{Answer: a}
		if len(a.Examples) > 0 {
			row.Example = pretty(a.Examples[len(a.Examples)-1].Value)
		}
		if a.Schema != nil {
			row.Link = a.Schema.Name
		}
		p.Answers = append(p.Answers, row)
	}
	return "operation", view{
		Title: o.Method + " " + o.Path, About: to.Contract(o.Summary), Section: "reference",
		Scripts: []string{"send.js"}, Body: p,
	}, nil
}

type schemaPage struct {
	*contract.Schema
	Rows   *memberTable // nil where there are none
	UsedBy []*contract.Operation
	PartOf []string
}

func (s *Site) referenceSchema(r *http.Request) (string, view, error) {
	c := s.contract
	one := c.Schema(r.PathValue("name"))
	if one == nil {
		return "", view{}, noPage{}
	}
	to := readerOf(r)
	p := schemaPage{Schema: one}
	if len(one.Members) > 0 {
		p.Rows = tableOf(to.Voice, one)
	}
	for _, o := range c.Operations {
		used := o.Body != nil && o.Body.Name == one.Name
		for _, a := range o.Answers {
			used = used || a.Schema != nil && a.Schema.Name == one.Name
		}
		if used {
			p.UsedBy = append(p.UsedBy, o)
		}
	}
	for _, other := range c.Schemas {
		for _, row := range rowsOf(to.Voice, other) {
			if row.Link == one.Name && !slices.Contains(p.PartOf, other.Name) {
				p.PartOf = append(p.PartOf, other.Name)
			}
		}
	}
	return "schema", view{
		Title: one.Name, About: to.Contract(one.Description), Section: "reference", Body: p,
	}, nil
}
