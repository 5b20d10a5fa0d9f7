package contract

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/api"
)

func TestContractIsValidWithItsExamples(t *testing.T) {
	doc, err := openapi3.NewLoader().LoadFromData(api.OpenAPI)
	require.NoError(t, err)
	examples, defaults := openapi3.EnableExamplesValidation(), openapi3.EnableSchemaDefaultsValidation()
	require.NoError(t, doc.Validate(context.Background(), examples, defaults))
	assert.Equal(t, "3.0.3", doc.OpenAPI)
}

// Everything comes in the order that the document has it in.
func TestOrderOfTheDocument(t *testing.T) {
	c := load(t)
	text := string(api.OpenAPI)
	last := 0
	for _, o := range c.Operations {
		at := strings.Index(text, "operationId: "+o.ID+"\n")
		assert.Greater(t, at, last, o.ID)
		last = at
	}
	assert.Greater(t, len(c.Operations), 40)
	_, schemas, _ := strings.Cut(text, "\n  schemas:")
	last = -1
	for _, s := range c.Schemas {
		at := strings.Index(schemas, "\n    "+s.Name+":\n")
		assert.Greater(t, at, last, s.Name)
		last = at
	}
	evaporation := c.Operation("postEvaporation").Body.MemberNames()
	assert.Equal(t, []string{"length_mm", "width_mm", "water_c"}, evaporation[:3])
	assert.Equal(t, "about", c.Tags[0].Name)
	assert.True(t, json.Valid(c.JSON))
}

func TestOperations(t *testing.T) {
	c := load(t)
	o := c.Operation("postHeaterSizing")
	assert.Equal(t, [5]string{"POST", "/v1/heater-sizing", "heat", "heater-sizing", "HeaterSizingRequest"},
		[5]string{o.Method, o.Path, o.Tag, o.Name(), o.Body.Name})
	assert.NotEmpty(t, o.ModelVersion)
	assert.True(t, o.HasQueryTwin)
	assert.Same(t, o.Body, c.Operation("getHeaterSizing").Request, "both ways of asking have one type")
	assert.Nil(t, c.Operation("getHeaterSizing").Body)
	assert.False(t, c.Operation("getHeaterSizing").HasQueryTwin)
	require.NotNil(t, o.Result)
	assert.Equal(t, "W", o.Result.Member("recommended_w").Schema.Unit)
	assert.Same(t, o, c.Calculation("heater-sizing"))
	assert.Nil(t, c.Calculation("sources"))
	assert.Nil(t, c.Calculation("batch"))
	assert.Nil(t, c.Operation("postNothing"))
	assert.Nil(t, o.Answer("200", "image/png"))
	for _, o := range c.Operations {
		assert.NotNil(t, o.Answer("422", "application/problem+json"), o.ID)
		for _, e := range o.Examples {
			_, err := o.Read(e.Value, "")
			assert.NoError(t, err, "%s %s", o.ID, e.Name)
		}
	}
}

// Examples keep the order of the document, which a map would lose.
func TestExamplesKeepTheirOrder(t *testing.T) {
	examples := load(t).Operation("postSalinityConversion").Examples
	require.NotEmpty(t, examples)
	last := examples[len(examples)-1]
	assert.Equal(t, "example", last.Name)
	assert.Regexp(t, `^{"scale":"specific_gravity","value":1.026,`, string(last.Value))
}

// What allOf brings in stands as if it were the schema's own.
func TestAllOfIsFlattened(t *testing.T) {
	both, err := Parse([]byte(written(`{"allOf": [
		{"type": "object", "required": ["a"], "properties": {"a": {"type": "number", "minimum": 1}}},
		{"description": "d", "type": "object"}],
		"properties": {"b": {"maximum": 3, "allOf": [
			{"type": "number", "minimum": 2, "x-unit": "W", "x-formatted": true, "enum": [2, 3]}]}}}`, "{}")))
	require.NoError(t, err)
	s := both.Schema("S")
	assert.Equal(t, []string{"a", "b"}, s.MemberNames())
	assert.Equal(t, [2]string{"object", "d"}, [2]string{s.Type, s.Description})
	assert.True(t, s.Member("a").Required)
	b := s.Member("b").Schema
	assert.Equal(t, [2]float64{2, 3}, [2]float64{*b.Minimum, *b.Maximum})
	assert.Equal(t, "W", b.Unit)
	assert.True(t, b.Formatted)
	assert.Equal(t, []string{"2", "3"}, b.Enum)
	assert.Nil(t, s.Member("c"))
	assert.Nil(t, (*Schema)(nil).Member("a"))
}

