package webdocs

import (
	"errors"
	"net/http"
	"net/url"
	"strings"

	"saltwright/internal/contract"
)

// calculatorPage is what the template sees.
type calculatorPage struct {
	*calculator
	Form      *form
	Paste     *form // takes a whole document, where the form of fields asks for a simple case only
	Result    *result
	IsExample bool
	Problem   string
	Errors    []fault
	Permalink string // of the answer as JSON
	Address   string // of this page with its answer
	Snippets  []snippet
	Members   *memberTable
	Nested    []string
	Answer    string // the schema of the result
	Example   string
	Post, Get *contract.Operation
}

// calculatorFor returns the calculator of that name in the language of a request, or nil.
func (s *Site) calculatorFor(r *http.Request, name string) *calculator {
	return calculatorNamed(s.contract, name, readerOf(r).Voice)
}

func (s *Site) groupsFor(r *http.Request) []group { return groupsOf(s.contract, readerOf(r).Voice) }

func (x *calculator) page(values url.Values) *calculatorPage {
	p := &calculatorPage{calculator: x, Form: x.form(values), Post: x.post, Get: x.get}
	p.Members = tableOf(x.voice, x.post.Body)
	if len(x.hand.short) > 0 {
		p.Paste = x.paste(values)
	}
	if m := answerOf(x.operation()).Member("result"); m != nil {
		p.Answer = m.Schema.Name
	}
	if a := x.post.Answer("200", "application/json"); a != nil && len(a.Examples) > 0 {
		p.Example = pretty(a.Examples[len(a.Examples)-1].Value)
	}
	return p
}

func (x *calculator) view(p *calculatorPage) view {
	return view{Title: x.Title, About: x.About, Section: "calculators", Scripts: []string{"ask.js"}, Body: p}
}

func (s *Site) calculators(r *http.Request) (string, view, error) {
	to := readerOf(r)
	return "calculators", view{
		Title: to.Say("nav_calculators"), About: to.Say("calculators_about"),
		Section: "calculators", Body: s.groupsFor(r),
	}, nil
}

// calculator shows a form with the contract's example, or answers what was filled in.
func (s *Site) calculator(w http.ResponseWriter, r *http.Request) {
	x := s.calculatorFor(r, r.PathValue("name"))
	if x == nil {
		s.missing(w, r)
		return
	}
	if !asks(r) || !x.asksByFields() {
		s.exampleOf(w, r, x)
		return
	}
	values, err := url.ParseQuery(r.URL.RawQuery)
	if err != nil {
		s.fail(w, r, http.StatusBadRequest, readerOf(r).Say("address_not_valid"))
		return
	}
	p := x.page(values)
	q, err := x.questionOf(values)
	if err != nil {
		s.broken(w, r, err)
		return
	}
	p.Form.unclear, p.Snippets, p.Address = q.unclear, q.snippets(), "/docs/calculators/"+x.Name+"/?"+values.Encode()
	if x.Flat {
		p.Permalink = q.target
	}
	s.answer(w, r, x, p, p.Form, q)
}

// question is what the API is asked.
type question struct {
	method, target string
	body           []byte
	unclear        map[string]string // what could not be read, and why
}

// questionOf is what was filled in as the API takes it.
func (x *calculator) questionOf(values url.Values) (question, error) {
	if x.Flat {
		asked, unclear := x.query(values)
		return question{http.MethodGet, x.address(asked), nil, unclear}, nil
	}
	if len(x.hand.short) == 0 || values.Has("body") {
		body := values.Get("body")
		return question{http.MethodPost, inUnits(x.Path, values), []byte(body), nil}, nil
	}
	body, unclear, err := x.document(values)
	return question{http.MethodPost, inUnits(x.Path, values), body, unclear}, err
}

// snippets are the question in several languages.
func (q question) snippets() []snippet {
	return snippetsOf(q.method, originMark+q.target, string(q.body))
}

// inUnits is a path of the API with the system of units that a form asks for.
func inUnits(path string, values url.Values) string {
	if u := values.Get("units"); u != "" {
		return path + "?units=" + url.QueryEscape(u)
	}
	return path
}

