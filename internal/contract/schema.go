package contract

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/getkin/kin-openapi/openapi3"
	"go.yaml.in/yaml/v3"
)

// Schema is one type of the contract. What allOf brings in stands in it as if it
// were its own, so a schema with a description of its own has the members, the
// type and the name of the one it refers to. Do not change it: it is shared.
type Schema struct {
	Name        string // of a schema that the contract names, empty otherwise
	Type        string // object, array, string, number, integer or boolean; empty: any JSON
	Format      string
	Description string
	Unit        string // x-unit
	Quantity    string // x-quantity, of the catalogue; empty: what the unit is usually of
	Pattern     string

	Minimum, Maximum                         *float64
	MinLength, MaxLength, MinItems, MaxItems *int
	Enum                                     []string

	Default     any    // decoded, its numbers as float64; nil without one
	DefaultText string // as the document has it, lists and objects as JSON

	Assumption *Assumption // x-assumption: what a default is based on
	Spread     *Spread     // x-spread: how unsure a member is that nobody stated
	Formatted  bool        // x-formatted: the answer has a text for this number
	Studied    bool        // x-study: a study reports this number

	Members []*Member
	Items   *Schema // of an array

	checker  *openapi3.Schema
	index    map[string]*Member
	choices  []any // Enum, boxed once
	anything bool  // every JSON value passes
}

// Member is one member of an object.
type Member struct {
	Name     string
	Required bool
	Schema   *Schema
}

// Assumption is what the contract says of a default that the answer reports as assumed.
type Assumption struct {
	Why    string `json:"why"`              // default, common_practice, source or derived
	Source string `json:"source,omitempty"` // a key of the bibliography
	Note   string `json:"note,omitempty"`
}

// Spread is how unsure a member is that nobody stated. Low and High are its
// edges; where Of is set they are multiples of what that pointer names in the
// answer, and where AboutAssumed is set the edges are Minus below and Plus above
// what the answer assumed.
type Spread struct {
	Low, High    float64
	Expected     *float64 // nil: the default, or what the answer assumed
	Minus, Plus  float64
	AboutAssumed bool
	Of           string
	Fixed        *float64 // not varied: set to this for the study
}

func byName(a, b *Member) int { return cmp.Compare(a.Name, b.Name) }

// Member returns the member of that name, or nil; nil of a nil schema too.
func (s *Schema) Member(name string) *Member {
	if s == nil {
		return nil
	}
	return s.index[name]
}

// MemberNames lists the names of the members in the document's order.
func (s *Schema) MemberNames() []string {
	names := make([]string, len(s.Members))
	for i, m := range s.Members {
		names[i] = m.Name
	}
	return names
}

// schemas makes the view of every schema once.
type schemas struct {
	doc   document
	names map[*openapi3.Schema]string
	made  map[*openapi3.Schema]*Schema
}

func (b *schemas) of(ref *openapi3.SchemaRef, n *yaml.Node) (*Schema, error) {
	if ref == nil || ref.Value == nil {
		return nil, fmt.Errorf("a schema is missing")
	}
	if s, met := b.made[ref.Value]; met {
		if s == nil {
			return nil, fmt.Errorf("a schema holds itself; requests and answers are read by schemas that end")
		}
		return s, nil
	}
	b.made[ref.Value] = nil
	s := &Schema{checker: ref.Value, Name: b.names[ref.Value], index: map[string]*Member{}}
	if err := b.fill(s, ref.Value, b.doc.resolve(n)); err != nil {
		return nil, err
	}
	for i, part := range ref.Value.AllOf {
		p, err := b.of(part, b.doc.items(b.doc.at(n, "allOf"))[i])
		if err != nil {
			return nil, err
		}
		s.take(p)
	}
	for _, m := range s.Members {
		s.index[m.Name] = m
	}
	if s.Type == "string" {
		for _, text := range s.Enum {
			s.choices = append(s.choices, text)
		}
	}
	s.anything = ref.Value.IsEmpty()
	b.made[ref.Value] = s
	return s, nil
}

// readable refuses what requests cannot be read by: an object that takes any
// member, null, and keywords that violations have no words for.
func (s *Schema) readable() error {
	c := s.checker
	switch {
	case s.Type == "object" && len(c.AllOf) == 0 && (c.AdditionalProperties.Has == nil || *c.AdditionalProperties.Has):
		return fmt.Errorf("an object of a request needs additionalProperties: false")
	case len(c.OneOf) > 0 || len(c.AnyOf) > 0 || c.Not != nil || c.Discriminator != nil:
		return fmt.Errorf("a request has no oneOf, anyOf or not")
	case c.Nullable || c.ReadOnly || c.WriteOnly:
		return fmt.Errorf("a request has no nullable, readOnly or writeOnly")
	case c.MultipleOf != nil || c.UniqueItems || c.ExclusiveMin.IsSet() || c.ExclusiveMax.IsSet() ||
		c.MinProps > 0 || c.MaxProps != nil:
		return fmt.Errorf("a request has no multipleOf, uniqueItems, exclusive bounds or bounds of members")
	}
	for _, m := range s.Members {
		if err := m.Schema.readable(); err != nil {
			return fmt.Errorf("%s: %w", m.Name, err)
		}
	}
	if s.Items != nil {
		return s.Items.readable()
	}
	return nil
}

