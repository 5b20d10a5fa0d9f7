package webdocs

import (
	"errors"
	"net/url"
	"strings"

	"saltwright/clients/reading"
	"saltwright/internal/phrase"
)

// read takes the fields of a form that was sent into the part. What could not be read is said at its field.
func (f *partForm) read(voice *phrase.Voice, sent url.Values, part plan, us bool) {
	for _, list := range [][]planField{f.First, f.More} {
		for i := range list {
			one := &list[i]
			written, there := sent[one.Name]
			if one.Checks != nil {
				if chosen := sentTexts(written); len(chosen) > 0 || one.member.Required {
					part[one.member.Name] = chosen
				} else {
					delete(part, one.member.Name)
				}
				continue
			}
			if !there {
				continue
			}
			text := strings.TrimSpace(written[0])
			if text == one.Value && !f.New {
				continue // as it stood, to its last digit
			}
			one.Value = text
			v, err := one.value(text, us)
			if err != nil {
				one.Error = sentence(unclearIn(voice, err, unitFor(one.member.Schema.Unit, us)))
				f.Errors = append(f.Errors, fault{one.ID, one.Name, one.Label, one.Error})
				f.Open = true
				continue
			}
			put(part, one.tokens, v)
		}
	}
}

func sentTexts(texts []string) []any {
	out := []any{}
	for _, t := range texts {
		if t != "" {
			out = append(out, t)
		}
	}
	return out
}

// value reads what was written into a field; nil for what was left empty.
func (f *planField) value(text string, us bool) (any, error) {
	switch {
	case text == "" && f.Required:
		return nil, errors.New("is needed")
	case text == "":
		return nil, nil
	case f.member.Schema.Type == "boolean":
		return text == "true", nil
	case f.member.Schema.Type == "number" || f.member.Schema.Type == "integer":
		return reading.Field(text, wanted(f.member, us))
	}
	return text, nil
}

// put sets a member of a part, or of an object in it; nil takes it away, and the object with its last member.
func put(part plan, tokens []string, v any) {
	if len(tokens) > 1 {
		inner, _ := part[tokens[0]].(plan)
		if inner == nil {
			if v == nil {
				return
			}
			inner = plan{}
		}
		put(inner, tokens[1:], v)
		part[tokens[0]] = inner
		if len(inner) == 0 {
			delete(part, tokens[0])
		}
		return
	}
	if v == nil {
		delete(part, tokens[0])
		return
	}
	part[tokens[0]] = v
}

// rename puts an element's new id wherever a member names the old one.
func rename(v any, old, id string) {
	switch v := v.(type) {
	case []any:
		for i := range v {
			rename(v[i], old, id)
		}
	case plan:
		for name, inner := range v {
			if refers[name] == nil {
				rename(inner, old, id)
				continue
			}
			if inner == old {
				v[name] = id
			}
			list, _ := inner.([]any)
			for i := range list {
				if list[i] == old {
					list[i] = id
				}
			}
		}
	}
}