// exampleOf shows the contract's example with its answer and pictures, asked for once. Where the service is too busy to
// be asked it shows the documented answer, which has no pictures.
func (s *Site) exampleOf(w http.ResponseWriter, r *http.Request, x *calculator) {
	if f, ok := s.kept.Load(key(r)); ok {
		f.(*file).serve(w, r)
		return
	}
	values := x.example()
	p := x.page(values)
	q, err := x.questionOf(values)
	if err != nil {
		s.broken(w, r, err)
		return
	}
	p.IsExample, p.Snippets = true, q.snippets()
	if x.Flat {
		p.Permalink = q.target
	}
	data, asked := s.ask(r, q.method, x.drawn(q.target), "application/json", q.body)
	if asked != nil {
		data = []byte(p.Example)
	}
	if len(data) > 0 {
		err = p.take(data, values.Get("units"))
	}
	if err != nil {
		s.broken(w, r, err)
		return
	}
	f, err := s.render(r, "calculator", x.view(p))
	if err != nil {
		s.broken(w, r, err)
		return
	}
	if asked == nil {
		s.kept.Store(key(r), f)
	}
	f.serve(w, r)
}

// mostPosted is how large a filled-in form may be: the API's own bound on bodies, written as a form.
const mostPosted = 256 << 10

func (s *Site) calculatorPosted(w http.ResponseWriter, r *http.Request) {
	x := s.calculatorFor(r, r.PathValue("name"))
	if x == nil {
		s.missing(w, r)
		return
	}
	if x.Flat {
		w.Header().Set("Allow", "GET, HEAD")
		s.fail(w, r, http.StatusMethodNotAllowed, x.voice.Say("sent_by_get"))
		return
	}
	r.Body = http.MaxBytesReader(w, r.Body, mostPosted)
	if err := r.ParseForm(); err != nil {
		status := http.StatusBadRequest
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			status = http.StatusRequestEntityTooLarge
		}
		s.fail(w, r, status, x.voice.Say("form_not_read"))
		return
	}
	values := r.PostForm
	p := x.page(values)
	asked := p.Form
	if p.Paste != nil {
		asked = p.Paste
	}
	q := question{http.MethodPost, inUnits(x.Path, values), []byte(values.Get("body")), nil}
	p.Snippets = q.snippets()
	s.answer(w, r, x, p, asked, q)
}

// paste is the form for a whole document beside the one of fields.
func (x *calculator) paste(values url.Values) *form {
	f := &form{Name: x.Name, Action: "/docs/calculators/" + x.Name + "/", Method: "post"}
	f.Document = x.documentField(values.Get("body"))
	if len(x.post.Examples) > 0 && !values.Has("body") {
		f.Document.Value = pretty(x.post.Examples[len(x.post.Examples)-1].Value)
	}
	return f
}

// take reads the API's answer into the page: what it assumed stands in the fields.
func (p *calculatorPage) take(data []byte, units string) error {
	r, err := readResult(p.calculator, data, units)
	if err != nil {
		return err
	}
	r.Assumptions = p.Form.assume(r.Assumptions)
	p.Result = r
	return nil
}

// withCharts asks for the pictures of an answer too.
func withCharts(target string) string {
	if strings.Contains(target, "?") {
		return target + "&include=charts"
	}
	return target + "?include=charts"
}

// drawn is withCharts where the operation has pictures: a batch has none of its own.
func (x *calculator) drawn(target string) string {
	if x.operation().Parameter(contract.InQuery, "include") == nil {
		return target
	}
	return withCharts(target)
}

// unitsAsked is the system of units that an address of the API asks for; empty for its own.
func unitsAsked(target string) string {
	u, err := url.Parse(target)
	if err != nil {
		return ""
	}
	return u.Query().Get("units")
}

// answer fills a page with the API's answer, or with what is wrong with the question.
func (s *Site) answer(
	w http.ResponseWriter, r *http.Request, x *calculator, p *calculatorPage, asked *form, q question,
) {
	data, err := s.ask(r, q.method, x.drawn(q.target), "application/json", q.body)
	var refused *refusal
	switch {
	case errors.As(err, &refused) && refused.status < http.StatusInternalServerError &&
		refused.status != http.StatusTooManyRequests:
		asked.blame(x, refused.problem)
		p.Errors = asked.Errors
		if p.Problem = refused.problem.Title; len(asked.unclear) > 0 {
			p.Problem = x.voice.Say("fields_unreadable") // the API's title counts what it refuses
		}
		s.show(w, r, refused.status, "calculator", x.view(p))
		return
	case err != nil:
		s.broken(w, r, err)
		return
	}
	if len(asked.unclear) > 0 { // the API took it for what it was not meant to be
		p.Problem = x.voice.Say("fields_unreadable")
		asked.blame(x, problemDocument{Title: p.Problem})
		p.Errors = asked.Errors
		s.show(w, r, http.StatusUnprocessableEntity, "calculator", x.view(p))
		return
	}
	if err = p.take(data, unitsAsked(q.target)); err != nil {
		s.broken(w, r, err)
		return
	}
	if !x.Flat {
		p.Result.JSON = pretty(data)
	}
	s.show(w, r, http.StatusOK, "calculator", x.view(p))
}
