package webdocs

import (
	"strings"

	"saltwright/internal/phrase"
)

// planFault is one thing that was refused in a plan, by the words that its form has for it.
func (s *Site) planFault(v *phrase.Voice, document plan, pointer, detail string) fault {
	return fault{Target: partOf(pointer), Name: s.placeInPlan(v, document, pointer),
		Detail: sentence(s.inFormWords(v, detail))}
}

// placeInPlan says where a pointer into a plan leads: the part by its kind and name, the field by its label.
func (s *Site) placeInPlan(v *phrase.Voice, document plan, pointer string) string {
	at := partOf(pointer)
	schema, value, ok := s.find(document, at)
	if !ok {
		return capital(v.Contract(pointerName(pointer, "")))
	}
	where := titleOf(v, at, 1)
	if i := strings.LastIndex(at, "/"); i > 0 {
		where = titleOf(v, at[:i], 1)
		if id, _ := value["id"].(string); id != "" {
			where += " " + id
		}
	}
	rest := strings.Trim(strings.TrimPrefix(strings.TrimPrefix(pointer, "#/"), at), "/")
	if at == rest || schema == nil { // of the tank itself
		return where
	}
	var names []string
	for token := range strings.SplitSeq(rest, "/") {
		m := schema.Member(token)
		if m == nil {
			break
		}
		name, _ := partLabel(v, m)
		names = append(names, name)
		if schema = m.Schema; schema.Items != nil {
			schema = schema.Items
		}
	}
	return strings.Join(append([]string{where}, names...), ", ")
}

// inFormWords says a refusal with the labels of the form in the place of the contract's names.
func (s *Site) inFormWords(v *phrase.Voice, detail string) string {
	return planInWords(v, s.planSchema(), detail)
}
