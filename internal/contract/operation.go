package contract

import (
	"encoding/json"
	"fmt"
	"strings"
	"sync"

	"github.com/getkin/kin-openapi/openapi3"
	"go.yaml.in/yaml/v3"
)

// Operation is one method of one path.
type Operation struct {
	ID, Method, Path string
	Summary          string
	Description      string
	Tag              string
	ModelVersion     string // x-model-version; empty for operations that calculate nothing
	Price            Price

	Parameters []*Parameter
	Body       *Schema // nil where there is none
	Request    *Schema // the body, or what a query means: the body of the POST at the same path
	Result     *Schema // of result in the 200 answer; nil without one
	Examples   []Example
	Answers    []Answer

	HasQueryTwin bool   // a POST whose path has a GET that takes the same as a query
	Packs        string // x-packed of a GET or its POST: what the parameter plan holds, packed; empty: nothing

	Spreads []NamedSpread // of members that nobody stated, in the order of their names
	Targets []Target      // results that a study reports, in the order of their names

	fillers     sync.Map // reflect.Type -> *filler
	assumptions *assumptions
}

const (
	packedParameter = "plan" // the parameter that holds what an operation packs
	wholeRequest    = "#"    // the pointer of an operation that packs all of its request
)

// Parameter is one parameter of a query or a path.
type Parameter struct {
	Name, In    string
	Description string
	Required    bool
	Schema      *Schema
	Example     string

	member bool // of the request; false for one that shapes the answer
	packed bool // it holds what the operation packs
}

// Example is a named value as the document has it, its members in their order.
type Example struct {
	Name    string
	Summary string
	Value   json.RawMessage
}

// Answer is one media type of one status.
type Answer struct {
	Status, Description, Media string
	Schema                     *Schema
	Examples                   []Example
}

// Parameter returns the parameter of that place and name, or nil.
func (o *Operation) Parameter(in, name string) *Parameter {
	for _, p := range o.Parameters {
		if p.In == in && p.Name == name {
			return p
		}
	}
	return nil
}

func (o *Operation) parameterNames(in string) []string {
	var names []string
	for _, p := range o.Parameters {
		if p.In == in {
			names = append(names, p.Name)
		}
	}
	return names
}

// Answer returns the answer of that status and media type, or nil.
func (o *Operation) Answer(status, media string) *Answer {
	for i := range o.Answers {
		if a := &o.Answers[i]; a.Status == status && a.Media == media {
			return a
		}
	}
	return nil
}

const mediaJSON = "application/json"

// operation reads one method of one path.
func (b *schemas) operation(path, method string, item *openapi3.PathItem, methods *yaml.Node) (*Operation, error) {
	from, n := item.GetOperation(method), b.doc.at(methods, strings.ToLower(method))
	o := &Operation{
		ID: from.OperationID, Method: method, Path: path, Summary: from.Summary, Description: from.Description,
		ModelVersion: textIn(from.Extensions, "x-model-version"),
	}
	if len(from.Tags) > 0 {
		o.Tag = from.Tags[0]
	}
	var err error
	if o.Price, err = readPrice(from.Extensions); err != nil {
		return nil, fmt.Errorf("%s: %w", o.ID, err)
	}
	if err := b.parameters(o, from, n); err != nil {
		return nil, err
	}
	if o.Body, o.Examples, err = b.body(from, n); err != nil {
		return nil, err
	}
	o.Request, o.HasQueryTwin = o.Body, o.Body != nil && item.Get != nil
	if o.Body == nil && item.Post != nil {
		if o.Request, _, err = b.body(item.Post, b.doc.at(methods, "post")); err != nil {
			return nil, err
		}
	}
	if item.Get != nil {
		o.Packs = textIn(item.Get.Extensions, "x-packed")
	}
	for _, p := range o.Parameters {
		p.packed = o.Body == nil && o.Packs != "" && p.Name == packedParameter
		p.member = !p.packed && o.Body == nil && p.In == InQuery && o.Request.Member(p.Name) != nil
	}
	if err := b.answers(o, from, n); err != nil {
		return nil, err
	}
	return o, o.study()
}

