// Package api holds the contract.
package api

import _ "embed"

// OpenAPI is openapi.yaml, the only source of paths, types, bounds and defaults.
//
//go:embed openapi.yaml
var OpenAPI []byte