func TestStudies(t *testing.T) {
	c := load(t)
	taking := 0
	for _, o := range c.Operations {
		if o.Parameter(InQuery, "samples") == nil {
			assert.Empty(t, o.Spreads, o.ID)
			continue
		}
		taking++
		assert.NotEmpty(t, o.Spreads, o.ID)
		assert.NotEmpty(t, o.Targets, o.ID)
		byName := func(a, b NamedSpread) int { return strings.Compare(a.Name, b.Name) }
		assert.True(t, slices.IsSortedFunc(o.Spreads, byName), o.ID)
		for _, x := range o.Spreads {
			assert.LessOrEqual(t, x.Low, x.High, "%s %s", o.ID, x.Name)
			assert.Less(t, x.Minimum, x.Maximum, "%s %s", o.ID, x.Name)
		}
		for _, target := range o.Targets {
			assert.Regexp(t, "^/result/", target.Pointer, o.ID)
			assert.NotEmpty(t, target.Unit, target.Pointer)
		}
	}
	assert.Greater(t, taking, 10)
}

// written is a small contract with one named schema and one operation that takes a request.
func written(schema, request string) string {
	return fmt.Sprintf(`{"openapi": "3.0.3", "info": {"title": "t", "version": "1"},
		"components": {"schemas": {"S": %s}},
		"paths": {"/v1/thing": {"post": {"operationId": "postThing", "x-cost": 1,
			"requestBody": {"content": {"application/json": {"schema": %s}}},
			"responses": {"200": {"description": "ok"}}}}}}`, schema, request)
}

// A contract that requests could not be read by stops the program at its start.
func TestContractsThatAreRefused(t *testing.T) {
	const open = `{"type": "object", "additionalProperties": false, "properties": {"n": {"type": "number"}}}`
	good := written("{}", open)
	_, err := Parse([]byte(good))
	require.NoError(t, err)
	number := func(instead string) string {
		return written("{}", strings.Replace(open, `"type": "number"`, instead, 1))
	}
	operation := func(more string) string { return strings.Replace(good, `"x-cost": 1,`, `"x-cost": 1, `+more, 1) }
	parameter := func(name, schema string) string {
		return operation(fmt.Sprintf(`"parameters": [{"name": %q, "in": "query", "schema": %s}],`, name, schema))
	}
	const other = `"paths": {"/v1/x": {"get": {
		"operationId": "postThing", "x-cost": 1, "responses": {"200": {"description": "ok"}}}},`
	for name, c := range map[string]struct{ document, says string }{
		"nothing":           {"", ""},
		"not YAML":          {"paths: [", ""},
		"not OpenAPI":       {"a: 1", ""},
		"a dead reference":  {written(`{"$ref": "#/components/schemas/T"}`, open), ""},
		"no operationId":    {strings.Replace(good, `"operationId": "postThing", `, "", 1), "operationId"},
		"no cost":           {strings.Replace(good, `"x-cost": 1,`, "", 1), "x-cost"},
		"no list of costs":  {operation(`"x-cost-plus": {"units": 1},`), "no list"},
		"a cost of nothing": {operation(`"x-cost-plus": [{"times": [{"parameter": "n"}]}],`), "units above 0"},
		"a cost by nothing": {operation(`"x-cost-plus": [{"units": 1, "times": []}],`), "times"},
		"a cost by what no request has": {operation(`"x-cost-plus": [{"units": 1, "times": [{"list": "#/n"}]}],`),
			"with a bound"},
		"a cost without a bound": {operation(`"x-cost-plus": [{"units": 1, "times": [{"value": ["#/n"]}]}],`),
			"with a bound"},
		"operationId twice": {
			strings.Replace(good, `"paths": {`, other, 1), "",
		},
		"a default out of range":   {number(`"type": "number", "minimum": 1, "default": 0`), ""},
		"a schema in a circle":     {written(`{"items": {"$ref": "#/components/schemas/S"}}`, open), "holds itself"},
		"any member":               {written("{}", `{"type": "object"}`), "additionalProperties"},
		"any member below":         {number(`"type": "object"`), "n: an object"},
		"oneOf":                    {number(`"oneOf": [{"type": "number"}]`), "oneOf"},
		"nullable":                 {number(`"type": "number", "nullable": true`), "nullable"},
		"an exclusive bound":       {number(`"type": "number", "minimum": 0, "exclusiveMinimum": true`), "exclusive"},
		"a list in a query":        {parameter("q", `{"type": "array", "items": {}}`), "a query has no array"},
		"a body of another kind":   {strings.Replace(good, "application/json", "text/plain", 1), "application/json"},
		"samples without a spread": {parameter("samples", `{"type": "integer"}`), "x-spread"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Parse([]byte(c.document))
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.says)
		})
	}
}
