// Package api holds the contract.
package api

import _ "embed"

//go:generate go run ./bundle

// OpenAPI is openapi.yaml, the only source of paths, types, bounds and defaults. It is bundled from src.
//
//go:embed openapi.yaml
var OpenAPI []byte

// Changelog is what changed in the contract, by version.
//
//go:embed CHANGELOG.md
var Changelog string
