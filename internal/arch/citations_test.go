package arch

import (
	"go/ast"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/source"
)

var (
	keyPattern = regexp.MustCompile(`\[([A-Z][A-Za-z0-9]*)\]`)
	// contractKey is how the contract names the source of a default.
	contractKey = regexp.MustCompile(`(?m)^\s*source: ([A-Z][A-Za-z0-9]*)\s*$`)
	exempt      = []string{"String", "Error", "Unwrap"}
)

// kinds are the types that we declare, by folder and name.
type kinds map[string]ast.Expr

func declared(files map[string]*ast.File) kinds {
	out := kinds{}
	for file, f := range files {
		for _, d := range f.Decls {
			g, ok := d.(*ast.GenDecl)
			if !ok {
				continue
			}
			for _, s := range g.Specs {
				if ts, ok := s.(*ast.TypeSpec); ok {
					out[path.Dir(file)+"."+ts.Name.Name] = ts.Type
				}
			}
		}
	}
	return out
}

// holdsFloat tells whether a type is, or has anywhere inside, a floating-point number.
func (k kinds) holdsFloat(folder string, e ast.Expr, seen map[string]bool) bool {
	named := func(folder, name string) bool {
		key := folder + "." + name
		if seen[key] || k[key] == nil {
			return false
		}
		seen[key] = true
		return k.holdsFloat(folder, k[key], seen)
	}
	switch e := e.(type) {
	case *ast.Ident:
		return e.Name == "float64" || e.Name == "float32" || named(folder, e.Name)
	case *ast.SelectorExpr:
		// Calculation packages are imported under their own names.
		pkg, ok := e.X.(*ast.Ident)
		return ok && (named("internal/calc/"+pkg.Name, e.Sel.Name) || pkg.Name == "calc" &&
			named("internal/calc", e.Sel.Name))
	case *ast.StarExpr:
		return k.holdsFloat(folder, e.X, seen)
	case *ast.ParenExpr:
		return k.holdsFloat(folder, e.X, seen)
	case *ast.ArrayType:
		return k.holdsFloat(folder, e.Elt, seen)
	case *ast.MapType:
		return k.holdsFloat(folder, e.Key, seen) || k.holdsFloat(folder, e.Value, seen)
	case *ast.StructType:
		return slices.ContainsFunc(e.Fields.List, func(f *ast.Field) bool { return k.holdsFloat(folder, f.Type, seen) })
	}
	return false
}

func (k kinds) returnsFloat(folder string, f *ast.FuncDecl) bool {
	return f.Type.Results != nil && slices.ContainsFunc(f.Type.Results.List, func(r *ast.Field) bool {
		return k.holdsFloat(folder, r.Type, map[string]bool{})
	})
}