// study makes ready what an operation that takes samples needs.
func (o *Operation) study() error {
	if o.Parameter(InQuery, "samples") == nil {
		return nil
	}
	var err error
	if o.Spreads, err = spreads(o.Request); err != nil {
		return fmt.Errorf("%s: %w", o.ID, err)
	}
	o.Targets = targets(o.Result, "/result")
	if len(o.Spreads) == 0 || len(o.Targets) == 0 {
		return fmt.Errorf("%s takes samples but has no x-spread or no x-study", o.ID)
	}
	return nil
}

func (b *schemas) parameters(o *Operation, from *openapi3.Operation, n *yaml.Node) error {
	for i, ref := range from.Parameters {
		p := ref.Value
		s, err := b.of(p.Schema, child(b.doc.resolve(b.doc.items(b.doc.at(n, "parameters"))[i]), "schema"))
		if err != nil {
			return fmt.Errorf("parameter %s: %w", p.Name, err)
		}
		scalars := s.Type != "object" && s.Type != "array"
		if s.Type == "array" && p.Style == "form" && p.Explode != nil && !*p.Explode && s.Items != nil {
			scalars = s.Items.Type == "number" || s.Items.Type == "integer" || len(s.Items.Enum) > 0 // without commas
		}
		if !scalars {
			return fmt.Errorf("parameter %s: a query has no %s", p.Name, s.Type)
		}
		one := &Parameter{Name: p.Name, In: p.In, Description: p.Description, Required: p.Required, Schema: s}
		if p.Example != nil {
			one.Example = fmt.Sprint(p.Example)
		}
		o.Parameters = append(o.Parameters, one)
	}
	return nil
}

func (b *schemas) body(from *openapi3.Operation, n *yaml.Node) (*Schema, []Example, error) {
	if from.RequestBody == nil {
		return nil, nil, nil
	}
	media := from.RequestBody.Value.Content.Get(mediaJSON)
	if media == nil {
		return nil, nil, fmt.Errorf("%s: a body is %s", from.OperationID, mediaJSON)
	}
	content := b.doc.at(n, "requestBody", "content", mediaJSON)
	s, err := b.of(media.Schema, child(content, "schema"))
	if err != nil {
		return nil, nil, err
	}
	examples, err := b.examples(media, content)
	return s, examples, err
}

func (b *schemas) examples(media *openapi3.MediaType, content *yaml.Node) ([]Example, error) {
	var out []Example
	list := b.doc.at(content, "examples")
	for _, name := range b.doc.keys(list) {
		value, err := jsonOf(b.doc.at(list, name, "value"))
		if err != nil {
			return nil, err
		}
		out = append(out, Example{name, media.Examples[name].Value.Summary, value})
	}
	return out, nil
}

func (b *schemas) answers(o *Operation, from *openapi3.Operation, n *yaml.Node) error {
	responses := b.doc.at(n, "responses")
	for _, status := range b.doc.keys(responses) {
		ref := from.Responses.Value(status)
		if ref == nil {
			continue // an extension
		}
		contents := b.doc.at(responses, status, "content")
		for _, kind := range b.doc.keys(contents) {
			a := Answer{Status: status, Media: kind}
			if ref.Value.Description != nil {
				a.Description = *ref.Value.Description
			}
			media, content := ref.Value.Content[kind], b.doc.at(contents, kind)
			var err error
			if a.Schema, err = b.of(media.Schema, child(content, "schema")); err == nil {
				a.Examples, err = b.examples(media, content)
			}
			if err != nil {
				return fmt.Errorf("%s %s: %w", o.ID, status, err)
			}
			o.Answers = append(o.Answers, a)
		}
	}
	if ok := o.Answer("200", mediaJSON); ok != nil {
		if m := ok.Schema.Member("result"); m != nil {
			o.Result = m.Schema
		}
	}
	return nil
}

// Name returns the last part of the path: what a batch calls a calculation by.
func (o *Operation) Name() string { return strings.TrimPrefix(o.Path, "/v1/") }
