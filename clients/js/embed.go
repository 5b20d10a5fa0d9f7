// Package js holds the widgets as they are built: one file for each custom element, and their manifest.
package js

import "embed"

//go:generate go run ./build

// Dist is the folder dist: manifest.json and the files it names.
//
//go:embed dist
var Dist embed.FS
