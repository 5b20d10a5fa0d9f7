package main

import (
	"fmt"
	"os"
	"path"
	"path/filepath"
	"strings"

	"go.yaml.in/yaml/v3"
)

// file reads a part, once.
func (b *bundler) file(name string) (*yaml.Node, error) {
	if n := b.files[name]; n != nil {
		return n, nil
	}
	data, err := os.ReadFile(filepath.Join(b.parts, filepath.FromSlash(name)))
	if err != nil {
		return nil, err
	}
	var document yaml.Node
	if err := yaml.Unmarshal(data, &document); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if len(document.Content) != 1 || document.Content[0].Kind != yaml.MappingNode {
		return nil, fmt.Errorf("%s does not hold members", name)
	}
	b.files[name] = document.Content[0]
	return document.Content[0], nil
}

// find returns what a file holds under a name.
func (b *bundler) find(file, name string) (*yaml.Node, error) {
	part, err := b.file(file)
	if err != nil {
		return nil, err
	}
	if n := get(part, name); n != nil {
		return n, nil
	}
	return nil, fmt.Errorf("%s holds no %s", file, name)
}

// copy copies a node of a file. A reference to a capitalised name becomes a reference to the schema of that name in
// the bundle; what a reference to any other name leads to is written in its place.
func (b *bundler) copy(n *yaml.Node, file string) (*yaml.Node, error) {
	switch n.Kind {
	case yaml.AliasNode:
		return b.copy(n.Alias, file)
	case yaml.MappingNode, yaml.SequenceNode:
	default:
		return &yaml.Node{Kind: n.Kind, Tag: n.Tag, Style: n.Style, Value: n.Value}, nil
	}
	if reference := get(n, "$ref"); reference != nil && !strings.HasPrefix(reference.Value, "#/components/") {
		return b.follow(n, file, reference.Value)
	}
	out := &yaml.Node{Kind: n.Kind, Tag: n.Tag, Style: n.Style}
	for _, child := range n.Content {
		c, err := b.copy(child, file)
		if err != nil {
			return nil, err
		}
		out.Content = append(out.Content, c)
	}
	sayTheObvious(out)
	return out, nil
}

func (b *bundler) follow(n *yaml.Node, file, reference string) (*yaml.Node, error) {
	to, name, ok := strings.Cut(reference, "#/")
	if !ok || name == "" || strings.Contains(name, "/") || len(n.Content) != 2 {
		return nil, fmt.Errorf("%s: %q must read file#/name and stand alone", file, reference)
	}
	at := file
	if to != "" {
		at = path.Join(path.Dir(file), to)
	}
	if name[0] < 'A' || name[0] > 'Z' {
		target, err := b.find(at, name)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", file, err)
		}
		return b.copy(target, at)
	}
	return b.schema(name, at)
}

// schema returns a reference to a schema of the bundle, and sees to it that it is there.
func (b *bundler) schema(name, file string) (*yaml.Node, error) {
	if home, ok := b.home[name]; !ok {
		b.home[name] = file
		b.open = append(b.open, name)
	} else if home != file {
		return nil, fmt.Errorf("%s: both %s and %s hold one", name, home, file)
	}
	return ref("schemas", name), nil
}

// sayTheObvious adds to a schema what the parts leave out.
func sayTheObvious(n *yaml.Node) {
	kind := get(n, "type")
	if kind == nil || kind.Kind != yaml.ScalarNode {
		return
	}
	switch kind.Value {
	case "number":
		addSecond(n, "format", text("double"))
	case "integer":
		addSecond(n, "format", text("int32"))
	case "string":
		if get(n, "enum") == nil {
			addSecond(n, "pattern", text(printable))
		}
	}
}

// closeRequests makes every object that a request may hold refuse unknown members. Answers stay open to new ones.
func (b *bundler) closeRequests() {
	seen := map[string]bool{}
	var shut func(n *yaml.Node)
	shut = func(n *yaml.Node) {
		if name, ok := schemaName(n); ok {
			if !seen[name] {
				seen[name] = true
				shut(get(b.schemas, name))
			}
			return
		}
		if kind := get(n, "type"); kind != nil && kind.Value == "object" {
			addSecond(n, "additionalProperties", truth(false))
		}
		for _, child := range n.Content {
			shut(child)
		}
	}
	for _, request := range b.requests {
		shut(request)
	}
}

// schemaName returns the name of the schema that a node refers to.
func schemaName(n *yaml.Node) (string, bool) {
	if reference := get(n, "$ref"); reference != nil {
		return strings.CutPrefix(reference.Value, "#/components/schemas/")
	}
	return "", false
}

const printable = `^[^\x00-\x1f]*$`
