package arch

import (
	"cmp"
	"fmt"
	"go/ast"
	"go/token"
	"go/types"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/tools/go/packages"
)

// reference says that one file of a package names what another file of it declares.
type reference struct{ from, to, name string }

// references lists, for each ordered pair of files of a package, one name that leads from the first to the second:
// of a function, a method, a type, a variable or a constant of the package.
func references(p *packages.Package, fset *token.FileSet) []reference {
	fileOf := func(pos token.Pos) string { return filepath.Base(fset.Position(pos).Filename) }
	byPair := map[[2]string]string{}
	note := func(id *ast.Ident, obj types.Object) {
		f, method := obj.(*types.Func)
		method = method && f.Signature().Recv() != nil
		if obj.Pkg() != p.Types || obj.Parent() != p.Types.Scope() && !method {
			return
		}
		pair := [2]string{fileOf(id.Pos()), fileOf(obj.Pos())}
		if before, met := byPair[pair]; pair[0] != pair[1] && (!met || obj.Name() < before) {
			byPair[pair] = obj.Name()
		}
	}
	for id, obj := range p.TypesInfo.Uses {
		note(id, obj)
	}
	var out []reference
	for pair, name := range byPair {
		out = append(out, reference{pair[0], pair[1], name})
	}
	slices.SortFunc(
		out,
		func(a, b reference) int { return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to)) },
	)
	return out
}

// circular keeps the references that lie on a circle: who follows them climbs back up to where he was.
func circular(all []reference) []reference {
	next := map[string][]string{}
	for _, r := range all {
		next[r.from] = append(next[r.from], r.to)
	}
	reaches := func(from, to string) bool {
		met := map[string]bool{from: true}
		for queue := []string{from}; len(queue) > 0; queue = queue[1:] {
			for _, n := range next[queue[0]] {
				if n == to {
					return true
				}
				if !met[n] {
					met[n] = true
					queue = append(queue, n)
				}
			}
		}
		return false
	}
	var out []reference
	for _, r := range all {
		if reaches(r.to, r.from) {
			out = append(out, r)
		}
	}
	return out
}

// A reader who goes down the files of a package never has to climb back up: no file names what stands in one that,
// over any way, names what stands in it.
func TestFilesOfAPackageHaveAnOrder(t *testing.T) {
	fset := token.NewFileSet()
	const mode = packages.NeedName | packages.NeedSyntax | packages.NeedTypes | packages.NeedTypesInfo |
		packages.NeedImports
	all, err := packages.Load(&packages.Config{Mode: mode, Dir: root(t), Fset: fset}, "./...")
	require.NoError(t, err)
	require.Greater(t, len(all), 40)
	count := 0
	for _, p := range all {
		require.Empty(t, p.Errors)
		found := references(p, fset)
		count += len(found)
		for _, r := range circular(found) {
			t.Errorf("%s: %s names %s of %s, which leads back to it: move it, so that the files have an order",
				p.PkgPath, r.from, r.name, r.to)
		}
	}
	t.Logf("%d references between files of a package", count)
}

// The rule must be able to fail.
func TestOrderRuleCatchesWhatItIsFor(t *testing.T) {
	down := []reference{{"a", "b", "f"}, {"a", "c", "g"}, {"b", "c", "h"}}
	assert.Empty(t, circular(down))
	back := append(slices.Clone(down), reference{"c", "a", "k"})
	assert.Len(t, circular(back), 4, "all four lie on a circle: %s", strings.TrimSpace(fmt.Sprint(back)))
}
