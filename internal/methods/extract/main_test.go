package main

import (
	"encoding/json"
	"os"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The pages cannot drift from the core: go generate ./internal/webdocs writes what is compared here.
func TestMethodsAreTheCoresOwnWords(t *testing.T) {
	want, err := extract(os.DirFS("../../calc"))
	require.NoError(t, err)
	got, err := os.ReadFile("../methods.json")
	require.NoError(t, err)
	assert.True(t, string(want) == string(got), "methods.json is older than the core's doc comments: go generate "+
		"./internal/webdocs")
}

func TestDocstringIsTakenApart(t *testing.T) {
	core := fstest.MapFS{
		"heat/wall.go": {Data: []byte(`// Package heat is about heat.
package heat

// Loss returns what a wall loses.
//
//	q = U · (t - room)
//
//	t     water                        [°C]  valid 0 … 40
//	room  air around it, well mixed    [°C]
//	      and still
//	s     practical salinity, published 2 … 42
//
// Radiation counts. It is small.
// Accuracy: 5 %. Errors: *calc.RangeError.
// Source: [Key1990] eq. 12. Departure: none.
func Loss(t, room float64) (float64, error) { return 0, nil }

// Set returns parts.
//
//	sets  of parts in any order
//
// Source: [Key1990].
func (w *Wall) Set() {}

type Wall struct{}

// Uncited is left out.
func Uncited() {}
`)},
		"heat/wall_test.go": {Data: []byte("not Go at all")},
		"plain/plain.go":    {Data: []byte("package plain\n\n// F cites nothing.\nfunc F() {}\n")},
	}
	data, err := extract(core)
	require.NoError(t, err)
	var got []subject
	require.NoError(t, json.Unmarshal(data, &got))
	require.Len(t, got, 1, "a package without a cited relation is left out")
	assert.Equal(t, "Package heat is about heat.", got[0].Doc)
	require.Len(t, got[0].Relations, 2)
	assert.Equal(t, relation{
		Name: "Loss", Signature: "func Loss(t, room float64) (float64, error)",
		Sentence: "Loss returns what a wall loses.", Equation: []string{"q = U · (t - room)"},
		Quantities: []quantity{
			{Symbol: "t", Meaning: "water", Unit: "°C", Range: "valid 0 … 40"},
			{Symbol: "room", Meaning: "air around it, well mixed and still", Unit: "°C"},
			{Symbol: "s", Meaning: "practical salinity", Range: "published 2 … 42"},
		},
		Remarks: []string{"Radiation counts. It is small."}, Accuracy: "5 %.", Errors: "*calc.RangeError.",
		Source: "[Key1990] eq. 12.", Departure: "none.",
	}, got[0].Relations[0])
	assert.Equal(t, "Wall.Set", got[0].Relations[1].Name)
	assert.Equal(t, []quantity{{Symbol: "sets", Meaning: "of parts in any order"}}, got[0].Relations[1].Quantities)
}

func TestBrokenSourceIsRefused(t *testing.T) {
	_, err := extract(fstest.MapFS{"heat/wall.go": {Data: []byte("package heat\nfunc {")}})
	assert.Error(t, err)
}
