package transport

import (
	"net/http"
	"slices"
	"strings"

	"github.com/labstack/echo/v4"

	"saltwright/internal/catalogue"
	"saltwright/internal/contract"
	"saltwright/internal/entity"
)

// planSchemaPath is where the JSON Schema of a plan stands. The number is the version of the format: a plan that names
// another one is refused, and a change after which an old plan means something else takes the next number.
const planSchemaPath = "/schemas/plan-1.json"

type indexResponse struct {
	Name       string          `json:"name"`
	Version    string          `json:"version"`
	Contract   string          `json:"contract"`
	Operations []indexedAction `json:"operations"`
}

type indexedAction struct {
	Method  string `json:"method"`
	Path    string `json:"path"`
	Summary string `json:"summary"`
}

// index says what there is, from the contract, by path, GET before POST.
func index(all *contract.Contract) indexResponse {
	out := indexResponse{Name: all.Title, Version: all.Version, Contract: "/openapi.json",
		Operations: []indexedAction{}}
	for _, o := range all.Operations {
		out.Operations = append(out.Operations, indexedAction{Method: o.Method, Path: o.Path, Summary: o.Summary})
	}
	slices.SortFunc(out.Operations, func(a, b indexedAction) int {
		return strings.Compare(a.Path+" "+a.Method, b.Path+" "+b.Method)
	})
	return out
}

// unchanging serves an operation whose answer is always the same.
func unchanging(e *entity.Entity) handler {
	return func(c echo.Context, o *contract.Operation) error {
		if _, err := read(c, o); err != nil {
			return err
		}
		c.Response().Header().Set("Link", links)
		return fixed(e)(c)
	}
}

// inEveryLanguage serves an operation whose answer depends on nothing but the language.
func inEveryLanguage(of map[catalogue.Language]*entity.Entity) handler {
	return func(c echo.Context, o *contract.Operation) error {
		spoken(c)
		return unchanging(of[languageOf(c)])(c, o)
	}
}

type problemPage struct {
	Code    string `json:"code"`
	Status  int    `json:"status"`
	Title   string `json:"title"`
	Meaning string `json:"meaning"`
	Remedy  string `json:"remedy"`
}

// getProblem is what the type of every problem opens.
func getProblem(c echo.Context, o *contract.Operation) error {
	if _, err := read(c, o); err != nil {
		return err
	}
	p, ok := lookupProblem(c.Param("code"))
	if !ok {
		return &requestError{code: "not_found"}
	}
	spoken(c)
	speaker := speakerOf(c)
	return writeJSON(c, http.StatusOK, problemPage{
		Code: p.Code, Status: p.Status, Title: speaker.Say(p.said("problem_title")),
		Meaning: speaker.Say(p.said("problem_meaning")), Remedy: speaker.Say(p.said("problem_remedy")),
	})
}
