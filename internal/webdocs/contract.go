package webdocs

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"go.yaml.in/yaml/v3"
)

// contract is what the pages show of api/openapi.yaml, in the document's own order.
type contract struct {
	title, version, description string
	operations                  []*operation
	tags                        []tag
	problems                    []string // codes, in the order of the contract
	schemas                     []*schema
	byName                      map[string]*schema
	root                        *yaml.Node
}

type tag struct{ Name, Description string }

// operation is one method of one path.
type operation struct {
	ID, Method, Path, Summary, Description, Tag, Model string
	Parameters                                         []*parameter
	Body                                               *schema
	Examples                                           []example // requests by name
	Answers                                            []answer
}

type parameter struct {
	Name, In, Description string
	Required              bool
	Schema                *schema
}

type answer struct {
	Status, Description, Media string
	Schema                     *schema
	Example                    string // JSON, or nothing
}

type example struct {
	Name string
	Node *yaml.Node
}

// schema is one type; Name is set for those that the contract names.
type schema struct {
	Name, Kind, Format, Description, Unit, Pattern  string
	Minimum, Maximum, MaxLength, MinItems, MaxItems string
	AboveMinimum, BelowMaximum                      bool
	Default                                         *string
	Why                                             string // of the default
	Enum                                            []string
	Members                                         []*member
	Items                                           *schema
}

type member struct {
	Name     string
	Required bool
	Schema   *schema
}

func (s *schema) member(name string) *member {
	if s == nil {
		return nil
	}
	for _, m := range s.Members {
		if m.Name == name {
			return m
		}
	}
	return nil
}

func readContract(data []byte) (*contract, error) {
	var doc yaml.Node
	if err := yaml.Unmarshal(data, &doc); err != nil {
		return nil, fmt.Errorf("webdocs: the contract: %w", err)
	}
	if len(doc.Content) != 1 {
		return nil, errors.New("webdocs: the contract is empty")
	}
	c := &contract{root: doc.Content[0], byName: map[string]*schema{}}
	info := at(c.root, "info")
	c.title, c.version, c.description = text(info, "title"), text(info, "version"), text(info, "description")
	for _, n := range items(at(c.root, "tags")) {
		c.tags = append(c.tags, tag{text(n, "name"), text(n, "description")})
	}
	var failed error
	each(at(c.root, "components", "schemas"), func(name string, _ *yaml.Node) {
		s, err := c.named(name)
		failed = errors.Join(failed, err)
		c.schemas = append(c.schemas, s)
	})
	each(at(c.root, "paths"), func(path string, methods *yaml.Node) {
		each(methods, func(method string, n *yaml.Node) {
			o, err := c.operation(strings.ToUpper(method), path, n)
			failed = errors.Join(failed, err)
			c.operations = append(c.operations, o)
		})
	})
	if failed != nil {
		return nil, fmt.Errorf("webdocs: the contract: %w", failed)
	}
	for _, o := range c.operations {
		if o.ID == "getProblem" && len(o.Parameters) > 0 {
			c.problems = o.Parameters[0].Schema.Enum
		}
	}
	return c, nil
}

func (c *contract) operation(method, path string, n *yaml.Node) (*operation, error) {
	o := &operation{ID: text(n, "operationId"), Method: method, Path: path, Summary: text(n, "summary"), Description: text(n, "description"), Model: text(n, "x-model-version")}
	if tags := items(at(n, "tags")); len(tags) > 0 {
		o.Tag = tags[0].Value
	}
	for _, raw := range items(at(n, "parameters")) {
		p, err := c.resolve(raw)
		if err != nil {
			return nil, err
		}
		s, err := c.schema(at(p, "schema"))
		if err != nil {
			return nil, err
		}
		o.Parameters = append(o.Parameters, &parameter{text(p, "name"), text(p, "in"), text(p, "description"), text(p, "required") == "true", s})
	}
	if content := at(n, "requestBody", "content", "application/json"); content != nil {
		var err error
		if o.Body, err = c.schema(at(content, "schema")); err != nil {
			return nil, err
		}
		each(at(content, "examples"), func(name string, raw *yaml.Node) {
			var e *yaml.Node
			if e, err = c.resolve(raw); err == nil {
				o.Examples = append(o.Examples, example{name, at(e, "value")})
			}
		})
		if err != nil {
			return nil, err
		}
	}
	var failed error
	each(at(n, "responses"), func(status string, raw *yaml.Node) {
		failed = errors.Join(failed, c.answers(o, status, raw))
	})
	return o, failed
}

func (c *contract) answers(o *operation, status string, raw *yaml.Node) error {
	r, err := c.resolve(raw)
	if err != nil {
		return err
	}
	var failed error
	each(at(r, "content"), func(media string, content *yaml.Node) {
		a := answer{Status: status, Description: text(r, "description"), Media: media}
		if a.Schema, err = c.schema(at(content, "schema")); err != nil {
			failed = errors.Join(failed, err)
			return
		}
		each(at(content, "examples"), func(_ string, raw *yaml.Node) {
			e, err := c.resolve(raw)
			if err != nil {
				failed = errors.Join(failed, err)
				return
			}
			a.Example = nodeJSON(at(e, "value"))
		})
		o.Answers = append(o.Answers, a)
	})
	return failed
}

