package assistant

import (
	"fmt"
	"slices"
	"strings"

	"saltwright/internal/catalogue"
	"saltwright/internal/contract"
)

// schemaOf is the schema of a tool's arguments: short, since an assistant carries it along.
func (t tool) schemaOf(o *contract.Operation) map[string]any {
	members, required := map[string]any{}, []string{}
	if t.whole != "" {
		members[t.whole] = map[string]any{"type": "object",
			"description": "the plan as JSON; all of its members stand at /openapi/" + t.operation + ".json"}
		required = append(required, t.whole)
	} else {
		for _, m := range o.Body.Members {
			if m.Required || slices.Contains(t.members, m.Name) {
				members[m.Name] = short(m.Schema)
			}
			if m.Required {
				required = append(required, m.Name)
			}
		}
	}
	members["units"] = map[string]any{"type": "string", "enum": []string{"metric", "us"},
		"description": "of the answer's texts; arguments are always in the units that stand beside them"}
	members["language"] = map[string]any{"type": "string", "enum": catalogue.Languages,
		"description": "of the answer and its page: that of the person you talk to; left out, English"}
	return map[string]any{"type": "object", "properties": members, "required": required}
}

// short is a member's schema without what only a program needs.
func short(s *contract.Schema) map[string]any {
	out := map[string]any{}
	set := func(name string, value any, present bool) {
		if present {
			out[name] = value
		}
	}
	set("type", s.Type, s.Type != "")
	set("enum", s.Enum, len(s.Enum) > 0)
	description := s.Description
	if s.Unit != "" && s.Unit != "1" {
		description = strings.TrimSuffix(description, ".") + ", " + s.Unit
	}
	set("description", description, description != "")
	if s.Minimum != nil {
		out["minimum"] = *s.Minimum
	}
	if s.Maximum != nil {
		out["maximum"] = *s.Maximum
	}
	if s.Items != nil {
		out["items"] = short(s.Items)
	}
	if len(s.Members) == 0 {
		return out
	}
	members, required := map[string]any{}, []string{}
	for _, m := range s.Members {
		members[m.Name] = short(m.Schema)
		if m.Required {
			required = append(required, m.Name)
		}
	}
	out["properties"], out["required"] = members, required
	return out
}

// check finds mistakes in the table of tools: an operation that is not, or a member that its request does not have.
func (t tool) check(all *contract.Contract) (*contract.Operation, error) {
	o := all.Calculation(t.operation)
	if o == nil {
		return nil, fmt.Errorf("tool %s: the contract has no %s", t.name, t.operation)
	}
	for _, name := range t.members {
		if !slices.ContainsFunc(o.Body.Members, func(m *contract.Member) bool { return m.Name == name }) {
			return nil, fmt.Errorf("tool %s: %s has no member %s", t.name, t.operation, name)
		}
	}
	return o, nil
}
