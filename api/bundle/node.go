package main

import (
	"iter"
	"slices"

	"go.yaml.in/yaml/v3"
)

// get returns the value of a key of a mapping, or nil.
func get(n *yaml.Node, key string) *yaml.Node {
	for k, v := range pairs(n) {
		if k == key {
			return v
		}
	}
	return nil
}

// pairs walks a mapping in its order; anything else has none.
func pairs(n *yaml.Node) iter.Seq2[string, *yaml.Node] {
	return func(yield func(string, *yaml.Node) bool) {
		if n == nil || n.Kind != yaml.MappingNode {
			return
		}
		for i := 0; i+1 < len(n.Content); i += 2 {
			if !yield(n.Content[i].Value, n.Content[i+1]) {
				return
			}
		}
	}
}

// set gives a key of a mapping a value, at the end where it is new.
func set(n *yaml.Node, key string, value *yaml.Node) {
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			n.Content[i+1] = value
			return
		}
	}
	n.Content = append(n.Content, text(key), value)
}

// addSecond gives a mapping a key that it lacks, in the second place.
func addSecond(n *yaml.Node, key string, value *yaml.Node) {
	if get(n, key) == nil {
		n.Content = slices.Insert(n.Content, 2, text(key), value)
	}
}

// remove takes a key out of a mapping and returns its value, or nil.
func remove(n *yaml.Node, key string) *yaml.Node {
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			value := n.Content[i+1]
			n.Content = append(n.Content[:i], n.Content[i+2:]...)
			return value
		}
	}
	return nil
}

// lay puts what over holds on what n holds: mappings are joined, all else is replaced.
func lay(n, over *yaml.Node) {
	for key, value := range pairs(over) {
		if there := get(n, key); there != nil && there.Kind == yaml.MappingNode && value.Kind == yaml.MappingNode {
			lay(there, value)
			continue
		}
		set(n, key, value)
	}
}

// mapping makes a mapping of keys, each followed by its value.
func mapping(content ...any) *yaml.Node {
	n := &yaml.Node{Kind: yaml.MappingNode, Tag: "!!map"}
	for i := 0; i+1 < len(content); i += 2 {
		set(n, content[i].(string), content[i+1].(*yaml.Node))
	}
	return n
}

func list(items ...*yaml.Node) *yaml.Node {
	return &yaml.Node{Kind: yaml.SequenceNode, Tag: "!!seq", Content: items}
}

func text(s string) *yaml.Node { return &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: s} }

func truth(b bool) *yaml.Node {
	n := &yaml.Node{}
	_ = n.Encode(b) // a bool always becomes a node
	return n
}

// ref refers to a component of the bundle.
func ref(kind, name string) *yaml.Node {
	return mapping("$ref", text("#/components/"+kind+"/"+name))
}
