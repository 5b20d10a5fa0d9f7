package answer

import (
	"encoding/json"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/api"
	"saltwright/internal/answer/envelope"
	"saltwright/internal/contract"
)

// members walks a struct's JSON members, embedded structs flattened.
func members(t reflect.Type, visit func(name string, f reflect.StructField, omitempty bool)) {
	for i := range t.NumField() {
		f := t.Field(i)
		if f.Anonymous {
			members(f.Type, visit)
			continue
		}
		if !f.IsExported() {
			continue
		}
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if name != "-" {
			visit(name, f, options == "omitempty" || options == "omitzero")
		}
	}
}

// fits holds a Go type against a schema: names, kinds, pointers and required members.
func fits(t *testing.T, at string, typ reflect.Type, ref *openapi3.SchemaRef, request bool) {
	t.Helper()
	require.NotNil(t, ref, at)
	schema := ref.Value
	for len(schema.AllOf) == 1 && schema.Type == nil {
		schema = schema.AllOf[0].Value
	}
	if typ.Kind() == reflect.Pointer {
		typ = typ.Elem()
	}
	if typ == reflect.TypeFor[json.RawMessage]() { // another operation's own request or answer
		assert.Nil(t, schema.Type, at)
		return
	}
	if typ == textType {
		assert.True(t, schema.Type.Is("string"), at)
		return
	}
	switch typ.Kind() {
	case reflect.Struct:
		require.True(t, schema.Type.Is("object"), at)
		seen := map[string]bool{}
		members(typ, func(name string, f reflect.StructField, omitempty bool) {
			where := at + "." + name
			seen[name] = true
			p := schema.Properties[name]
			if !assert.NotNil(t, p, "%s is not in the contract", where) {
				return
			}
			required := slices.Contains(schema.Required, name)
			hasDefault := p.Value.Default != nil
			pointer := f.Type.Kind() == reflect.Pointer
			if request {
				assert.Equal(t, !required && !hasDefault, pointer, "%s: a pointer means optional without default, and "+
					"nothing else", where)
			} else {
				assert.Equal(t, !required, omitempty, "%s: omitempty means not required", where)
			}
			fits(t, where, f.Type, p, request)
		})
		for name := range schema.Properties {
			assert.True(t, seen[name], "%s.%s of the contract has no field", at, name)
		}
	case reflect.Slice:
		require.True(t, schema.Type.Is("array"), at)
		fits(t, at+"[]", typ.Elem(), schema.Items, request)
	case reflect.Float64:
		assert.True(t, schema.Type.Is("number"), at)
	case reflect.Int:
		assert.True(t, schema.Type.Is("integer"), at)
	case reflect.Bool:
		assert.True(t, schema.Type.Is("boolean"), at)
	case reflect.String:
		assert.True(t, schema.Type.Is("string"), at)
	case reflect.Map: // the parameters of a text, by name
		assert.True(t, strings.HasSuffix(at, ".params") && schema.Type == nil, at)
	case reflect.Interface: // envelope.result and a plan in an answer, held to their own types, and assumption.value
		assert.True(t, strings.HasSuffix(at, ".result") || strings.HasSuffix(at, ".value") ||
			strings.HasSuffix(at, ".plan"), at)
	default:
		t.Errorf("%s: %s has no place in a DTO", at, typ.Kind())
	}
}

func TestTypesFitTheContract(t *testing.T) {
	all, err := contract.Load()
	require.NoError(t, err)
	operations, err := Operations(all)
	require.NoError(t, err)
	doc, err := openapi3.NewLoader().LoadFromData(api.OpenAPI)
	require.NoError(t, err)
	checked := 0
	for id, r := range operations {
		o := all.Operation(id)
		op := doc.Paths.Value(o.Path).GetOperation(o.Method)
		if o.Body != nil {
			fits(t, id+" request", r.Request, op.RequestBody.Value.Content.Get("application/json").Schema, true)
			checked++
		}
		if o.Result == nil {
			fits(t, id+" answer", r.Result, op.Responses.Value("200").Value.Content.Get("application/json").Schema,
				false)
			continue
		}
		fits(t, id+" result", r.Result, property(op.Responses.Value("200").Value.Content.Get("application/json").Schema,
			"result"), false)
	}
	assert.NotZero(t, checked)
	schemas := doc.Components.Schemas
	fits(t, "Sources", reflect.TypeOf(sourcesResponse{}), schemas["Sources"], false)
	for name := range schemas {
		if strings.HasSuffix(name, "Answer") && name != "BatchAnswer" {
			kind := reflect.TypeOf(envelope.Envelope{})
			if property(schemas[name], "sensitivity") != nil {
				kind = reflect.TypeOf(studiedEnvelope{})
			}
			fits(t, name, kind, schemas[name], false)
		}
	}
}

// property returns the schema of a member, through allOf.
func property(s *openapi3.SchemaRef, name string) *openapi3.SchemaRef {
	if p, ok := s.Value.Properties[name]; ok {
		return p
	}
	for _, part := range s.Value.AllOf {
		if p := property(part, name); p != nil {
			return p
		}
	}
	return nil
}
