// Package arch holds tests only: the rules that keep the house in order.
package arch

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/source"
)

const (
	module   = "saltwright/"
	calcRoot = "saltwright/internal/calc"
)

// calcEdges are the allowed imports between calculation packages, downward only.
var calcEdges = map[string][]string{
	"":            {},
	"quantity":    {},
	"source":      {},
	"numeric":     {""},
	"moistair":    {"", "numeric", "quantity"},
	"seawater":    {"", "moistair", "numeric", "quantity"},
	"evaporation": {"", "moistair", "quantity", "seawater"},
	"heat":        {"", "evaporation", "moistair", "numeric", "quantity", "seawater"},
	"topoff":      {"", "evaporation", "moistair", "quantity"},
	"light":       {""},
	"plan":        {"", "light"},
	"sim":         {"", "evaporation", "heat", "light", "moistair", "numeric", "plan", "quantity", "seawater"},
	"audit":       {"", "plan", "sim"},
}

// testSupport packages serve tests only.
var testSupport = []string{"saltwright/internal/calc/reference"}

// impure is what a pure calculation may not import, and why.
var impure = map[string]string{
	"net/http": "the core knows no HTTP", "encoding/json": "the core knows no JSON", "os": "the core reads no environment or file",
	"log": "the core writes no log", "log/slog": "the core writes no log", "math/rand": "same input, same answer", "math/rand/v2": "same input, same answer",
}

// importViolations checks the imports of one non-test file.
func importViolations(pkg string, imports []string) []string {
	var out []string
	say := func(format string, args ...any) { out = append(out, pkg+": "+fmt.Sprintf(format, args...)) }
	inCalc := pkg == calcRoot || strings.HasPrefix(pkg, calcRoot+"/")
	subject := strings.TrimPrefix(strings.TrimPrefix(pkg, calcRoot), "/")
	support := slices.Contains(testSupport, pkg)
	for _, path := range imports {
		own := strings.HasPrefix(path, module)
		switch {
		case slices.Contains(testSupport, path):
			say("imports %s, which serves tests only", path)
		case inCalc && !support && impure[path] != "":
			say("imports %s: %s", path, impure[path])
		case inCalc && !support && strings.Contains(path, ".") && !own:
			say("imports %s: calculations use the standard library only", path)
		case inCalc && !support && own:
			to := strings.TrimPrefix(strings.TrimPrefix(path, calcRoot), "/")
			if !strings.HasPrefix(path, calcRoot) {
				say("imports %s: calculations know nothing above them", path)
			} else if !slices.Contains(calcEdges[subject], to) {
				say("imports %s, an edge that calcEdges does not allow: a subject imports downward only", path)
			}
		}
		if (strings.Contains(path, "labstack/echo") || strings.Contains(path, "getkin/kin-openapi")) && pkg != module+"internal/httpapi" {
			say("imports %s: only internal/httpapi knows the framework and the contract library", path)
		}
		if path == module+"internal/httpapi" && !strings.HasPrefix(pkg, module+"cmd/") {
			say("imports the transport: only cmd may")
		}
		if pkg == module+"api" && path != "embed" {
			say("imports %s: api holds the contract's bytes and nothing else", path)
		}
		if strings.HasPrefix(pkg, module+"clients/") && strings.HasPrefix(path, module+"internal/") {
			say("imports %s: clients see only the contract", path)
		}
	}
	return out
}

var (
	keyPattern  = regexp.MustCompile(`\[([A-Z][A-Za-z0-9]*)\]`)
	bannedNames = []string{"utils", "helpers", "common", "misc", "models", "types", "mapper", "manager"}
	exempt      = []string{"String", "Error", "Unwrap"}
)

// docViolations checks that every exported function of a calculation says what it
// rests on: Source with a known key, Errors, and Accuracy where it returns a float.
func docViolations(file *ast.File, name string, known func(string) bool) []string {
	var out []string
	for _, d := range file.Decls {
		f, ok := d.(*ast.FuncDecl)
		if !ok || !f.Name.IsExported() || slices.Contains(exempt, f.Name.Name) || !receiverExported(f) {
			continue
		}
		doc := f.Doc.Text()
		at := name + ": " + f.Name.Name
		_, sources, has := strings.Cut(doc, "Source:")
		if !has || len(keyPattern.FindAllString(sources, -1)) == 0 {
			out = append(out, at+" has no Source: [Key]")
		}
		for _, m := range keyPattern.FindAllStringSubmatch(sources, -1) {
			if !known(m[1]) {
				out = append(out, at+" cites "+m[1]+", which internal/calc/source does not have")
			}
		}
		if !strings.Contains(doc, "Errors:") {
			out = append(out, at+" does not name its errors")
		}
		if returnsFloat(f) && !strings.Contains(doc, "Accuracy:") {
			out = append(out, at+" returns a number without its accuracy")
		}
	}
	return out
}

