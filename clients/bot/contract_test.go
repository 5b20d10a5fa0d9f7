package bot

import (
	"os"
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
}

// contractUnits are the units that Quantity.InContractUnit promises.
var contractUnits = map[reading.Dimension]string{
	reading.Length: "mm", reading.Volume: "L", reading.Temperature: "degC", reading.Days: "d", reading.Flow: "L/h",
	reading.Percent: "%", reading.Power: "W", reading.Practical: "1", reading.SpecificGravity: "1",
	reading.Concentration: "g/L",
}

// unitOf writes each dimension of a reading.
var unitOf = map[reading.Dimension]string{
	reading.SpecificGravity: "sg", reading.Practical: "ppt", reading.Absolute: "g/kg", reading.Concentration: "g/l",
	reading.Conductivity: "ms/cm",
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
		t.Run(topic.Operation, func(t *testing.T) {
			request := requests[topic.Operation]
			require.NotEmpty(t, request.Properties)
			demanded := map[string]bool{}
			for _, b := range topic.Boxes {
				require.Equal(t, len(b.Members), len(b.Edges))
				for _, m := range b.Members {
					require.Contains(t, request.Properties, m)
					assert.Equal(t, "mm", request.Properties[m].Unit, m)
					demanded[m] = b.Required
				}
			}
			for _, s := range topic.Slots {
				require.Contains(t, request.Properties, s.Member)
				require.NotEmpty(t, s.Labels, s.Member)
				if s.Member == valueMember {
					for _, instrument := range []string{"", "hydrometer", "refractometer", "brine refractometer"} {
						u := reading.UnitOf(unitOf[s.Dimension])
						require.NotNil(t, u, s.Dimension)
						q := Question{
							Instrument: instrument,
							Values:     map[string]Stated{valueMember: {Quantity: reading.Quantity{Unit: u}}},
						}
						assert.Contains(t, request.Properties[scaleMember].Enum, any(q.scale()))
					}
					demanded[valueMember], demanded[scaleMember] = true, true
					continue
				}
				assert.Equal(t, contractUnits[s.Dimension], request.Properties[s.Member].Unit, s.Member)
				demanded[s.Member] = s.Required
				if s.Required {
					assert.Contains(t, blankUnits, s.Dimension, s.Member)
				}
			}
			if topic.Lid {
				assert.Equal(t, []any{"open", "screen", "closed"}, request.Properties["lid"].Enum)
			}
			for _, m := range request.Required {
				assert.True(t, demanded[m], "%s is required by the contract", m)
			}
			for m, yes := range demanded {
				if yes {
					assert.Contains(t, request.Required, m, "the bot asks for what the contract does not")
				}
			}
			for _, m := range topic.AssumedFirst {
				assert.Contains(t, request.Properties, m, "an assumption told first")
			}
		})
	}
	for member := range memberNames {
		found := false
		for _, topic := range topics {
			_, here := requests[topic.Operation].Properties[member]
			found = found || here
		}
		assert.True(t, found, "%s has a name and is in no request", member)
	}
}
