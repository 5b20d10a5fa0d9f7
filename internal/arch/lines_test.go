package arch

import (
	"go/ast"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// widest is how many columns a line of Go may have, a tab counting four.
const widest = 120

func TestLinesFitThePage(t *testing.T) {
	top := root(t)
	for file, f := range goFiles(t) {
		if ast.IsGenerated(f) {
			continue
		}
		for i, line := range readLines(t, filepath.Join(top, file)) {
			if n := len([]rune(line)) + 3*strings.Count(line, "\t"); n > widest {
				t.Errorf("%s:%d: %d columns, more than %d", file, i+1, n, widest)
			}
		}
	}
}

func readLines(t *testing.T, file string) []string {
	t.Helper()
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	return strings.Split(string(data), "\n")
}
