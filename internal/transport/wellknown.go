package transport

import (
	"fmt"

	"saltwright/internal/entity"
)

const contractMedia = "application/vnd.oai.openapi+json;version=3.0"

// links says where the contract is (RFC 8631) and where all of it is listed (RFC 9727).
const links = `</openapi.json>; rel="service-desc"; type="` + contractMedia +
	`", </docs/>; rel="service-doc"; type="text/html", ` +
	`</.well-known/api-catalog>; rel="api-catalog"; type="application/linkset+json"`

// securityExpires ends what security.txt says (RFC 9116: less than a year ahead); a test fails a month before.
const securityExpires = "2027-10-31T00:00:00Z"

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
