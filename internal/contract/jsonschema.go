package contract

import (
	"encoding/json"
	"fmt"
	"strings"
)

// dialect is the JSON Schema that JSONSchema writes.
const dialect = "https://json-schema.org/draft/2020-12/schema"

// JSONSchema writes a schema of the contract, with those that it refers to, as a JSON Schema whose address is id. What
// only the contract says (formats of numbers, units as data, what an assumption rests on) is left out: editors show
// descriptions, and a unit stands in the name of its member. Errors: no schema of that name.
func (c *Contract) JSONSchema(name, id string) ([]byte, error) {
	var document struct {
		Components struct {
			Schemas map[string]any `json:"schemas"`
		} `json:"components"`
	}
	if err := json.Unmarshal(c.JSON, &document); err != nil {
		return nil, err
	}
	all, definitions := document.Components.Schemas, map[string]any{}
	if all[name] == nil {
		return nil, fmt.Errorf("the contract has no schema %s", name)
	}
	out, _ := plainSchema(all[name], all, definitions).(map[string]any)
	out["$schema"], out["$id"], out["title"], out["$defs"] = dialect, id, name, definitions
	return json.MarshalIndent(out, "", " ")
}

const componentSchemas = "#/components/schemas/"

// plainSchema returns a schema as JSON Schema has it, and puts those that it refers to into definitions.
func plainSchema(v any, all, definitions map[string]any) any {
	switch s := v.(type) {
	case []any:
		out := make([]any, len(s))
		for i := range s {
			out[i] = plainSchema(s[i], all, definitions)
		}
		return out
	case map[string]any:
		if to, ok := s["$ref"].(string); ok {
			name := strings.TrimPrefix(to, componentSchemas)
			if definitions[name] == nil {
				definitions[name] = plainSchema(all[name], all, definitions)
			}
			return map[string]any{"$ref": "#/$defs/" + name}
		}
		out := map[string]any{}
		for key, value := range s {
			switch {
			case strings.HasPrefix(key, "x-") || key == "format" || key == "example":
			case key == "properties":
				members := map[string]any{}
				for name, member := range value.(map[string]any) {
					members[name] = plainSchema(member, all, definitions)
				}
				out[key] = members
			case key == "default" || key == "enum" || key == "required":
				out[key] = value
			default:
				out[key] = plainSchema(value, all, definitions)
			}
		}
		return out
	}
	return v
}
