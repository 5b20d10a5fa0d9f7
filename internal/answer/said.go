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
)

// said lists what a document says, leaf by leaf in the contract's order, with elements by their ids.
func said(s *contract.Schema, value any, path []string, speaker *catalogue.Speaker) []plan.Said {
	switch v := value.(type) {
	case map[string]any:
		var out []plan.Said
		for _, m := range s.Members {
			if below, ok := v[m.Name]; ok && m.Name != "id" && m.Name != "$schema" {
				name := leafName(m.Name, m.Schema.Unit)
				out = append(out, said(m.Schema, below, append(slices.Clone(path), name), speaker)...)
			}
		}
		return out
	case []any:
		var out []plan.Said
		var plain []string
		for i, item := range v {
			if _, isObject := item.(map[string]any); isObject && s.Items != nil {
				out = append(out, said(s.Items, item, append(slices.Clone(path), itemName(item, i)), speaker)...)
			} else {
				plain = append(plain, fmt.Sprint(item))
			}
		}
		if len(plain) > 0 {
			out = append(out, plan.Said{Place: strings.Join(path, ", "), Value: strings.Join(plain, ", ")})
		}
		return out
	}
	return []plan.Said{{Place: strings.Join(path, ", "), Value: spoken(value, s, speaker)}}
}

// spoken writes a value for the reader.
func spoken(value any, s *contract.Schema, speaker *catalogue.Speaker) string {
	var x float64
	var err error
	switch v := value.(type) {
	case json.Number:
		x, err = v.Float64()
	case float64:
		x = v
	case string:
		if len(s.Enum) > 0 {
			return strings.ReplaceAll(v, "_", " ")
		}
		return v
	case bool:
		return map[bool]string{true: "yes", false: "no"}[v]
	default:
		return fmt.Sprint(v)
	}
	if err != nil {
		return fmt.Sprint(value)
	}
	return speaker.Number(x, s.Quantity, s.Unit)
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

// unitEndings turn a unit of the contract into the end of a member's name.
var unitEndings = strings.NewReplacer(
	"degC", "c", "%/K", "percent_per_k", "%", "percent", "/", "_", "(", "", ")", "", " ", "_",
)

// leafName is a member's name in words, without its unit.
func leafName(member, unit string) string {
	name := strings.TrimSuffix(member, "_"+strings.ToLower(unitEndings.Replace(unit)))
	return strings.ReplaceAll(strings.TrimSuffix(name, "_psu"), "_", " ")
}

// placeOf says where a pointer into a document leads, with elements by their ids.
func placeOf(s *contract.Schema, value any, pointer string) string {
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
		words = append(words, leafName(token, unit))
	}
	return strings.Join(words, ", ")
}
