package transport

import (
	"fmt"
	"net/http"
	"strings"
	"sync"

	"github.com/labstack/echo/v4"

	"saltwright/internal/contract"
	"saltwright/internal/entity"
)

// parts are the documents of single calculations, each made when it is first asked for.
func parts(all *contract.Contract, publicURL string) map[string]func() (*entity.Entity, error) {
	out := map[string]func() (*entity.Entity, error){}
	for _, o := range all.Operations {
		if o.Method == http.MethodPost {
			out[o.Name()+".json"] = sync.OnceValues(func() (*entity.Entity, error) {
				data, err := all.Part(o.Name(), publicURL)
				if err != nil {
					return nil, err
				}
				return entity.New(contractMedia, data), nil
			})
		}
	}
	return out
}

// partOf serves the document of one calculation.
func partOf(all map[string]func() (*entity.Entity, error)) echo.HandlerFunc {
	return func(c echo.Context) error {
		made, ok := all[c.Param("name")]
		if !ok {
			return &requestError{code: "not_found"}
		}
		e, err := made()
		if err != nil {
			return err
		}
		return fixed(e)(c)
	}
}

// plainIndex lists in plain text, for language models, what there is and where it is described.
func plainIndex(all *contract.Contract, publicURL string) *entity.Entity {
	var b strings.Builder
	b.WriteString("# saltwright\n\n> Calculations for saltwater reef tanks: heating, cooling, top-off, salinity, " +
		"light, chemistry, and what happens to a tank when one part fails. JSON over HTTP; nothing that is sent is " +
		"stored.\n\n" +
		"Post JSON to a path, or use GET with a query where the page offers it. Numbers are metric, each member " +
		"names its unit; `units=us` writes the texts in US units. Every answer has a headline, key_figures, actions, " +
		"cautions and assumptions. Each link below is a small contract (OpenAPI) of one calculation.\n\n" +
		"## Calculations\n\n")
	for _, o := range all.Operations {
		if o.Method == http.MethodPost {
			fmt.Fprintf(&b, "- [%s](%s/openapi/%s.json): POST %s\n", o.Summary, publicURL, o.Name(), o.Path)
		}
	}
	fmt.Fprintf(&b, "\n## For assistants and programs\n\n- [Tools](%[1]s/mcp): Model Context Protocol over HTTP\n"+
		"- [Documentation](%[1]s/docs/): pages for people\n- [Whole contract](%[1]s/openapi.json): large\n", publicURL)
	return entity.New("text/plain; charset=utf-8", []byte(b.String()))
}