// named returns a schema of the contract by its name, once.
func (c *contract) named(name string) (*schema, error) {
	if s := c.byName[name]; s != nil {
		return s, nil
	}
	n, err := c.resolve(at(c.root, "components", "schemas", name))
	if n == nil || err != nil {
		return nil, fmt.Errorf("no schema %s", name)
	}
	s := &schema{Name: name}
	c.byName[name] = s // before its members, should it hold itself
	return s, c.fill(s, n)
}

const schemaPrefix = "#/components/schemas/"

func (c *contract) schema(n *yaml.Node) (*schema, error) {
	if n == nil {
		return nil, errors.New("a schema is missing")
	}
	if ref := text(n, "$ref"); ref != "" {
		if name, ok := strings.CutPrefix(ref, schemaPrefix); ok && !strings.Contains(name, "/") {
			return c.named(name)
		}
		target, err := c.resolve(n)
		if err != nil {
			return nil, err
		}
		return c.schema(target)
	}
	if all := items(at(n, "allOf")); len(all) == 1 { // a named schema with a description of its own
		base, err := c.schema(all[0])
		if err != nil {
			return nil, err
		}
		s := *base
		if d := text(n, "description"); d != "" {
			s.Description = d
		}
		return &s, nil
	}
	s := &schema{}
	return s, c.fill(s, n)
}

func (c *contract) fill(s *schema, n *yaml.Node) error {
	s.Kind, s.Format, s.Description, s.Unit = text(n, "type"), text(n, "format"), text(n, "description"), text(n, "x-unit")
	s.Minimum, s.Maximum = text(n, "minimum"), text(n, "maximum")
	s.MaxLength, s.MinItems, s.MaxItems, s.Pattern = text(n, "maxLength"), text(n, "minItems"), text(n, "maxItems"), text(n, "pattern")
	s.AboveMinimum, s.BelowMaximum = text(n, "exclusiveMinimum") == "true", text(n, "exclusiveMaximum") == "true"
	s.Why = text(at(n, "x-assumption"), "why")
	if d := at(n, "default"); d != nil {
		value := d.Value
		if d.Kind != yaml.ScalarNode {
			value = nodeJSON(d)
		}
		s.Default = &value
	}
	for _, e := range items(at(n, "enum")) {
		s.Enum = append(s.Enum, e.Value)
	}
	required := map[string]bool{}
	for _, r := range items(at(n, "required")) {
		required[r.Value] = true
	}
	var failed error
	each(at(n, "properties"), func(name string, p *yaml.Node) {
		ps, err := c.schema(p)
		failed = errors.Join(failed, err)
		s.Members = append(s.Members, &member{name, required[name], ps})
	})
	if i := at(n, "items"); i != nil {
		var err error
		s.Items, err = c.schema(i)
		failed = errors.Join(failed, err)
	}
	return failed
}

// resolve follows references inside the document.
func (c *contract) resolve(n *yaml.Node) (*yaml.Node, error) {
	for depth := 0; ; depth++ {
		ref := text(n, "$ref")
		if ref == "" {
			return n, nil
		}
		if n = at(c.root, strings.Split(strings.TrimPrefix(ref, "#/"), "/")...); n == nil || depth > 10 {
			return nil, fmt.Errorf("%s leads nowhere", ref)
		}
	}
}

// at goes down a tree of mappings; nil where there is nothing.
func at(n *yaml.Node, path ...string) *yaml.Node {
	for _, key := range path {
		var next *yaml.Node
		each(n, func(k string, v *yaml.Node) {
			if k == key {
				next = v
			}
		})
		n = next
	}
	return n
}

func each(n *yaml.Node, f func(key string, value *yaml.Node)) {
	if n == nil || n.Kind != yaml.MappingNode {
		return
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		f(n.Content[i].Value, n.Content[i+1])
	}
}

func items(n *yaml.Node) []*yaml.Node {
	if n == nil || n.Kind != yaml.SequenceNode {
		return nil
	}
	return n.Content
}

func text(n *yaml.Node, key string) string {
	if v := at(n, key); v != nil && v.Kind == yaml.ScalarNode {
		return v.Value
	}
	return ""
}

// nodeJSON writes a value of the contract as indented JSON, its members in the contract's order.
func nodeJSON(n *yaml.Node) string {
	var compact, out bytes.Buffer
	writeNode(&compact, n)
	if json.Indent(&out, compact.Bytes(), "", "  ") != nil {
		return compact.String()
	}
	return out.String()
}

func writeNode(out *bytes.Buffer, n *yaml.Node) {
	switch {
	case n == nil:
		out.WriteString("null")
	case n.Kind == yaml.MappingNode:
		out.WriteByte('{')
		first := true
		each(n, func(key string, value *yaml.Node) {
			if !first {
				out.WriteByte(',')
			}
			first = false
			out.Write(quoted(key))
			out.WriteByte(':')
			writeNode(out, value)
		})
		out.WriteByte('}')
	case n.Kind == yaml.SequenceNode:
		out.WriteByte('[')
		for i, item := range n.Content {
			if i > 0 {
				out.WriteByte(',')
			}
			writeNode(out, item)
		}
		out.WriteByte(']')
	case n.Tag == "!!str":
		out.Write(quoted(n.Value))
	default:
		out.WriteString(n.Value)
	}
}

func quoted(s string) []byte {
	var out bytes.Buffer
	enc := json.NewEncoder(&out)
	enc.SetEscapeHTML(false)
	_ = enc.Encode(s) // a string always becomes JSON
	return bytes.TrimSpace(out.Bytes())
}
