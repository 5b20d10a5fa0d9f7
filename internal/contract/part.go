package contract

import (
	"encoding/json"
	"fmt"
	"strings"
)

// Part returns the document of one calculation, with what it refers to and no more, as JSON.
//
//	name       of the calculation: heater-sizing
//	publicURL  where it is served; empty: the host that is asked
//
// Errors: a calculation that is not, or a reference that leads nowhere, which is a programmer's mistake.
func (c *Contract) Part(name, publicURL string) ([]byte, error) {
	whole, _, err := c.ServedAt(publicURL)
	if err != nil {
		return nil, err
	}
	var document struct {
		OpenAPI    string                                `json:"openapi"`
		Info       json.RawMessage                       `json:"info"`
		Servers    json.RawMessage                       `json:"servers"`
		Security   json.RawMessage                       `json:"security,omitempty"`
		Paths      map[string]json.RawMessage            `json:"paths"`
		Components map[string]map[string]json.RawMessage `json:"components"`
	}
	if err := json.Unmarshal(whole, &document); err != nil {
		return nil, err
	}
	path, ok := document.Paths["/v1/"+name]
	if !ok {
		return nil, fmt.Errorf("the contract has no calculation %s", name)
	}
	kept := map[string]map[string]json.RawMessage{}
	if schemes := document.Components["securitySchemes"]; schemes != nil {
		kept["securitySchemes"] = schemes // named by security, not by reference
	}
	waiting := references(path)
	for len(waiting) > 0 {
		kind, component := waiting[0][0], waiting[0][1]
		waiting = waiting[1:]
		if _, known := kept[kind][component]; known {
			continue
		}
		value, ok := document.Components[kind][component]
		if !ok {
			return nil, fmt.Errorf("%s refers to #/components/%s/%s, which is not", name, kind, component)
		}
		if kept[kind] == nil {
			kept[kind] = map[string]json.RawMessage{}
		}
		kept[kind][component] = value
		waiting = append(waiting, references(value)...)
	}
	document.Paths, document.Components = map[string]json.RawMessage{"/v1/" + name: path}, kept
	return json.Marshal(document)
}

// references finds what a part of the document refers to: kinds and names of components.
func references(part json.RawMessage) [][2]string {
	const mark = `"$ref":"#/components/`
	var out [][2]string
	text := string(part)
	for {
		_, rest, found := strings.Cut(text, mark)
		if !found {
			return out
		}
		at, rest, _ := strings.Cut(rest, `"`)
		kind, name, _ := strings.Cut(at, "/")
		out, text = append(out, [2]string{kind, name}), rest
	}
}
