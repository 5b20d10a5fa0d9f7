// Package install makes the clients installable from the service: the JavaScript client as an npm package, the Go
// client as a module by the protocol of Go's module proxies. Both are made from the sources in this program, once.
package install

import (
	"fmt"
	"io/fs"
	"sync"

	"saltwright/clients"
	"saltwright/internal/contract"
)

// Offer is what the service hands out.
type Offer struct {
	Version   string // of both clients and of the contract, such as 0.4.0
	Package   string // path of the npm package
	Integrity string // of the npm package, as npm writes it
	Module    string // path of the Go module
	Sum       string // of the Go module, as go.sum has it
	Documents []Document
}

// Load returns what this program hands out.
var Load = sync.OnceValues(func() (*Offer, error) {
	c, err := contract.Load()
	if err != nil {
		return nil, err
	}
	return offerOf(clients.Sources, c.Version)
})

// offerOf makes both clients from their sources. Errors: a source that is missing, or that a module may not hold.
func offerOf(sources fs.FS, version string) (*Offer, error) {
	o := &Offer{Version: version, Module: modulePath}
	npm, integrity, err := npmPackage(sources, version)
	if err != nil {
		return nil, fmt.Errorf("install: the npm package: %w", err)
	}
	module, sum, err := goModule(sources, version)
	if err != nil {
		return nil, fmt.Errorf("install: the Go module: %w", err)
	}
	o.Package, o.Integrity, o.Sum = npm.Path, integrity, sum
	o.Documents = append([]Document{npm}, module...)
	return o, nil
}
