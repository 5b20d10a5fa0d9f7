// Package reference reads the tables in testdata/reference. It serves tests only.
package reference

import (
	"bytes"
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// Row is one row of a table, by column name.
type Row map[string]string

// F returns a number, and fails the test when the cell is empty or missing.
func (r Row) F(t testing.TB, column string) float64 {
	t.Helper()
	text, ok := r[column]
	require.True(t, ok, "no column %s", column)
	v, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err, "column %s", column)
	return v
}

// Has tells whether the cell is there and not empty.
func (r Row) Has(column string) bool { return r[column] != "" }

// Load reads testdata/reference/name; lines that start with # cite the source.
func Load(t testing.TB, name string) []Row {
	t.Helper()
	dir, err := os.Getwd()
	require.NoError(t, err)
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			break
		}
		parent := filepath.Dir(dir)
		require.NotEqual(t, dir, parent, "no go.mod above the test")
		dir = parent
	}
	data, err := os.ReadFile(filepath.Join(dir, "testdata", "reference", name))
	require.NoError(t, err)
	require.True(t, bytes.HasPrefix(data, []byte("#")), "%s: the first lines must cite the source", name)
	reader := csv.NewReader(bytes.NewReader(data))
	reader.Comment = '#'
	lines, err := reader.ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(lines), 1, "%s has no rows", name)
	var rows []Row
	for _, line := range lines[1:] {
		row := Row{}
		for i, column := range lines[0] {
			row[column] = line[i]
		}
		rows = append(rows, row)
	}
	return rows
}

// Worst keeps the largest disagreement with a table and where it was.
type Worst struct {
	Difference float64
	Where      string
}

// Relative checks got against want to a relative tolerance, and keeps the worst.
func (w *Worst) Relative(t testing.TB, want, got, tolerance float64, where string) {
	t.Helper()
	scale := want
	if scale < 0 {
		scale = -scale
	}
	if scale < 1e-12 {
		scale = 1e-12
	}
	w.Absolute(t, want/scale, got/scale, tolerance, where)
}

// Absolute checks got against want to an absolute tolerance, and keeps the worst.
func (w *Worst) Absolute(t testing.TB, want, got, tolerance float64, where string) {
	t.Helper()
	diff := got - want
	if diff < 0 {
		diff = -diff
	}
	if !(diff <= tolerance) {
		t.Errorf("%s: table %.10g, we %.10g, off by %.2g (allowed %.2g)", where, want, got, diff, tolerance)
	}
	if diff > w.Difference {
		w.Difference, w.Where = diff, where
	}
}
