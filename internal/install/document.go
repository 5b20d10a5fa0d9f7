package install

import _ "embed"

// Licence is a copy of LICENSE, which an embedding package cannot reach; a test holds them alike.
//
//go:embed licence.txt
var Licence []byte

// Document is one file by its path on the service.
type Document struct {
	Path, Media string
	Body        []byte
	Lasting     bool // the version stands in the path, so that caches may keep it
}