func receiverExported(f *ast.FuncDecl) bool {
	if f.Recv == nil {
		return true
	}
	t := f.Recv.List[0].Type
	if star, ok := t.(*ast.StarExpr); ok {
		t = star.X
	}
	id, ok := t.(*ast.Ident)
	return ok && id.IsExported()
}

func returnsFloat(f *ast.FuncDecl) bool {
	if f.Type.Results == nil {
		return false
	}
	for _, r := range f.Type.Results.List {
		if id, ok := r.Type.(*ast.Ident); ok && id.Name == "float64" {
			return true
		}
	}
	return false
}

// clockViolations finds time.Now in a file.
func clockViolations(file *ast.File, name string) []string {
	var out []string
	ast.Inspect(file, func(n ast.Node) bool {
		if s, ok := n.(*ast.SelectorExpr); ok {
			if x, ok := s.X.(*ast.Ident); ok && x.Name == "time" && s.Sel.Name == "Now" {
				out = append(out, name+": reads the clock; the same input must give the same answer")
			}
		}
		return true
	})
	return out
}

// nameViolations finds names that say nothing about what is inside.
func nameViolations(path string) []string {
	for _, part := range strings.Split(strings.TrimSuffix(path, ".go"), "/") {
		if slices.Contains(bannedNames, part) {
			return []string{path + ": name it after its subject"}
		}
	}
	return nil
}

// strayPatterns are built from pieces so that this file does not match itself.
var strayPatterns = []*regexp.Regexp{
	regexp.MustCompile(`(^|[^A-Za-z0-9_.])/(wo` + `rk|ro` + `ot|ho` + `me)/[a-z.]`),
	regexp.MustCompile(`https?://(pro` + `xy|regi` + `stry|de` + `b)\.`),
}

func strayViolations(path, text string) []string {
	var out []string
	for _, p := range strayPatterns {
		if m := p.FindString(text); m != "" {
			out = append(out, fmt.Sprintf("%s: holds a machine's path or a registry's host: %q", path, m))
		}
	}
	return out
}

func root(t *testing.T) string {
	t.Helper()
	dir, err := os.Getwd()
	require.NoError(t, err)
	return filepath.Dir(filepath.Dir(dir))
}

// sources parses every Go file of ours that is not a test.
func sources(t *testing.T) map[string]*ast.File {
	t.Helper()
	files := map[string]*ast.File{}
	top := root(t)
	for _, folder := range []string{"api", "cmd", "internal", "clients"} {
		err := filepath.WalkDir(filepath.Join(top, folder), func(path string, d os.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ParseComments)
			if err != nil {
				return err
			}
			relative, err := filepath.Rel(top, path)
			files[filepath.ToSlash(relative)] = f
			return err
		})
		require.NoError(t, err)
	}
	require.Greater(t, len(files), 50)
	return files
}

func packageOf(path string) string { return module + filepath.ToSlash(filepath.Dir(path)) }

func TestImports(t *testing.T) {
	for path, f := range sources(t) {
		var imports []string
		for _, i := range f.Imports {
			imports = append(imports, strings.Trim(i.Path.Value, `"`))
		}
		assert.Empty(t, importViolations(packageOf(path), imports), path)
		if strings.HasPrefix(path, "internal/calc/") {
			assert.Empty(t, clockViolations(f, path))
		}
		assert.Empty(t, nameViolations(path))
	}
}