// fill reads what the schema says itself.
func (b *schemas) fill(s *Schema, from *openapi3.Schema, n *yaml.Node) error {
	if kinds := from.Type.Slice(); len(kinds) > 1 {
		return fmt.Errorf("a schema has the types %v; one is all that a request is read by", kinds)
	} else if len(kinds) == 1 {
		s.Type = kinds[0]
	}
	s.Format, s.Description, s.Pattern = from.Format, from.Description, from.Pattern
	s.Minimum, s.Maximum = from.Min, from.Max
	s.MinLength, s.MinItems = atLeast(from.MinLength), atLeast(from.MinItems)
	s.MaxLength, s.MaxItems = atMost(from.MaxLength), atMost(from.MaxItems)
	s.Enum = texts(from.Enum)
	if n := b.doc.at(n, "default"); n != nil {
		s.Default, s.DefaultText = floats(from.Default), n.Value
		if n.Kind != yaml.ScalarNode {
			text, err := jsonOf(n)
			if err != nil {
				return err
			}
			s.DefaultText = string(text)
		}
	}
	s.extend(from.Extensions)
	for _, name := range b.doc.keys(b.doc.at(n, "properties")) {
		m, err := b.of(from.Properties[name], child(b.doc.at(n, "properties"), name))
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		s.Members = append(s.Members, &Member{name, slices.Contains(from.Required, name), m})
	}
	if from.Items != nil {
		var err error
		s.Items, err = b.of(from.Items, child(n, "items"))
		return err
	}
	return nil
}

// extend reads the extensions that are the contract's own.
func (s *Schema) extend(said map[string]any) {
	s.Unit, s.Quantity = textIn(said, "x-unit"), textIn(said, "x-quantity")
	s.Formatted, s.Studied = said["x-formatted"] == true, said["x-study"] == true
	if note, ok := said["x-assumption"].(map[string]any); ok {
		s.Assumption = &Assumption{textIn(note, "why"), textIn(note, "source"), textIn(note, "note")}
		if s.Assumption.Why == "common_practice" && s.Assumption.Source == "" {
			s.Assumption.Source = "CommonPractice"
		}
	}
	if x, ok := said["x-spread"].(map[string]any); ok {
		number := func(key string) float64 {
			if f := numberIn(x, key); f != nil {
				return *f
			}
			return 0
		}
		s.Spread = &Spread{
			Low: number("low"), High: number("high"), Minus: number("minus"), Plus: number("plus"),
			AboutAssumed: numberIn(x, "minus") != nil, Of: textIn(x, "of"),
			Expected: numberIn(x, "expected"), Fixed: numberIn(x, "fixed"),
		}
	}
}

// take adds what a part of allOf says; what the schema says itself stands.
func (s *Schema) take(p *Schema) {
	own := func(a, b string) string {
		if a != "" {
			return a
		}
		return b
	}
	s.Name, s.Type, s.Format = own(s.Name, p.Name), own(s.Type, p.Type), own(s.Format, p.Format)
	s.Description, s.Unit, s.Pattern = own(s.Description, p.Description), own(s.Unit, p.Unit), own(s.Pattern, p.Pattern)
	first(&s.Minimum, p.Minimum)
	first(&s.Maximum, p.Maximum)
	first(&s.MinLength, p.MinLength)
	first(&s.MaxLength, p.MaxLength)
	first(&s.MinItems, p.MinItems)
	first(&s.MaxItems, p.MaxItems)
	first(&s.Assumption, p.Assumption)
	first(&s.Spread, p.Spread)
	first(&s.Items, p.Items)
	s.Formatted, s.Studied = s.Formatted || p.Formatted, s.Studied || p.Studied
	if s.Enum == nil {
		s.Enum = p.Enum
	}
	if s.Default == nil {
		s.Default, s.DefaultText = p.Default, p.DefaultText
	}
	s.Members = append(slices.Clip(p.Members), s.Members...)
}

func first[T any](to **T, from *T) {
	if *to == nil {
		*to = from
	}
}

func atLeast(n uint64) *int {
	if n == 0 {
		return nil
	}
	i := int(n) // #nosec G115 -- a bound of the contract, far below 2^63
	return &i
}

func atMost(n *uint64) *int {
	if n == nil {
		return nil
	}
	i := int(*n) // #nosec G115 -- a bound of the contract, far below 2^63
	return &i
}

func texts(values []any) []string {
	var list []string
	for _, v := range values {
		list = append(list, fmt.Sprint(v))
	}
	return list
}

func textIn(from map[string]any, key string) string {
	v, _ := from[key].(string)
	return v
}

func numberIn(from map[string]any, key string) *float64 {
	if f, ok := floats(from[key]).(float64); ok {
		return &f
	}
	return nil
}

// floats returns a decoded value with every number as float64.
func floats(v any) any {
	switch x := v.(type) {
	case int:
		return float64(x)
	case int64:
		return float64(x)
	case uint64:
		return float64(x)
	case []any:
		out := make([]any, len(x))
		for i := range x {
			out[i] = floats(x[i])
		}
		return out
	case map[string]any:
		out := make(map[string]any, len(x))
		for name := range x {
			out[name] = floats(x[name])
		}
		return out
	}
	return v
}
