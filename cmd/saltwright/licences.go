package main

import _ "embed"

// licences are the texts of everybody whose work is linked in.
//
//go:generate go run ./attribution
//go:embed licences.txt
var licences string
