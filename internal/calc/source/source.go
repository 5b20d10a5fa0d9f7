// Package source is the bibliography: every key that a docstring, an answer or
// a test may cite, with its full citation. Data only.
package source

import "sort"

// byFile lists the entries of each subject; each subject has a file of its own.
var byFile = [][]Entry{general, water, thermal, lighting, planning, flow, chemistry}

// All returns every entry, sorted by key. The slice is the caller's own.
func All() []Entry {
	var all []Entry
	for _, f := range byFile {
		all = append(all, f...)
	}
	sort.Slice(all, func(i, j int) bool { return all[i].Key < all[j].Key })
	return all
}
