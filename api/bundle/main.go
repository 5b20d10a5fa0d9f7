// Command bundle writes api/openapi.yaml, the one file that is served and that everything reads, from the parts in
// api/src and the cases in testdata/api. What the parts may hold stands at the head of api/src/openapi.yaml. Run it by
// go generate ./api.
//
// Redocly's bundler reads the same parts, but makes a component of every member that is shared, gives no example, and
// knows nothing of what operations have in common.
package main

import (
	"bytes"
	"flag"
	"fmt"
	"log"
	"os"
	"path"
	"path/filepath"
	"strings"

	"go.yaml.in/yaml/v3"
)

func main() {
	log.SetFlags(0)
	parts := flag.String("parts", "src", "folder of the parts")
	cases := flag.String(
		"cases",
		"../testdata",
		"folder that examples are taken from, with its folders api and problems",
	)
	to := flag.String("out", "openapi.yaml", "file to write")
	flag.Parse()
	data, err := bundle(*parts, *cases)
	if err == nil {
		err = os.WriteFile(*to, data, 0o644)
	}
	if err != nil {
		log.Fatal(err)
	}
}

const (
	rootFile = "openapi.yaml"
	notice   = "bundled by go generate ./api; edit api/src"
)

// bundle returns the bundled document.
func bundle(parts, cases string) ([]byte, error) {
	b := &bundler{
		parts: parts, cases: cases, files: map[string]*yaml.Node{}, home: map[string]string{},
		schemas: mapping(), examples: mapping(),
	}
	var err error
	if b.root, err = b.file(rootFile); err != nil {
		return nil, err
	}
	document, err := b.document()
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	encoder := yaml.NewEncoder(&out)
	encoder.SetIndent(2)
	if err := encoder.Encode(document); err != nil {
		return nil, err
	}
	return out.Bytes(), encoder.Close()
}

// document is the root with its paths completed and the schemas and examples they use added.
func (b *bundler) document() (*yaml.Node, error) {
	document := mapping()
	for key, value := range pairs(b.root) {
		if key == templateMarker {
			continue
		}
		part, err := b.copy(value, rootFile)
		if err != nil {
			return nil, err
		}
		set(document, key, part)
	}
	for where, item := range pairs(get(document, "paths")) {
		if err := b.complete(where, item); err != nil {
			return nil, fmt.Errorf("%s: %w", where, err)
		}
	}
	if err := b.problems(get(get(document, "components"), "responses")); err != nil {
		return nil, err
	}
	for len(b.open) > 0 { // a copied schema may name more
		name := b.open[0]
		b.open = b.open[1:]
		source, err := b.find(b.home[name], name)
		if err != nil {
			return nil, err
		}
		schema, err := b.copy(source, b.home[name])
		if err != nil {
			return nil, err
		}
		set(b.schemas, name, schema)
	}
	b.closeRequests()
	if version := get(document, "openapi"); version != nil {
		version.LineComment = notice
	}
	components := get(document, "components")
	set(components, "examples", b.examples)
	set(components, "schemas", b.schemas)
	return document, nil
}

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

const printable = `^[^\x00-\x1f]*$`

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
