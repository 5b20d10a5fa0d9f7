package transport

import (
	_ "embed"
	"fmt"
	"net/http"
	"strings"
	"sync"

	"github.com/labstack/echo/v4"

	"saltwright/internal/contract"
	"saltwright/internal/entity"
)

const contractMedia = "application/vnd.oai.openapi+json;version=3.0"

// links says where the contract is (RFC 8631) and where all of it is listed (RFC 9727).
const links = `</openapi.json>; rel="service-desc"; type="` + contractMedia +
	`", </docs/>; rel="service-doc"; type="text/html", ` +
	`</.well-known/api-catalog>; rel="api-catalog"; type="application/linkset+json"`

// securityExpires ends what security.txt says (RFC 9116: less than a year ahead); a test fails a month before.
const securityExpires = "2027-10-31T00:00:00Z"

// licence is a copy of LICENSE, which an embedding package cannot reach; a test holds them alike.
//
//go:embed licence.txt
var licence []byte

// apiCatalog lists the service's descriptions as a link set (RFC 9727, RFC 9264).
func apiCatalog(publicURL string) (*entity.Entity, error) {
	type link struct {
		Href string `json:"href"`
		Type string `json:"type,omitempty"`
	}
	return fixedJSON(
		`application/linkset+json; profile="https://www.rfc-editor.org/info/rfc9727"`,
		map[string]any{"linkset": []any{map[string]any{
			"anchor": publicURL + "/",
			"service-desc": []link{
				{
					publicURL + "/openapi.json",
					contractMedia,
				}, {publicURL + "/openapi.yaml", "application/vnd.oai.openapi;version=3.0"},
			},
			"service-doc": []link{{publicURL + "/docs/", "text/html"}},
			"status":      []link{{publicURL + "/readyz", "text/plain"}},
		}}},
	)
}

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
	b.WriteString("# saltwright\n\n" +
		"> Calculations for saltwater reef tanks: heating, cooling, top-off, salinity, light, chemistry, and what happens " +
		"to a tank when one part fails. JSON over HTTP; nothing that is sent is stored.\n\n" +
		"Post JSON to a path, or use GET with a query where the page offers it. Numbers are metric, each member names its " +
		"unit; `units=us` writes the texts in US units. Every answer has a headline, key_figures, actions, cautions and " +
		"assumptions. Each link below is a small contract (OpenAPI) of one calculation.\n\n## Calculations\n\n")
	for _, o := range all.Operations {
		if o.Method == http.MethodPost {
			fmt.Fprintf(&b, "- [%s](%s/openapi/%s.json): POST %s\n", o.Summary, publicURL, o.Name(), o.Path)
		}
	}
	fmt.Fprintf(&b, "\n## For assistants and programs\n\n- [Tools](%[1]s/mcp): Model Context Protocol over HTTP\n"+
		"- [Documentation](%[1]s/docs/): pages for people\n- [Whole contract](%[1]s/openapi.json): large\n", publicURL)
	return entity.New("text/plain; charset=utf-8", []byte(b.String()))
}

// securityText says whom to tell of a weakness (RFC 9116).
func securityText(publicURL string) *entity.Entity {
	text := fmt.Sprintf(
		"Contact: mailto:security@saltwright.example\nExpires: %s\nPreferred-Languages: en\n",
		securityExpires,
	)
	if publicURL != "" {
		text += "Canonical: " + publicURL + "/.well-known/security.txt\n"
	}
	return entity.New("text/plain; charset=utf-8", []byte(text))
}
