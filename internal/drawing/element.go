package drawing

import "encoding/json"

// element is one object of a plan's document.
type element map[string]any

func (e element) text(member string) string {
	s, _ := e[member].(string)
	return s
}

func (e element) number(member string, otherwise float64) float64 {
	switch v := e[member].(type) {
	case float64:
		return v
	case json.Number:
		if f, err := v.Float64(); err == nil {
			return f
		}
	}
	return otherwise
}

func (e element) object(member string) element {
	o, _ := e[member].(map[string]any)
	return o
}

func (e element) list(member string) []element {
	items, _ := e[member].([]any)
	var out []element
	for _, item := range items {
		if o, ok := item.(map[string]any); ok {
			out = append(out, o)
		}
	}
	return out
}

// names lists the texts of a member that is a text or a list of texts.
func (e element) names(member string) []string {
	if s := e.text(member); s != "" {
		return []string{s}
	}
	items, _ := e[member].([]any)
	var out []string
	for _, item := range items {
		if s, ok := item.(string); ok {
			out = append(out, s)
		}
	}
	return out
}
