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
