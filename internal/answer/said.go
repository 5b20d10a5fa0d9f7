package answer

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"saltwright/internal/answer/plan"
	"saltwright/internal/catalogue"
	"saltwright/internal/contract"
	"saltwright/internal/phrase"
)

// reciter says back to a reader what a document says.
type reciter struct {
	voice   *phrase.Voice
	speaker *catalogue.Speaker
}

func reciterFor(r catalogue.Reader) reciter { return reciter{phrase.In(r.Language), r.Speaker()} }

// said lists what a document says, leaf by leaf in the contract's order, with elements by their ids.
func (r reciter) said(s *contract.Schema, value any) []plan.Said { return r.below(s, "", value, nil) }

// below lists what a member says, path being what leads to it, in words.
func (r reciter) below(s *contract.Schema, member string, value any, path []string) []plan.Said {
	switch v := value.(type) {
	case map[string]any:
		var out []plan.Said
		for _, m := range s.Members {
			if below, ok := v[m.Name]; ok && m.Name != "id" && m.Name != "$schema" {
				name := r.voice.Member(m.Name, phrase.Plain(m.Name, m.Schema.Unit))
				out = append(out, r.below(m.Schema, m.Name, below, append(slices.Clone(path), name))...)
			}
		}
		return out
	case []any:
		var out []plan.Said
		var plain []string
		for i, item := range v {
			if _, isObject := item.(map[string]any); isObject && s.Items != nil {
				out = append(out, r.below(s.Items, "", item, append(slices.Clone(path), itemName(item, i)))...)
			} else {
				plain = append(plain, fmt.Sprint(item))
			}
		}
		if len(plain) > 0 {
			out = append(out, plan.Said{Place: strings.Join(path, ", "), Value: strings.Join(plain, ", ")})
		}
		return out
	}
	return []plan.Said{{Place: strings.Join(path, ", "), Value: r.value(s, member, value)}}
}

// value writes a value for the reader.
func (r reciter) value(s *contract.Schema, member string, value any) string {
	var x float64
	var err error
	switch v := value.(type) {
	case json.Number:
		x, err = v.Float64()
	case float64:
		x = v
	case string:
		if len(s.Enum) > 0 {
			return r.voice.Choice(member, strings.ReplaceAll(v, "_", " "))
		}
		return v
	case bool:
		return r.voice.YesNo(v)
	default:
		return fmt.Sprint(v)
	}
	if err != nil {
		return fmt.Sprint(value)
	}
	return r.speaker.Number(x, s.Quantity, s.Unit)
}

// itemName is one of a list: its id, or its number.
func itemName(item any, i int) string {
	if o, ok := item.(map[string]any); ok {
		if id, ok := o["id"].(string); ok && id != "" {
			return id
		}
	}
	return strconv.Itoa(i + 1)
}

// place says where a pointer into a document leads, with elements by their ids.
func (r reciter) place(s *contract.Schema, value any, pointer string) string {
	var words []string
	for _, token := range strings.Split(strings.TrimPrefix(pointer, "#/"), "/") {
		if i, err := strconv.Atoi(token); err == nil && s != nil && s.Items != nil {
			list, _ := value.([]any)
			if value = nil; i < len(list) {
				value = list[i]
			}
			words, s = append(words, itemName(value, i)), s.Items
			continue
		}
		var unit string
		var below *contract.Schema
		if s != nil {
			if m := s.Member(token); m != nil {
				below, unit = m.Schema, m.Schema.Unit
			}
		}
		o, _ := value.(map[string]any)
		value, s = o[token], below
		words = append(words, r.voice.Member(token, phrase.Plain(token, unit)))
	}
	return strings.Join(words, ", ")
}
