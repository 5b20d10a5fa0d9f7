package bot

import (
	"maps"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.yaml.in/yaml/v3"

	"saltwright/clients/reading"
)

type schema struct {
	Ref        string            `yaml:"$ref"`
	Properties map[string]schema `yaml:"properties"`
	AllOf      []schema          `yaml:"allOf"`
	Required   []string          `yaml:"required"`
	Enum       []any             `yaml:"enum"`
	Unit       string            `yaml:"x-unit"`
	Items      *schema           `yaml:"items"`
}

// Every member that the bot may send exists in the contract, in the unit it is sent
// in, and what the contract requires the bot asks for.
func TestTopicsAgreeWithTheContract(t *testing.T) {
	data, err := os.ReadFile("../../api/openapi.yaml")
	require.NoError(t, err)
	var c struct {
		Paths map[string]map[string]struct {
			OperationID string `yaml:"operationId"`
			RequestBody struct {
				Content map[string]struct {
					Schema schema `yaml:"schema"`
				} `yaml:"content"`
			} `yaml:"requestBody"`
		} `yaml:"paths"`
		Components struct {
			Schemas map[string]schema `yaml:"schemas"`
		} `yaml:"components"`
	}
	require.NoError(t, yaml.Unmarshal(data, &c))
	requests := map[string]schema{}
	for _, item := range c.Paths {
		for _, o := range item {
			s := o.RequestBody.Content["application/json"].Schema
			requests[o.OperationID] = c.Components.Schemas[strings.TrimPrefix(s.Ref, "#/components/schemas/")]
		}
	}
	for _, topic := range topics {
		if topic.Operation == "" || topic.Page {
			continue
		}
		t.Run(topic.Operation, func(t *testing.T) {
			all := c.Components.Schemas
			request := requests[topic.Operation]
			require.NotEmpty(t, properties(all, request))
			demanded := map[string]bool{}
			check := func(member, unit string, required bool) {
				found := at(t, all, request, member)
				demanded[strings.Split(member, ".")[0]] = required || demanded[strings.Split(member, ".")[0]]
				if reading.DimensionOf(unit) != "" && unit != "psu" && unit != "dKH" &&
					!strings.HasPrefix(found.Unit, "that of") {
					assert.Equal(t, unit, found.Unit, member)
				}
			}
			for _, b := range topic.Boxes {
				for _, m := range b.Members {
					check(m, "mm", b.Required)
				}
			}
			for _, m := range topic.Members {
				if topic.Share[m.Member] == nil {
					check(m.Member, m.Unit, m.Required)
				}
			}
			for m, concepts := range topic.Words {
				found := at(t, all, request, m)
				for _, concept := range concepts {
					if found.Enum != nil {
						assert.Contains(t, found.Enum, any(strings.TrimPrefix(concept, m+"_")))
					}
				}
			}
			for _, m := range topic.RequiredWords {
				demanded[m] = true
			}
			for m := range topic.Fixed {
				at(t, all, request, m)
				demanded[strings.Split(m, ".")[0]] = true
			}
			if topic.member(valueMember) != nil {
				demanded[scaleMember] = true
				for _, scale := range scales {
					assert.Contains(t, at(t, all, request, scaleMember).Enum, any(scale))
				}
			}
			if topic.Loads != nil {
				demanded["loads"] = true
			}
			for _, m := range topic.Required {
				demanded[strings.Split(m, ".")[0]] = true
			}
			if topic.Name == "plan-audit" { // its plan is completed by planMembers
				return
			}
			for _, m := range required(all, request) {
				assert.True(t, demanded[m], "%s is required by the contract", m)
			}
			for _, m := range topic.Assumed {
				assert.Contains(t, properties(all, request), strings.Split(m, ".")[0], "an assumption told first")
			}
		})
	}
}

func resolve(all map[string]schema, s schema) schema {
	for s.Ref != "" {
		unit := s.Unit
		s = all[strings.TrimPrefix(s.Ref, "#/components/schemas/")]
		if s.Unit == "" {
			s.Unit = unit
		}
	}
	return s
}

func properties(all map[string]schema, s schema) map[string]schema {
	s = resolve(all, s)
	out := map[string]schema{}
	for _, part := range s.AllOf {
		maps.Copy(out, properties(all, part))
	}
	maps.Copy(out, s.Properties)
	return out
}

func required(all map[string]schema, s schema) []string {
	s = resolve(all, s)
	out := slices.Clone(s.Required)
	for _, part := range s.AllOf {
		out = append(out, required(all, part)...)
	}
	return out
}

// at returns the schema of a member with dots between its levels, where a number is a place in a list.
func at(t *testing.T, all map[string]schema, s schema, member string) schema {
	t.Helper()
	for _, part := range strings.Split(member, ".") {
		s = resolve(all, s)
		if s.Items != nil {
			s = *s.Items
			continue
		}
		next, ok := properties(all, s)[part]
		require.True(t, ok, "%s is not in the contract", member)
		s = next
	}
	return resolve(all, s)
}
