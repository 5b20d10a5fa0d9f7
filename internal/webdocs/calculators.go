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
	Result    *result
	IsExample bool
	Problem   string
	Permalink string
	Curl      string
	Members   []memberRow
	Nested    []string
	Answer    string // the schema of the result
	Example   string
	Post, Get *contract.Operation
}

func (x *calculator) page(values url.Values) *calculatorPage {
	p := &calculatorPage{calculator: x, Form: x.form(values), Members: rowsOf(x.post.Body), Post: x.post, Get: x.get}
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

func (s *Site) calculators(*http.Request) (string, view, error) {
	c := s.contract
	return "calculators", view{
		Title: "Calculators", About: "Every calculation of the service as a form that works without scripts.",
		Section: "calculators", Body: groupsOf(c),
	}, nil
}

// calculator shows a form with the contract's example, or answers what was filled in.
func (s *Site) calculator(w http.ResponseWriter, r *http.Request) {
	c := s.contract
	x := calculatorNamed(c, r.PathValue("name"))
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
	asked, unclear := x.query(values)
	p := x.page(values)
	p.Form.unclear = unclear
	p.Permalink, p.Curl = x.address(asked), x.curl(asked)
	s.answer(w, r, x, p, http.MethodGet, p.Permalink, nil)
}

// exampleOf shows the contract's example with its answer and pictures, asked for once. Where the service is too busy to
// be asked it shows the documented answer, which has no pictures.
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
	method, target, body := x.question(values)
	data, asked := s.ask(r, method, withCharts(target), "application/json", body)
	if asked != nil {
		data = []byte(p.Example)
	}
	var err error
	if len(data) > 0 {
		p.Result, err = readResult(x.operation(), data, values.Get("units"))
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
	if asked == nil {
		s.kept.Store(r.URL.Path, f)
	}
	f.serve(w, r)
}

// mostPosted is how large a filled-in form may be: the API's own bound on bodies, written as a form.
const mostPosted = 256 << 10

func (s *Site) calculatorPosted(w http.ResponseWriter, r *http.Request) {
	c := s.contract
	x := calculatorNamed(c, r.PathValue("name"))
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

// unreadable is the title where a field's number could not be read.
const unreadable = "Some fields could not be read"

// withCharts asks for the pictures of an answer too.
func withCharts(target string) string {
	if strings.Contains(target, "?") {
		return target + "&include=charts"
	}
	return target + "?include=charts"
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
	w http.ResponseWriter, r *http.Request, x *calculator, p *calculatorPage, method, target string, body []byte,
) {
	data, err := s.ask(r, method, withCharts(target), "application/json", body)
	var refused *refusal
	switch {
	case errors.As(err, &refused) && refused.status < http.StatusInternalServerError &&
		refused.status != http.StatusTooManyRequests:
		p.Form.blame(refused.problem)
		if p.Problem = refused.problem.Title; len(p.Form.unclear) > 0 {
			p.Problem = unreadable // the API's title counts what it refuses
		}
		s.show(w, r, refused.status, "calculator", x.view(p))
		return
	case err != nil:
		s.broken(w, r, err)
		return
	}
	if len(p.Form.unclear) > 0 { // the API took it for what it was not meant to be
		p.Problem = unreadable
		p.Form.blame(problemDocument{Title: p.Problem})
		s.show(w, r, http.StatusUnprocessableEntity, "calculator", x.view(p))
		return
	}
	if p.Result, err = readResult(x.operation(), data, unitsAsked(target)); err != nil {
		s.broken(w, r, err)
		return
	}
	if !x.Flat {
		p.Result.JSON = pretty(data)
	}
	s.show(w, r, http.StatusOK, "calculator", x.view(p))
}
