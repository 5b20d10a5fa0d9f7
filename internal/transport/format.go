package transport

import (
	"reflect"
	"sort"
	"strconv"
	"strings"
	"sync"

	"github.com/getkin/kin-openapi/openapi3"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/words"
)

// format writes texts for the numbers that the contract marks x-formatted, sorted by their place.
func format(s *openapi3.SchemaRef, value reflect.Value, pointer string, u words.Units) []envelope.Formatted {
	return appendFormatted(nil, s, value, pointer, u)
}

func appendFormatted(out []envelope.Formatted, s *openapi3.SchemaRef, v reflect.Value, pointer string, u words.Units) []envelope.Formatted {
	for v.Kind() == reflect.Pointer || v.Kind() == reflect.Interface {
		v = v.Elem() // of nil: invalid, which has no kind below
	}
	if s == nil || s.Value == nil {
		return out
	}
	switch v.Kind() {
	case reflect.Struct:
		for _, m := range membersOf(v.Type()) {
			f := v.FieldByIndex(m.index)
			if m.optional && f.IsZero() {
				continue // left out of the answer
			}
			switch f.Kind() {
			case reflect.String, reflect.Bool:
				continue
			}
			if p := property(s, m.name); p != nil && formats(p) {
				out = appendFormatted(out, p, f, pointer+"/"+escapePointer(m.name), u)
			}
		}
	case reflect.Slice:
		items := itemsOf(s)
		for i := range v.Len() {
			out = appendFormatted(out, items, v.Index(i), pointer+"/"+strconv.Itoa(i), u)
		}
	case reflect.Float64:
		out = append(out, textOf(s, v.Float(), pointer, u))
	case reflect.Int:
		out = append(out, textOf(s, float64(v.Int()), pointer, u))
	}
	return out
}

func textOf(s *openapi3.SchemaRef, x float64, pointer string, u words.Units) envelope.Formatted {
	unit, _ := s.Value.Extensions["x-unit"].(string)
	return envelope.Formatted{Pointer: pointer, Text: words.Text(x, unit, u)}
}

// formatting remembers which schemas hold a number marked x-formatted.
var formatting sync.Map // *openapi3.Schema -> bool

func formats(s *openapi3.SchemaRef) bool {
	if s == nil || s.Value == nil {
		return false
	}
	if known, ok := formatting.Load(s.Value); ok {
		return known.(bool)
	}
	found := s.Value.Extensions["x-formatted"] == true || formats(s.Value.Items)
	for _, p := range s.Value.Properties {
		found = found || formats(p)
	}
	for _, p := range s.Value.AllOf {
		found = found || formats(p)
	}
	formatting.Store(s.Value, found)
	return found
}

// member is one JSON member of a struct.
type member struct {
	name     string
	index    []int
	optional bool
}

var structMembers sync.Map // reflect.Type -> []member

// membersOf lists the JSON members of a struct by name, embedded structs flattened.
func membersOf(t reflect.Type) []member {
	if known, ok := structMembers.Load(t); ok {
		return known.([]member)
	}
	var out []member
	for _, f := range reflect.VisibleFields(t) {
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if f.IsExported() && !f.Anonymous && name != "" && name != "-" {
			out = append(out, member{name, f.Index, options == "omitempty"})
		}
	}
	sort.Slice(out, func(i, j int) bool { return out[i].name < out[j].name })
	structMembers.Store(t, out)
	return out
}