func TestEveryFormulaCitesItsSource(t *testing.T) {
	known := func(key string) bool { _, ok := source.Lookup(key); return ok }
	cited := map[string]bool{}
	for path, f := range sources(t) {
		if !strings.HasPrefix(path, "internal/calc/") || strings.HasPrefix(path, "internal/calc/source/") || strings.HasPrefix(path, "internal/calc/reference/") {
			continue
		}
		for _, v := range docViolations(f, path, known) {
			t.Error(v)
		}
		for _, group := range f.Comments {
			for _, m := range keyPattern.FindAllStringSubmatch(group.Text(), -1) {
				cited[m[1]] = true
			}
		}
	}
	for _, e := range source.All() {
		// ColeCaraco1998 is a default of the contract, which cites it there.
		assert.True(t, cited[e.Key] || e.Key == "ColeCaraco1998", "%s is in the bibliography and cited nowhere", e.Key)
		assert.NotEmpty(t, e.Note, "%s: how did we come by the numbers?", e.Key)
	}
}

func TestTrackedFiles(t *testing.T) {
	top := root(t)
	out, err := exec.Command("git", "-C", top, "ls-files").Output()
	if err != nil {
		t.Skip("not a git checkout: the tracked files cannot be listed")
	}
	for _, path := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		data, err := os.ReadFile(filepath.Join(top, path))
		if os.IsNotExist(err) {
			continue // deleted and not yet committed
		}
		require.NoError(t, err)
		assert.Empty(t, strayViolations(path, string(data)))
		if strings.HasSuffix(path, ".go") && !strings.HasSuffix(path, "_test.go") {
			assert.LessOrEqual(t, strings.Count(string(data), "\n"), 500, "%s: one phenomenon a file", path)
		}
	}
}

// The checks themselves must be able to fail.
func TestTheChecksCatchWhatTheyAreFor(t *testing.T) {
	for name, c := range map[string]struct {
		pkg     string
		imports []string
	}{
		"core with JSON":          {calcRoot + "/heat", []string{"encoding/json"}},
		"core with a library":     {calcRoot + "/heat", []string{"gonum.org/v1/gonum/mat"}},
		"core importing upward":   {calcRoot + "/heat", []string{calcRoot + "/plan"}},
		"core importing HTTP":     {calcRoot + "/heat", []string{module + "internal/httpapi"}},
		"framework in cmd":        {module + "cmd/saltwright", []string{"github.com/labstack/echo/v4"}},
		"transport inside api":    {module + "api", []string{"fmt"}},
		"client looking inside":   {module + "clients/go", []string{calcRoot + "/heat"}},
		"test support in product": {calcRoot + "/heat", []string{calcRoot + "/reference"}},
	} {
		assert.NotEmpty(t, importViolations(c.pkg, c.imports), name)
	}
	assert.Empty(t, importViolations(calcRoot+"/heat", []string{"math", calcRoot, calcRoot + "/seawater"}))

	parse := func(text string) *ast.File {
		f, err := parser.ParseFile(token.NewFileSet(), "x.go", "package x\n"+text, parser.ParseComments)
		require.NoError(t, err)
		return f
	}
	known := func(key string) bool { return key == "Known" }
	good := "// F is. Accuracy: exact. Errors: none. Source: [Known].\nfunc F() float64 { return 1 }"
	assert.Empty(t, docViolations(parse(good), "x", known))
	for _, bad := range []string{
		"func F() float64 { return 1 }", strings.Replace(good, "[Known]", "[Unknown]", 1), strings.Replace(good, "Accuracy: exact. ", "", 1),
		strings.Replace(good, "Errors: none. ", "", 1), strings.Replace(good, "[Known]", "somewhere", 1),
	} {
		assert.NotEmpty(t, docViolations(parse(bad), "x", known), bad)
	}
	assert.Empty(t, docViolations(parse("type t int\nfunc (t) F() {}\nfunc g() {}\nfunc String() {}"), "x", known), "not exported, or exempt")
	assert.NotEmpty(t, clockViolations(parse("import \"time\"\nvar now = time.Now()"), "x"))
	assert.NotEmpty(t, nameViolations("internal/utils/x.go"))
	assert.NotEmpty(t, nameViolations("internal/heat/helpers.go"))
	assert.Empty(t, nameViolations("internal/heat/wall.go"))
	assert.NotEmpty(t, strayViolations("x", "see /ro"+"ot/go"))
	assert.NotEmpty(t, strayViolations("x", "https://pro"+"xy.example"))
	assert.Empty(t, strayViolations("x", "https://saltwright.example/v1"))
	var edges []string
	for from := range calcEdges {
		edges = append(edges, from)
	}
	sort.Strings(edges)
	assert.Len(t, edges, 13)
}
