// Package arch holds tests only: the rules that keep the house in order.
// imports_test.go says who may import whom, citations_test.go what a formula's
// docstring must hold, files_test.go what a tracked file may hold.
package arch

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const (
	module   = "saltwright/"
	calcRoot = "saltwright/internal/calc"
)

// root is the nearest folder above with a go.mod.
func root(t *testing.T) string {
	t.Helper()
	dir, err := os.Getwd()
	require.NoError(t, err)
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir
		}
		parent := filepath.Dir(dir)
		require.NotEqual(t, dir, parent, "no go.mod above the test")
		dir = parent
	}
}

// goFiles parses every Go file of ours, by its path from the root with forward slashes.
func goFiles(t *testing.T) map[string]*ast.File {
	t.Helper()
	files := map[string]*ast.File{}
	top := root(t)
	for _, folder := range []string{"api", "cmd", "internal", "clients"} {
		err := filepath.WalkDir(filepath.Join(top, folder), func(file string, d os.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(file, ".go") {
				return err
			}
			f, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.ParseComments)
			if err != nil {
				return err
			}
			relative, err := filepath.Rel(top, file)
			files[filepath.ToSlash(relative)] = f
			return err
		})
		require.NoError(t, err)
	}
	require.Greater(t, len(files), 50)
	return files
}

// sources is goFiles without the tests.
func sources(t *testing.T) map[string]*ast.File {
	t.Helper()
	files := goFiles(t)
	for file := range files {
		if strings.HasSuffix(file, "_test.go") {
			delete(files, file)
		}
	}
	return files
}

func packageOf(file string) string { return module + path.Dir(file) }

// parse reads a synthetic source of package x.
func parse(t *testing.T, text string) *ast.File {
	t.Helper()
	f, err := parser.ParseFile(token.NewFileSet(), "x.go", "package x\n"+text, parser.ParseComments)
	require.NoError(t, err)
	return f
}
