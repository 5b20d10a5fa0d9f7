// Package clients holds the sources of the clients, for a service that hands them out.
package clients

import "embed"

// Sources is the folder clients: the Go client with its units and the JavaScript client with its widgets, tests of
// package saltwright included.
//
//go:embed go/README.md go/*.go go/units/*.go js/README.md js/package.json js/src js/widgets
var Sources embed.FS
