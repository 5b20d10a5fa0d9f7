package httpapi

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"sort"

	"github.com/getkin/kin-openapi/openapi3"
)

// units is how texts are written; numbers are metric always.
type units string

const (
	metric units = "metric"
	us     units = "us"
)

// answer is what a calculation gives back to the transport.
type answer[R any] struct {
	Result      R
	Summary     func(u units) string
	Assumptions []assumption
	Warnings    []warning
	Cautions    []caution
	Sources     []string // bibliography keys of the model
}

type assumption struct {
	Pointer string `json:"pointer"`
	Value   any    `json:"value"`
	Unit    string `json:"unit,omitempty"`
	Why     string `json:"why"`
	Source  string `json:"source,omitempty"`
	Note    string `json:"note,omitempty"`
}

type warning struct {
	Code    string `json:"code"`
	Message string `json:"message"`
	Pointer string `json:"pointer,omitempty"`
}

type caution struct {
	Code    string `json:"code"`
	Message string `json:"message"`
}

type model struct {
	Name    string   `json:"name"`
	Version string   `json:"version"`
	Sources []string `json:"sources"`
}

type formatted struct {
	Pointer string `json:"pointer"`
	Text    string `json:"text"`
}

type envelope struct {
	Result      any          `json:"result"`
	Summary     string       `json:"summary"`
	Formatted   []formatted  `json:"formatted"`
	Assumptions []assumption `json:"assumptions"`
	Warnings    []warning    `json:"warnings"`
	Cautions    []caution    `json:"cautions"`
	Model       model        `json:"model"`
}

// studiedEnvelope is the envelope of an operation that takes samples.
type studiedEnvelope struct {
	envelope
	Sensitivity *sensitivity `json:"sensitivity,omitempty"`
}

func envelopeOf[R any](o *operation, a answer[R], u units, in asked) envelope {
	e := envelope{
		Result: a.Result, Summary: a.Summary(u), Assumptions: append(o.assumedDefaults(in), a.Assumptions...),
		Warnings: list(a.Warnings), Cautions: list(a.Cautions),
		Model: model{Name: o.path[len("/v1/"):], Version: o.model, Sources: list(a.Sources)},
	}
	e.Assumptions = list(e.Assumptions)
	sort.SliceStable(e.Assumptions, func(i, j int) bool { return e.Assumptions[i].Pointer < e.Assumptions[j].Pointer })
	e.Formatted = list(format(o.result, reflect.ValueOf(a.Result), "/result", u))
	return e
}

func decodeAny(data []byte) (any, error) {
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	var v any
	if err := dec.Decode(&v); err != nil {
		return nil, fmt.Errorf("decoding our own JSON: %w", err)
	}
	return v, nil
}

// assumedDefaults lists the leaves that the contract's defaults brought in.
func (o *operation) assumedDefaults(in asked) []assumption {
	if o.body != nil {
		return defaulted(o.body, in.sent, in.all, "#")
	}
	var out []assumption
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
func defaulted(s *openapi3.SchemaRef, sent, full any, pointer string) []assumption {
	switch f := full.(type) {
	case map[string]any:
		given, _ := sent.(map[string]any)
		var out []assumption
		for name, v := range f {
			out = append(out, defaulted(property(s, name), given[name], v, pointer+"/"+escapePointer(name))...)
		}
		return out
	case []any:
		given, ok := sent.([]any)
		if !ok {
			return nil // an empty list by default is nothing assumed
		}
		var out []assumption
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
	a := assumption{
		Pointer: pointer, Value: full, Unit: text(s.Value.Extensions, "x-unit"),
		Why: text(note, "why"), Source: text(note, "source"), Note: text(note, "note"),
	}
	if a.Why == "common_practice" && a.Source == "" {
		a.Source = "CommonPractice"
	}
	return []assumption{a}
}
