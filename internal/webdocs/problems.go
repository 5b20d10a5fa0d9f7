package webdocs

import (
	"encoding/json"
	"net/http"
	"slices"

	"saltwright/internal/contract"
	"saltwright/internal/negotiate"
)

type problemPage struct {
	Code    string `json:"code"`
	Status  int    `json:"status"`
	Title   string `json:"title"`
	Meaning string `json:"meaning"`
	Remedy  string `json:"remedy"`
}

func (s *Site) readProblem(r *http.Request, code string) (problemPage, error) {
	var p problemPage
	data, err := s.ask(r, http.MethodGet, "/problems/"+code, "application/json", nil)
	if err != nil {
		return p, err
	}
	return p, json.Unmarshal(data, &p)
}

// problemCodes lists the codes of problems, in the contract's order.
func problemCodes(c *contract.Contract) []string {
	if o := c.Operation("getProblem"); o != nil && len(o.Parameters) > 0 {
		return o.Parameters[0].Schema.Enum
	}
	return nil
}

// problem is what the type of a problem document opens in a browser; the words are the API's own.
func (s *Site) problem(w http.ResponseWriter, r *http.Request) {
	c := s.contract
	code := r.PathValue("code")
	if !slices.Contains(problemCodes(c), code) {
		s.missing(w, r)
		return
	}
	p, err := s.readProblem(r, code)
	if err != nil {
		s.broken(w, r, err)
		return
	}
	negotiate.Vary(w.Header(), "Accept") // the API answers the same address as JSON
	s.show(w, r, http.StatusOK, "problem", view{Title: p.Title, About: p.Meaning, Section: "problems", Body: p})
}

func (s *Site) problemIndex(r *http.Request) (string, view, error) {
	c := s.contract
	var all []problemPage
	for _, code := range problemCodes(c) {
		p, err := s.readProblem(r, code)
		if err != nil {
			return "", view{}, err
		}
		all = append(all, p)
	}
	to := readerOf(r)
	return "problems", view{
		Title: to.Say("footer_problems"), About: to.Say("problems_about"), Section: "problems", Body: all,
	}, nil
}
