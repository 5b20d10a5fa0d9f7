package main

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.yaml.in/yaml/v3"
)

// contract reads the bundle.
func contract(t *testing.T) *yaml.Node {
	t.Helper()
	data, err := os.ReadFile("../openapi.yaml")
	require.NoError(t, err)
	var document yaml.Node
	require.NoError(t, yaml.Unmarshal(data, &document))
	return document.Content[0]
}

// component follows a reference of the bundle.
func component(root, n *yaml.Node) *yaml.Node {
	for get(n, "$ref") != nil {
		path := strings.Split(strings.TrimPrefix(get(n, "$ref").Value, "#/"), "/")
		n = root
		for _, key := range path {
			n = get(n, key)
		}
	}
	return n
}

// walk visits every mapping but those of examples.
func walk(n *yaml.Node, visit func(n *yaml.Node)) {
	if n.Kind == yaml.MappingNode {
		visit(n)
		for key, value := range pairs(n) {
			if key != "example" && key != "examples" {
				walk(value, visit)
			}
		}
		return
	}
	for _, child := range n.Content {
		walk(child, visit)
	}
}

// Generators of clients follow references to components and no deeper.
func TestEveryReferenceIsToAComponent(t *testing.T) {
	root := contract(t)
	whole := regexp.MustCompile(`^#/components/(examples|headers|parameters|responses|schemas)/[A-Za-z0-9-]+$`)
	references := 0
	walk(root, func(n *yaml.Node) {
		for key, value := range pairs(n) {
			if key == "$ref" && value.Kind == yaml.ScalarNode {
				references++
				assert.Regexp(t, whole, value.Value)
				assert.Len(t, n.Content, 2, "%s stands with others, which 3.0 ignores", value.Value)
				assert.NotNil(t, component(root, n), value.Value)
			}
			for _, marker := range []string{templateMarker, requestMarker, resultMarker, answerMarker, problemsMarker} {
				assert.NotEqual(t, marker, key, "the bundle has no markers")
			}
		}
	})
	assert.Greater(t, references, 1000)
}

func TestParametersAndProblemsHaveExamples(t *testing.T) {
	root := contract(t)
	parameters, problems := 0, 0
	for path, item := range pairs(get(root, "paths")) {
		for method, operation := range pairs(item) {
			at := method + " " + path
			about, summary := get(operation, "description").Value, get(operation, "summary").Value
			assert.False(t, strings.HasPrefix(about, summary), "%s: the description repeats the summary", at)
			if all := get(operation, "parameters"); all != nil {
				for _, n := range all.Content {
					parameters++
					p := component(root, n)
					name := get(p, "name").Value
					assert.NotNil(t, get(p, "example"), "%s: %s has no example", at, name)
					assert.NotEmpty(t, get(p, "description").Value, "%s: %s", at, name)
				}
			}
			for status, n := range pairs(get(operation, "responses")) {
				if status < "400" {
					continue
				}
				problems++
				content := get(get(component(root, n), "content"), "application/problem+json")
				assert.NotEmpty(t, get(content, "examples").Content, "%s: %s has no example", at, status)
			}
		}
	}
	assert.Greater(t, parameters, 300)
	assert.Greater(t, problems, 400)
}