// docViolations checks that every exported function of a calculation says what it
// rests on: Source with a known key, Errors, and Accuracy where its result holds a float.
func docViolations(file *ast.File, name string, k kinds, known func(string) bool) []string {
	var out []string
	for _, d := range file.Decls {
		f, ok := d.(*ast.FuncDecl)
		if !ok || !f.Name.IsExported() || slices.Contains(exempt, f.Name.Name) || !receiverExported(f) {
			continue
		}
		doc := f.Doc.Text()
		at := name + ": " + f.Name.Name
		_, cited, _ := strings.Cut(doc, "Source:")
		keys := keyPattern.FindAllStringSubmatch(cited, -1)
		if len(keys) == 0 {
			out = append(out, at+" has no Source: [Key]; a formula says what it rests on")
		}
		for _, m := range keys {
			if !known(m[1]) {
				out = append(out, at+" cites "+m[1]+", which internal/calc/source does not have")
			}
		}
		if !strings.Contains(doc, "Errors:") {
			out = append(out, at+" does not name its errors; write Errors: none if it has none")
		}
		if k.returnsFloat(path.Dir(name), f) && !strings.Contains(doc, "Accuracy:") {
			out = append(out, at+" returns a number without its accuracy; write Accuracy: exact if it is")
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
	switch generic := t.(type) {
	case *ast.IndexExpr:
		t = generic.X
	case *ast.IndexListExpr:
		t = generic.X
	}
	id, ok := t.(*ast.Ident)
	return ok && id.IsExported()
}

// uncited returns the keys that neither a calculation nor the contract cites.
func uncited(keys []string, cited map[string]bool, contract string) []string {
	inContract := map[string]bool{}
	for _, m := range contractKey.FindAllStringSubmatch(contract, -1) {
		inContract[m[1]] = true
	}
	var out []string
	for _, key := range keys {
		if !cited[key] && !inContract[key] {
			out = append(out, key+" is in the bibliography and cited nowhere")
		}
	}
	return out
}

func TestEveryFormulaCitesItsSource(t *testing.T) {
	known := func(key string) bool {
		return slices.ContainsFunc(source.All(), func(e source.Entry) bool { return e.Key == key })
	}
	cited := map[string]bool{}
	files := sources(t)
	k := declared(files)
	for file, f := range files {
		pkg := packageOf(file)
		if !below(pkg, calcRoot) || pkg == calcRoot+"/source" || slices.Contains(testSupport, pkg) {
			continue
		}
		for _, v := range docViolations(f, file, k, known) {
			t.Error(v)
		}
		for _, group := range f.Comments {
			for _, m := range keyPattern.FindAllStringSubmatch(group.Text(), -1) {
				cited[m[1]] = true
			}
		}
	}
	contract, err := os.ReadFile(filepath.Join(root(t), "api", "openapi.yaml"))
	require.NoError(t, err)
	var keys []string
	for _, e := range source.All() {
		assert.NotContains(t, keys, e.Key, "%s is listed twice", e.Key)
		keys = append(keys, e.Key)
		assert.NotEmpty(t, e.Citation, e.Key)
		assert.NotEmpty(t, e.Note, "%s: how did we come by the numbers?", e.Key)
	}
	assert.Empty(t, uncited(keys, cited, string(contract)))
}

// Each rule must be able to fail, and say why.
func TestDocRulesCatchWhatTheyAreFor(t *testing.T) {
	known := func(key string) bool { return key == "Known" }
	check := func(text string) string {
		f := parse(t, text)
		k := declared(map[string]*ast.File{"internal/calc/x/x.go": f})
		k["internal/calc/quantity.Celsius"] = &ast.Ident{Name: "float64"}
		return strings.Join(docViolations(f, "internal/calc/x/x.go", k, known), "\n")
	}
	good := "// F is. Accuracy: exact. Errors: none. Source: [Known].\nfunc F() float64 { return 1 }"
	assert.Empty(t, check(good))
	for _, c := range []struct{ name, text, says string }{
		{"no comment", "func F() {}", "no Source"},
		{"key without brackets", strings.Replace(good, "[Known]", "Known", 1), "no Source"},
		{"key before the word", "// F [Known] is. Accuracy: exact. Errors: none.\nfunc F() float64 { return 1 }",
			"no Source"},
		{"unknown key", strings.Replace(good, "[Known]", "[Known], [Unknown]", 1), "cites Unknown"},
		{"no accuracy", strings.Replace(good, "Accuracy: exact. ", "", 1), "without its accuracy"},
		{"no errors", strings.Replace(good, "Errors: none. ", "", 1), "does not name its errors"},
		{"method", "type T int\n// F is. Errors: none.\nfunc (*T) F() {}", "no Source"},
		{"method of a generic type", "type T[A any] struct{}\n// F is. Errors: none.\nfunc (T[A]) F() {}", "no Source"},
	} {
		t.Run(c.name, func(t *testing.T) { assert.Contains(t, check(c.text), c.says) })
	}
	for name, result := range map[string]string{
		"quantity": "quantity.Celsius", "pointer": "*float64", "list": "[]float64", "map": "map[string]float64",
		"struct": "Result", "list of structs": "[]Result", "struct in a struct": "Outer",
		"with an error": "(float64, error)",
	} {
		text := "type Result struct{ TempC float64 }\ntype Outer struct{ In *Result; Next *Outer }\n// F is. Errors: " +
			"none. Source: [Known].\nfunc F() " + result + " { panic(0) }"
		assert.Contains(t, check(text), "without its accuracy", name)
	}
	for name, text := range map[string]string{
		"not exported": "type t int\nfunc (t) F() {}\nfunc g() {}",
		"exempt by name": "type T int\nfunc (T) String() string { return \"\" }\nfunc (T) Error() string { " +
			"return \"\" }",
		"no number in it": "type Kind string\n// F is. Errors: none. Source: [Known].\nfunc F() (Kind, bool, " +
			"error) { panic(0) }",
		"a type of its own in": "type Loop struct{ Next *Loop }\n// F is. Errors: none. Source: [Known].\nfunc F() " +
			"Loop { panic(0) }",
	} {
		assert.Empty(t, check(text), name)
	}
	contract := "x-assumption:\n  why: source\n  source: InContract\n"
	assert.Empty(t, uncited([]string{"InCode", "InContract"}, map[string]bool{"InCode": true}, contract))
	assert.Len(t, uncited([]string{"InCode", "Nowhere"}, map[string]bool{"InCode": true}, contract), 1)
}
