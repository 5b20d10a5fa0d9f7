package main

import (
	"go.yaml.in/yaml/v3"
)

const (
	rootFile = "openapi.yaml"
	notice   = "bundled by go generate ./api; edit api/src"
)

// bundler is the work on one document.
type bundler struct {
	parts, cases string
	files        map[string]*yaml.Node
	root         *yaml.Node
	schemas      *yaml.Node // components/schemas of the bundle, in the order of first use
	examples     *yaml.Node // components/examples
	home         map[string]string
	open         []string     // schemas that are named but not yet copied
	requests     []*yaml.Node // references to the schemas of bodies
}
