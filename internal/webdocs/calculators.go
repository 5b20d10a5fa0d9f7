package webdocs

import (
	"bytes"
	"encoding/json"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strings"
)

// calculator is one path of the contract as a page: a form, its answer, what every member means.
type calculator struct {
	Name, Path, Title, About, Tag string
	Flat                          bool // has a GET twin, so that an answer has an address
	get, post                     *operation
}

func (c *calculator) operation() *operation {
	if c.Flat {
		return c.get
	}
	return c.post
}

// calculators are the paths that calculate, in the contract's order.
func (c *contract) calculators() []*calculator {
	var out []*calculator
	for _, o := range c.operations {
		if o.Method != http.MethodPost || o.Body == nil {
			continue
		}
		x := &calculator{Name: strings.TrimPrefix(o.Path, "/v1/"), Path: o.Path, Title: o.Summary, About: strings.TrimPrefix(o.Description, o.Summary+". "), Tag: o.Tag, post: o}
		for _, twin := range c.operations {
			if twin.Method == http.MethodGet && twin.Path == o.Path {
				x.Flat, x.get = true, twin
			}
		}
		out = append(out, x)
	}
	return out
}

func (c *contract) calculator(name string) *calculator {
	all := c.calculators()
	if i := slices.IndexFunc(all, func(x *calculator) bool { return x.Name == name }); i >= 0 {
		return all[i]
	}
	return nil
}

// group is what belongs to one tag.
type group struct {
	Name, About string
	Calculators []*calculator
}

// order is how the front of the house lists the subjects.
var order = []string{"plan", "heat", "water", "light", "power"}

func (c *contract) groups() []group {
	var out []group
	all := c.calculators()
	add := func(t tag) {
		g := group{Name: capital(t.Name), About: t.Description}
		for _, x := range all {
			if x.Tag == t.Name {
				g.Calculators = append(g.Calculators, x)
			}
		}
		if len(g.Calculators) > 0 {
			out = append(out, g)
		}
	}
	for _, name := range order {
		for _, t := range c.tags {
			if t.Name == name {
				add(t)
			}
		}
	}
	for _, t := range c.tags {
		if !slices.Contains(order, t.Name) {
			add(t)
		}
	}
	return out
}

// calculatorPage is what the template sees.
type calculatorPage struct {
	*calculator
	Form      *form
	Result    *result
	IsExample bool
	Problem   string
	Permalink string
	Curl      string
	Members   []memberRow
	Nested    []string
	Answer    string // the schema of the result
	Example   string
	Post, Get *operation
}

// memberRow is one line of the table of members.
type memberRow struct {
	Name, Meaning, Unit, Range, Default, Link, Kind string
	Required                                        bool
}

func rowsOf(s *schema) []memberRow {
	var out []memberRow
	for _, m := range s.Members {
		r := memberRow{Name: m.Name, Meaning: sentence(m.Schema.Description), Unit: unitText(m.Schema.Unit), Range: rangeText(m.Schema), Default: defaultText(m.Schema), Kind: m.Schema.Kind, Required: m.Required}
		switch {
		case m.Schema.Name != "":
			r.Link = m.Schema.Name
		case m.Schema.Items != nil && m.Schema.Items.Name != "":
			r.Link, r.Kind = m.Schema.Items.Name, "list"
		case m.Schema.Items != nil:
			r.Kind = "list of " + m.Schema.Items.Kind
		}
		out = append(out, r)
	}
	return out
}

func (x *calculator) page(values url.Values) *calculatorPage {
	p := &calculatorPage{calculator: x, Form: x.form(values), Members: rowsOf(x.post.Body), Post: x.post, Get: x.get}
	if m := x.operation().answer().member("result"); m != nil {
		p.Answer = m.Schema.Name
	}
	for _, a := range x.post.Answers {
		if a.Status == "200" && a.Example != "" {
			p.Example = a.Example
		}
	}
	return p
}

// address is the question's own address in the API.
func (x *calculator) address(values url.Values) string {
	if len(values) == 0 {
		return x.Path
	}
	return x.Path + "?" + values.Encode()
}

func (x *calculator) curl(values url.Values) string {
	if x.Flat {
		return `curl "` + originMark + x.address(values) + `"`
	}
	return `curl "` + originMark + x.Path + `" -H "Content-Type: application/json" -d '` + strings.ReplaceAll(values.Get("body"), "'", `'\''`) + `'`
}

// originMark stands where a command needs this host; a script puts the page's own origin there.
const originMark = "http://127.0.0.1:8080"

func (x *calculator) view(p *calculatorPage) view {
	return view{Title: x.Title, About: x.About, Section: "calculators", Scripts: []string{"ask.js"}, Body: p}
}

