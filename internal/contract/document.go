package contract

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"go.yaml.in/yaml/v3"
)

// document is the contract as it is written: kin-openapi's maps have no order,
// and pages show members, operations and examples in the order of the document.
type document struct{ root *yaml.Node }

func parseDocument(data []byte) (document, error) {
	var n yaml.Node
	if err := yaml.Unmarshal(data, &n); err != nil {
		return document{}, err
	}
	if len(n.Content) != 1 {
		return document{}, errors.New("the document is empty")
	}
	return document{n.Content[0]}, nil
}

// at goes down a path of keys, through references; nil where there is nothing.
func (d document) at(n *yaml.Node, path ...string) *yaml.Node {
	for _, key := range path {
		n = child(d.resolve(n), key)
	}
	return d.resolve(n)
}

// keys lists the keys of a mapping in their order, through references.
func (d document) keys(n *yaml.Node) []string {
	if n = d.resolve(n); n == nil || n.Kind != yaml.MappingNode {
		return nil
	}
	var out []string
	for i := 0; i < len(n.Content); i += 2 {
		out = append(out, n.Content[i].Value)
	}
	return out
}

// items lists the items of a list, or nothing.
func (d document) items(n *yaml.Node) []*yaml.Node {
	if n = d.resolve(n); n == nil || n.Kind != yaml.SequenceNode {
		return nil
	}
	return n.Content
}

// resolve follows references inside the document: a JSON pointer, wherever it leads.
// kin-openapi has refused those that lead nowhere or round in a circle.
func (d document) resolve(n *yaml.Node) *yaml.Node {
	for {
		ref := child(n, "$ref")
		if ref == nil {
			return n
		}
		n = d.root
		for _, token := range strings.Split(strings.TrimPrefix(ref.Value, "#/"), "/") {
			n = child(n, strings.ReplaceAll(strings.ReplaceAll(token, "~1", "/"), "~0", "~"))
		}
	}
}

func child(n *yaml.Node, key string) *yaml.Node {
	if n == nil || n.Kind != yaml.MappingNode {
		return nil
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			return n.Content[i+1]
		}
	}
	return nil
}

// jsonOf writes a value as JSON, its members in the document's order.
func jsonOf(n *yaml.Node) (json.RawMessage, error) {
	var out bytes.Buffer
	writeJSON(&out, n)
	if !json.Valid(out.Bytes()) {
		return nil, fmt.Errorf("line %d: the value is no JSON", n.Line)
	}
	return out.Bytes(), nil
}

func writeJSON(out *bytes.Buffer, n *yaml.Node) {
	switch {
	case n == nil:
		out.WriteString("null")
	case n.Kind == yaml.MappingNode:
		out.WriteByte('{')
		for i := 0; i+1 < len(n.Content); i += 2 {
			if i > 0 {
				out.WriteByte(',')
			}
			writeString(out, n.Content[i].Value)
			out.WriteByte(':')
			writeJSON(out, n.Content[i+1])
		}
		out.WriteByte('}')
	case n.Kind == yaml.SequenceNode:
		out.WriteByte('[')
		for i, item := range n.Content {
			if i > 0 {
				out.WriteByte(',')
			}
			writeJSON(out, item)
		}
		out.WriteByte(']')
	case n.Tag == "!!str":
		writeString(out, n.Value)
	default:
		out.WriteString(n.Value)
	}
}

func writeString(out *bytes.Buffer, s string) {
	enc := json.NewEncoder(out)
	enc.SetEscapeHTML(false)
	_ = enc.Encode(s) // a string always becomes JSON
	out.Truncate(out.Len() - 1)
}
