package transport

import (
	"fmt"
	"reflect"
	"sort"

	"github.com/getkin/kin-openapi/openapi3"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/words"
)

// studiedEnvelope is the envelope of an operation that takes samples.
type studiedEnvelope struct {
	envelope.Envelope
	Sensitivity *sensitivity `json:"sensitivity,omitempty"`
}

func envelopeOf[R any](o *operation, a envelope.Answer[R], u words.Units, in asked) envelope.Envelope {
	e := envelope.Envelope{
		Result: a.Result, Summary: a.Summary(u), Assumptions: append(o.assumedDefaults(in), a.Assumptions...),
		Warnings: envelope.List(a.Warnings), Cautions: envelope.List(a.Cautions),
		Model: envelope.Model{Name: o.path[len("/v1/"):], Version: o.model, Sources: envelope.List(a.Sources)},
	}
	e.Assumptions = envelope.List(e.Assumptions)
	sort.SliceStable(e.Assumptions, func(i, j int) bool { return e.Assumptions[i].Pointer < e.Assumptions[j].Pointer })
	e.Formatted = envelope.List(format(o.result, reflect.ValueOf(a.Result), "/result", u))
	return e
}

// assumedDefaults lists the leaves that the contract's defaults brought in.
func (o *operation) assumedDefaults(in asked) []envelope.Assumption {
	if o.body != nil {
		return defaulted(o.body, in.sent, in.all, "#")
	}
	var out []envelope.Assumption
	given, _ := in.sent.(map[string]any)
	all, _ := in.all.(map[string]any)
	for name, v := range all {
		if _, ok := given[name]; !ok {
			p := o.route.Operation.Parameters.GetByInAndName(openapi3.ParameterInQuery, name)
			out = append(out, defaulted(p.Schema, nil, v, "#/"+name)...)
		}
	}
	return out
}

// defaulted compares what was sent with what the filter made of it; nil in
// sent stands for "not sent".
func defaulted(s *openapi3.SchemaRef, sent, full any, pointer string) []envelope.Assumption {
	switch f := full.(type) {
	case map[string]any:
		given, _ := sent.(map[string]any)
		var out []envelope.Assumption
		for name, v := range f {
			out = append(out, defaulted(property(s, name), given[name], v, pointer+"/"+escapePointer(name))...)
		}
		return out
	case []any:
		given, ok := sent.([]any)
		if !ok {
			return nil // an empty list by default is nothing assumed
		}
		var out []envelope.Assumption
		for i, v := range f {
			out = append(out, defaulted(itemsOf(s), given[i], v, fmt.Sprintf("%s/%d", pointer, i))...)
		}
		return out
	}
	if sent != nil || s == nil || s.Value == nil || full == "" {
		return nil
	}
	note, ok := s.Value.Extensions["x-assumption"].(map[string]any)
	if !ok {
		return nil
	}
	text := func(from map[string]any, key string) string { v, _ := from[key].(string); return v }
	a := envelope.Assumption{
		Pointer: pointer, Value: full, Unit: text(s.Value.Extensions, "x-unit"),
		Why: text(note, "why"), Source: text(note, "source"), Note: text(note, "note"),
	}
	if a.Why == "common_practice" && a.Source == "" {
		a.Source = "CommonPractice"
	}
	return []envelope.Assumption{a}
}
