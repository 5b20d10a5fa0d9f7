package webdocs

import (
	"net/http"
	"slices"
	"strings"
)

// operations by tag, for the index of the reference.
type operationGroup struct {
	Name, About string
	Operations  []*operation
}

type referencePage struct {
	Version string
	Groups  []operationGroup
	Schemas []*schema
}

func (s *Site) reference(*http.Request) (string, view, error) {
	c, err := s.contract()
	if err != nil {
		return "", view{}, err
	}
	p := referencePage{Version: c.version}
	for _, t := range c.tags {
		g := operationGroup{Name: capital(t.Name), About: t.Description}
		for _, o := range c.operations {
			if o.Tag == t.Name {
				g.Operations = append(g.Operations, o)
			}
		}
		p.Groups = append(p.Groups, g)
	}
	p.Schemas = slices.Clone(c.schemas)
	slices.SortFunc(p.Schemas, func(a, b *schema) int { return strings.Compare(a.Name, b.Name) })
	return "reference", view{Title: "Reference", About: "Every operation and every schema of the contract.", Section: "reference", Scripts: []string{"filter.js"}, Body: p}, nil
}

type operationPage struct {
	*operation
	Calculator string // its page, where there is one
	Parameters []parameterRow
	Body       []memberRow
	BodyName   string
	Sample     string // a request
	Curl       string
	Answers    []answerRow
	Path       string
	PathNames  []string
}

type parameterRow struct {
	memberRow
	In, Sample string
}

type answerRow struct {
	answer
	Link string
}

func (s *Site) referenceOperation(r *http.Request) (string, view, error) {
	c, err := s.contract()
	if err != nil {
		return "", view{}, err
	}
	i := slices.IndexFunc(c.operations, func(o *operation) bool { return o.ID == r.PathValue("operation") })
	if i < 0 {
		return "", view{}, noPage{}
	}
	o := c.operations[i]
	p := operationPage{operation: o, Path: o.Path}
	x := c.calculator(strings.TrimPrefix(o.Path, "/v1/"))
	if x != nil {
		p.Calculator = x.Name
	}
	for _, q := range o.Parameters {
		row := parameterRow{memberRow: memberRow{Name: q.Name, Meaning: sentence(q.Description), Unit: unitText(q.Schema.Unit), Range: rangeText(q.Schema), Default: defaultText(q.Schema), Kind: q.Schema.Kind, Required: q.Required}, In: q.In}
		if x != nil {
			if m := x.post.Body.member(q.Name); m != nil {
				row.Meaning = sentence(m.Schema.Description)
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
		p.Body, p.BodyName = rowsOf(o.Body), o.Body.Name
		if len(o.Examples) > 0 {
			p.Sample = nodeJSON(o.Examples[len(o.Examples)-1].Node)
		}
	}
	switch {
	case x != nil && o.Method == http.MethodGet:
		p.Curl = x.curl(x.example())
	case o.Body != nil:
		p.Curl = `curl "` + originMark + o.Path + `" -H "Content-Type: application/json" -d '` + p.Sample + `'`
	default:
		path := o.Path
		for _, q := range p.Parameters {
			path = strings.ReplaceAll(path, "{"+q.Name+"}", q.Sample)
		}
		p.Curl = `curl "` + originMark + path + `" -H "Accept: application/json"`
	}
	for _, a := range o.Answers {
		row := answerRow{answer: a}
		if a.Schema != nil {
			row.Link = a.Schema.Name
		}
		p.Answers = append(p.Answers, row)
	}
	return "operation", view{Title: o.Method + " " + o.Path, About: o.Summary, Section: "reference", Scripts: []string{"send.js"}, Body: p}, nil
}

type schemaPage struct {
	*schema
	Rows   []memberRow
	UsedBy []*operation
	PartOf []string
}

func (s *Site) referenceSchema(r *http.Request) (string, view, error) {
	c, err := s.contract()
	if err != nil {
		return "", view{}, err
	}
	one := c.byName[r.PathValue("name")]
	if one == nil {
		return "", view{}, noPage{}
	}
	p := schemaPage{schema: one, Rows: rowsOf(one)}
	for _, o := range c.operations {
		used := o.Body != nil && o.Body.Name == one.Name
		for _, a := range o.Answers {
			used = used || a.Schema != nil && a.Schema.Name == one.Name
		}
		if used {
			p.UsedBy = append(p.UsedBy, o)
		}
	}
	for _, other := range c.schemas {
		for _, row := range rowsOf(other) {
			if row.Link == one.Name && !slices.Contains(p.PartOf, other.Name) {
				p.PartOf = append(p.PartOf, other.Name)
			}
		}
	}
	return "schema", view{Title: one.Name, About: one.Description, Section: "reference", Body: p}, nil
}
