package contract

import (
	"bytes"
	"context"
	"fmt"
	"strings"
	"sync"

	"github.com/getkin/kin-openapi/openapi3"

	"saltwright/api"
)

// Contract is the whole document, made ready. Do not change what it holds: it
// is shared and safe for concurrent use.
type Contract struct {
	Title, Version, Description string
	Tags                        []Tag
	Operations                  []*Operation // in the order of the document
	Schemas                     []*Schema    // those with names, in the order of the document
	JSON                        []byte       // the document as JSON

	byID map[string]*Operation
}

// Tag is one subject of the contract.
type Tag struct{ Name, Description string }

// Load returns the contract of this program, read once. Errors: a document that
// Parse refuses, which is a mistake of whoever built the program.
var Load = sync.OnceValues(func() (*Contract, error) { return Parse(api.OpenAPI) })

// Parse reads a contract, with its defaults and examples checked. Errors: a
// document that is no OpenAPI, or breaks a rule that the requests are read by.
func Parse(data []byte) (*Contract, error) {
	c, err := parse(data)
	if err != nil {
		return nil, fmt.Errorf("contract: %w", err)
	}
	return c, nil
}

func parse(data []byte) (*Contract, error) {
	doc, err := openapi3.NewLoader().LoadFromData(data)
	if err != nil {
		return nil, err
	}
	if err := doc.Validate(context.Background(), openapi3.EnableSchemaDefaultsValidation()); err != nil {
		return nil, err
	}
	written, err := parseDocument(data)
	if err != nil {
		return nil, err
	}
	c := &Contract{Title: doc.Info.Title, Version: doc.Info.Version, Description: doc.Info.Description}
	c.byID = map[string]*Operation{}
	if c.JSON, err = doc.MarshalJSON(); err != nil {
		return nil, err
	}
	for _, t := range doc.Tags {
		c.Tags = append(c.Tags, Tag{t.Name, t.Description})
	}
	b := &schemas{doc: written, names: map[*openapi3.Schema]string{}, made: map[*openapi3.Schema]*Schema{}}
	if doc.Components != nil {
		named := written.at(written.root, "components", "schemas")
		for _, name := range written.keys(named) {
			// One that only refers to another has no type of its own.
			if s := doc.Components.Schemas[name].Value; b.names[s] == "" {
				b.names[s] = name
			}
		}
		for _, name := range written.keys(named) {
			s, err := b.of(doc.Components.Schemas[name], child(named, name))
			if err != nil {
				return nil, fmt.Errorf("%s: %w", name, err)
			}
			c.Schemas = append(c.Schemas, s)
		}
	}
	paths := written.at(written.root, "paths")
	for _, path := range written.keys(paths) {
		item := doc.Paths.Value(path)
		methods := written.at(paths, path)
		for _, method := range written.keys(methods) {
			if item.Operations()[strings.ToUpper(method)] == nil {
				continue // what all methods share
			}
			o, err := b.operation(path, strings.ToUpper(method), item, methods)
			if err != nil {
				return nil, fmt.Errorf("%s %s: %w", method, path, err)
			}
			if err := c.add(o); err != nil {
				return nil, err
			}
		}
	}
	return c, nil
}

func (c *Contract) add(o *Operation) error {
	if c.byID[o.ID] != nil || o.ID == "" {
		return fmt.Errorf("%s %s: operationId %q is missing or given twice", o.Method, o.Path, o.ID)
	}
	c.byID[o.ID] = o
	c.Operations = append(c.Operations, o)
	o.assumptions = newAssumptions(o.Request, "#")
	if o.Request != nil {
		if err := o.Request.readable(); err != nil {
			return fmt.Errorf("%s: %w", o.ID, err)
		}
	}
	return o.checkPrice()
}

// Operation returns the operation of that operationId, or nil.
func (c *Contract) Operation(id string) *Operation { return c.byID[id] }

// Calculation returns the operation that takes a body and calculates, by the
// last part of its path: what a batch may run. Nil when there is none.
func (c *Contract) Calculation(name string) *Operation {
	for _, o := range c.Operations {
		if o.Body != nil && o.ModelVersion != "" && o.Name() == name {
			return o
		}
	}
	return nil
}

// Schema returns the schema that the contract names so, or nil.
func (c *Contract) Schema(name string) *Schema {
	for _, s := range c.Schemas {
		if s.Name == name {
			return s
		}
	}
	return nil
}

// ServedAt returns the document as JSON and as YAML with the address of its server: that host serves it. Empty stands
// for the host that is asked. Errors: a document that does not name its server once, as "/".
func (c *Contract) ServedAt(publicURL string) (asJSON, asYAML []byte, err error) {
	asJSON, asYAML = c.JSON, api.OpenAPI
	if publicURL == "" {
		return asJSON, asYAML, nil
	}
	for _, one := range []struct {
		document         *[]byte
		server, location string
	}{{&asJSON, `"url":"/"`, `"url":"` + publicURL + `/"`}, {&asYAML, "  - url: /\n",
		"  - url: " + publicURL + "/\n"}} {
		if n := bytes.Count(*one.document, []byte(one.server)); n != 1 {
			return nil, nil, fmt.Errorf("the document names its server %d times as %q; want once", n, one.server)
		}
		*one.document = bytes.Replace(*one.document, []byte(one.server), []byte(one.location), 1)
	}
	return asJSON, asYAML, nil
}
