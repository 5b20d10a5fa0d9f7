package transport

import (
	"maps"
	"net/http"
	"slices"

	"github.com/labstack/echo/v4"

	"saltwright/internal/calc/source"
)

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

// getIndex says what there is, from the contract, by path.
func getIndex(c echo.Context, o *operation) error {
	if _, err := o.read(c); err != nil {
		return err
	}
	doc := o.route.Spec
	out := indexResponse{Name: doc.Info.Title, Version: doc.Info.Version, Contract: "/openapi.json", Operations: []indexedAction{}}
	for _, path := range slices.Sorted(maps.Keys(doc.Paths.Map())) {
		item := doc.Paths.Value(path)
		for _, method := range []string{http.MethodGet, http.MethodPost} {
			if op := item.GetOperation(method); op != nil {
				out.Operations = append(out.Operations, indexedAction{Method: method, Path: path, Summary: op.Summary})
			}
		}
	}
	c.Response().Header().Set("Link", links)
	return writeJSON(c, http.StatusOK, out)
}

type sourcesResponse struct {
	Sources []sourceEntry `json:"sources"`
}

type sourceEntry struct {
	Key      string `json:"key"`
	Citation string `json:"citation"`
	DOI      string `json:"doi,omitempty"`
	Note     string `json:"note"`
}

// listSources is the bibliography.
func listSources(c echo.Context, o *operation) error {
	if _, err := o.read(c); err != nil {
		return err
	}
	out := sourcesResponse{Sources: []sourceEntry{}}
	for _, e := range source.All() {
		out.Sources = append(out.Sources, sourceEntry{Key: e.Key, Citation: e.Citation, DOI: e.DOI, Note: e.Note})
	}
	return writeJSON(c, http.StatusOK, out)
}

type problemPage struct {
	Code    string `json:"code"`
	Status  int    `json:"status"`
	Title   string `json:"title"`
	Meaning string `json:"meaning"`
	Remedy  string `json:"remedy"`
}

// getProblem is what the type of every problem opens.
func getProblem(c echo.Context, o *operation) error {
	if _, err := o.read(c); err != nil {
		return err
	}
	p, ok := lookupProblem(c.Param("code"))
	if !ok {
		return &requestError{code: "not_found"}
	}
	return writeJSON(c, http.StatusOK, problemPage(p))
}