func (s *Site) calculators(*http.Request) (string, view, error) {
	c, err := s.contract()
	if err != nil {
		return "", view{}, err
	}
	return "calculators", view{Title: "Calculators", About: "Every calculation of the service as a form that works without scripts.", Section: "calculators", Body: c.groups()}, nil
}

// calculator shows a form with the contract's example, or answers what was filled in.
func (s *Site) calculator(w http.ResponseWriter, r *http.Request) {
	c, err := s.contract()
	if err != nil {
		s.broken(w, r, err)
		return
	}
	x := c.calculator(r.PathValue("name"))
	if x == nil {
		s.missing(w, r)
		return
	}
	if r.URL.RawQuery == "" || !x.Flat {
		s.exampleOf(w, r, x)
		return
	}
	values, err := url.ParseQuery(r.URL.RawQuery)
	if err != nil {
		s.fail(w, r, http.StatusBadRequest, "The address is not valid: check its per cent signs and semicolons.")
		return
	}
	asked := x.query(values)
	p := x.page(values)
	p.Permalink, p.Curl = x.address(asked), x.curl(asked)
	s.answer(w, r, x, p, http.MethodGet, p.Permalink, nil)
}

// exampleOf shows the contract's example and its documented answer: nothing is calculated.
func (s *Site) exampleOf(w http.ResponseWriter, r *http.Request, x *calculator) {
	if f, ok := s.kept.Load(r.URL.Path); ok {
		f.(*file).serve(w, r)
		return
	}
	values := x.example()
	p := x.page(values)
	p.IsExample, p.Curl, p.Form.Open = true, x.curl(values), false
	if x.Flat {
		p.Permalink = x.address(values)
	}
	var err error
	if p.Example != "" {
		p.Result, err = readResult(x.operation(), []byte(p.Example))
	}
	if err != nil {
		s.broken(w, r, err)
		return
	}
	f, err := s.render("calculator", x.view(p))
	if err != nil {
		s.broken(w, r, err)
		return
	}
	s.kept.Store(r.URL.Path, f)
	f.serve(w, r)
}

// mostPosted is how large a filled-in form may be: the API's own bound on bodies, written as a form.
const mostPosted = 256 << 10

func (s *Site) calculatorPosted(w http.ResponseWriter, r *http.Request) {
	c, err := s.contract()
	if err != nil {
		s.broken(w, r, err)
		return
	}
	x := c.calculator(r.PathValue("name"))
	if x == nil {
		s.missing(w, r)
		return
	}
	if x.Flat {
		w.Header().Set("Allow", "GET, HEAD")
		s.fail(w, r, http.StatusMethodNotAllowed, "This form is sent by GET.")
		return
	}
	r.Body = http.MaxBytesReader(w, r.Body, mostPosted)
	if err := r.ParseForm(); err != nil {
		status := http.StatusBadRequest
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			status = http.StatusRequestEntityTooLarge
		}
		s.fail(w, r, status, "The form could not be read: send its fields, at most 256 kB.")
		return
	}
	values := r.PostForm
	p := x.page(values)
	p.Curl = x.curl(values)
	target := x.Path
	if u := values.Get("units"); u != "" {
		target += "?units=" + url.QueryEscape(u)
	}
	s.answer(w, r, x, p, http.MethodPost, target, []byte(values.Get("body")))
}

func (s *Site) answer(w http.ResponseWriter, r *http.Request, x *calculator, p *calculatorPage, method, target string, body []byte) {
	data, err := s.ask(r, method, target, "application/json", body)
	var refused *refusal
	switch {
	case errors.As(err, &refused) && refused.status < http.StatusInternalServerError && refused.status != http.StatusTooManyRequests:
		p.Form.blame(refused.problem)
		p.Problem = refused.problem.Title
		s.show(w, r, refused.status, "calculator", x.view(p))
		return
	case err != nil:
		s.broken(w, r, err)
		return
	}
	if p.Result, err = readResult(x.operation(), data); err != nil {
		s.broken(w, r, err)
		return
	}
	if x.Path == auditPath {
		report, err := s.ask(r, method, target, "text/html", body)
		if err == nil {
			p.Result.Figures, err = figures(report)
		}
		p.Result.Undrawn = err != nil
	}
	if !x.Flat {
		var pretty bytes.Buffer
		if err := json.Indent(&pretty, data, "", "  "); err != nil {
			s.broken(w, r, err)
			return
		}
		p.Result.JSON = pretty.String()
	}
	s.show(w, r, http.StatusOK, "calculator", x.view(p))
}
