package arch

import (
	"fmt"
	"go/ast"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// calcEdges are the allowed imports between calculation packages, downward only; "" is calc itself.
var calcEdges = map[string][]string{
	"":            {},
	"quantity":    {},
	"source":      {},
	"text":        {},
	"numeric":     {""},
	"moistair":    {"", "numeric", "quantity"},
	"seawater":    {"", "moistair", "numeric", "quantity"},
	"evaporation": {"", "moistair", "quantity", "seawater"},
	"heat":        {"", "evaporation", "moistair", "numeric", "quantity", "seawater"},
	"topoff":      {"", "evaporation", "moistair", "quantity"},
	"light":       {"", "numeric", "quantity"},
	"carbonate":   {"", "numeric", "quantity", "seawater"},
	"dosing":      {"", "carbonate", "numeric", "quantity"},
	"mixing":      {"", "numeric", "quantity", "seawater"},
	"instrument":  {"", "numeric", "quantity", "seawater"},
	"fit":         {""},
	"uncertainty": {""},
	"hydraulics":  {"", "numeric", "quantity", "seawater"},
	"calibration": {"", "evaporation", "fit", "heat", "moistair", "numeric", "quantity", "seawater"},
	"year":        {"", "evaporation", "heat", "quantity"},
	"power":       {"", "evaporation", "heat", "numeric", "quantity", "seawater"},
	"plan":        {"", "carbonate", "evaporation", "heat", "light", "moistair", "power", "quantity", "topoff"},
	"sim": {"", "carbonate", "evaporation", "heat", "light", "moistair", "numeric", "plan", "quantity",
		"seawater"},
	"audit":       {"", "carbonate", "heat", "numeric", "plan", "power", "quantity", "reliability", "sim"},
	"draft":       {"", "audit", "evaporation", "heat", "moistair", "plan", "quantity", "remedy"},
	"reliability": {""},
	"risk":        {"", "audit", "numeric", "plan", "reliability"},
	"remedy":      {"", "audit", "heat", "numeric", "plan", "quantity", "risk"},
}

// libraries are the calculations that may import a general-purpose numerical
// library, and those that may draw numbers: from a seed that the input states.
var libraries = map[string][]string{
	"dosing":      {"gonum.org/v1/gonum"},
	"fit":         {"gonum.org/v1/gonum"},
	"hydraulics":  {"gonum.org/v1/gonum"},
	"uncertainty": {"gonum.org/v1/gonum", "math/rand/v2"},
	"risk":        {"gonum.org/v1/gonum", "math/rand/v2"},
}

func allowedLibrary(pkg, importPath string) bool {
	return slices.ContainsFunc(libraries[subjectOf(pkg)], func(l string) bool { return below(importPath, l) })
}

// spelling knows nothing of anybody: the core may ask it what a name was meant to be.
const spelling = module + "internal/spelling"

// sentences are data that everybody may hold: what is said to people, as a code and parameters.
const sentences = calcRoot + "/text"

// testSupport packages serve tests only.
var testSupport = []string{calcRoot + "/reference"}

// impure is what a pure calculation may not import, whatever lies below it too, and why.
var impure = map[string]string{
	"net":           "the core knows no network and no HTTP",
	"encoding/json": "the core knows no JSON",
	"os":            "the core reads no environment or file and starts nothing",
	"io/fs":         "the core reads no file",
	"syscall":       "the core asks nothing of the machine",
	"log":           "the core writes no log",
	"math/rand":     "same input, same answer",
	"crypto/rand":   "same input, same answer",
}

// below tells whether an import path is a package or lies under it.
func below(importPath, pkg string) bool {
	return importPath == pkg || strings.HasPrefix(importPath, pkg+"/")
}

func whyImpure(importPath string) string {
	for pkg, why := range impure {
		if below(importPath, pkg) {
			return why
		}
	}
	return ""
}

func subjectOf(pkg string) string {
	return strings.TrimPrefix(strings.TrimPrefix(pkg, calcRoot), "/")
}

// importViolations checks the imports of one non-test file.
func importViolations(pkg string, imports []string) []string {
	var out []string
	say := func(format string, args ...any) { out = append(out, pkg+": "+fmt.Sprintf(format, args...)) }
	inCalc := below(pkg, calcRoot) && !slices.Contains(testSupport, pkg)
	if _, listed := calcEdges[subjectOf(pkg)]; inCalc && !listed {
		say("is a calculation that calcEdges does not list: say there what it may import")
	}
	for _, p := range imports {
		own := strings.HasPrefix(p, module)
		switch {
		case slices.Contains(testSupport, p):
			say("imports %s, which serves tests only", p)
		case inCalc && allowedLibrary(pkg, p):
		case inCalc && whyImpure(p) != "":
			say("imports %s: %s", p, whyImpure(p))
		case inCalc && !own && strings.Contains(p, "."):
			say("imports %s: calculations use the standard library only, but for those in libraries", p)
		case inCalc && (p == spelling || p == sentences):
		case inCalc && own && !below(p, calcRoot):
			say("imports %s: calculations know nothing above them", p)
		case inCalc && own && !slices.Contains(calcEdges[subjectOf(pkg)], subjectOf(p)):
			say("imports %s, an edge that calcEdges does not allow: a subject imports downward only", p)
		}
		out = append(out, roomViolations(pkg, p)...)
		if pkg == module+"api" && p != "embed" {
			say("imports %s: api holds the contract's bytes and nothing else", p)
		}
		generator := pkg == module+"clients/go/generate" || pkg == module+"clients/js/build"
		generated := p == module+"internal/contract" || p == module+"internal/unit"
		// The bot is a program of this house: it counts replies as the service counts requests.
		ofBot := below(pkg, module+"clients/bot") && (p == module+"internal/limit" || p == module+"internal/probe")
		if below(pkg, module+"clients") && below(p, module+"internal") && !(generator && generated) && !ofBot {
			say("imports %s: clients see only the contract", p)
		}
	}
	return out
}

// The rooms beside calc: transport is true without physics, answer without a network, contract without either.
const (
	transportRoom = module + "internal/transport"
	answerRoom    = module + "internal/answer"
	contractRoom  = module + "internal/contract"
)

// roomViolations checks one import against what the rooms may know.
func roomViolations(pkg, p string) []string {
	for _, rule := range []struct {
		broken bool
		why    string
	}{
		{strings.Contains(p, "labstack/echo") && !below(pkg, transportRoom),
			"only internal/transport knows the framework"},
		{strings.Contains(p, "getkin/kin-openapi") && !below(pkg, contractRoom),
			"only internal/contract knows the contract library"},
		{below(p, transportRoom) && !below(pkg, transportRoom) && !below(pkg, module+"cmd"),
			"the transport: only cmd may"},
		{below(pkg, transportRoom) && below(p, calcRoot) && p != sentences,
			"the transport knows no calculation; internal/answer does"},
		{below(pkg, transportRoom) && below(p, answerRoom) && p != answerRoom,
			"the transport sees internal/answer, not its subjects"},
		{below(pkg, answerRoom) && (p == "net/http" || p == "net"), "answers know no network"},
		{below(pkg, contractRoom) && (below(p, calcRoot) && p != sentences || below(p, answerRoom) ||
			p == "net/http"),
			"the contract knows neither calculations nor HTTP"},
		{below(p, answerRoom) && !below(pkg, answerRoom) && !below(pkg, transportRoom),
			"answers: only the transport asks for them"},
	} {
		if rule.broken {
			return []string{pkg + ": imports " + p + ": " + rule.why}
		}
	}
	return nil
}

func importsOf(file *ast.File) []string {
	var out []string
	for _, i := range file.Imports {
		out = append(out, strings.Trim(i.Path.Value, `"`))
	}
	return out
}

// clockReaders are the functions of package time whose answer is not in their arguments.
var clockReaders = []string{"Now", "Since", "Until", "After", "AfterFunc", "Tick", "NewTimer", "NewTicker", "Sleep"}

// clockViolations finds the clock in a file, under whatever name package time is imported.
func clockViolations(file *ast.File, name string) []string {
	local := ""
	for _, i := range file.Imports {
		if i.Path.Value == `"time"` {
			local = "time"
			if i.Name != nil {
				local = i.Name.Name
			}
		}
	}
	var out []string
	switch local {
	case "":
		return nil
	case ".":
		return []string{name + ": imports time without a name, so that nobody sees who reads the clock"}
	}
	ast.Inspect(file, func(n ast.Node) bool {
		if s, ok := n.(*ast.SelectorExpr); ok {
			if x, ok := s.X.(*ast.Ident); ok && x.Name == local && slices.Contains(clockReaders, s.Sel.Name) {
				out = append(out, fmt.Sprintf("%s: time.%s reads the clock; the same input must give the same answer",
					name, s.Sel.Name))
			}
		}
		return true
	})
	return out
}

func TestImports(t *testing.T) {
	seen := map[string]bool{}
	for file, f := range sources(t) {
		pkg := packageOf(file)
		seen[pkg] = true
		for _, v := range importViolations(pkg, importsOf(f)) {
			t.Errorf("%s: %s", file, v)
		}
		if below(pkg, calcRoot) {
			for _, v := range clockViolations(f, file) {
				t.Error(v)
			}
		}
	}
	for subject := range calcEdges {
		pkg := strings.TrimSuffix(calcRoot+"/"+subject, "/")
		assert.True(t, seen[pkg], "calcEdges lists %s, which does not exist", pkg)
	}
}

// The list itself must be a downward order: no package reaches itself.
func TestAllowedEdgesHaveNoCycle(t *testing.T) {
	assert.Empty(t, cycle(calcEdges))
	assert.NotEmpty(t, cycle(map[string][]string{"a": {"b"}, "b": {"c"}, "c": {"a"}}))
}

// cycle returns a package that reaches itself, or nothing.
func cycle(edges map[string][]string) string {
	for from := range edges {
		reached := map[string]bool{}
		queue := slices.Clone(edges[from])
		for len(queue) > 0 {
			to := queue[0]
			queue = queue[1:]
			if to == from {
				return from + " imports itself in the end"
			}
			if !reached[to] {
				reached[to] = true
				queue = append(queue, edges[to]...)
			}
		}
	}
	return ""
}

// Each rule must be able to fail, and say why.
func TestImportRulesCatchWhatTheyAreFor(t *testing.T) {
	heat := calcRoot + "/heat"
	for _, c := range []struct{ name, pkg, imports, says string }{
		{"core with HTTP", heat, "net/http", "no HTTP"},
		{"core with a socket", heat, "net", "no network"},
		{"core with JSON", heat, "encoding/json", "no JSON"},
		{"core with files", heat, "os", "no environment"},
		{"core starting programs", heat, "os/exec", "no environment"},
		{"core with a log", heat, "log", "no log"},
		{"core with a structured log", heat, "log/slog", "no log"},
		{"core with chance", heat, "math/rand", "same answer"},
		{"core with newer chance", heat, "math/rand/v2", "same answer"},
		{"core with a library", heat, "gonum.org/v1/gonum/mat", "standard library only"},
		{"core with chance without a seed", calcRoot + "/uncertainty", "math/rand", "same answer"},
		{"core with chance where none is drawn", calcRoot + "/fit", "math/rand/v2", "same answer"},
		{"core importing upward", heat, calcRoot + "/plan", "downward only"},
		{"bottom importing its neighbour", calcRoot + "/quantity", calcRoot, "downward only"},
		{"core importing the transport", heat, module + "internal/transport", "nothing above"},
		{"new subject", calcRoot + "/tides", "math", "does not list"},
		{"framework in cmd", module + "cmd/saltwright", "github.com/labstack/echo/v4", "only internal/transport"},
		{"contract library in cmd", module + "cmd/saltwright", "github.com/getkin/kin-openapi/openapi3",
			"only internal/contract"},
		{"contract library in the transport", transportRoom, "github.com/getkin/kin-openapi/openapi3",
			"only internal/contract"},
		{"physics in the transport", transportRoom, heat, "knows no calculation"},
		{"a subject in the transport", transportRoom, answerRoom + "/heat", "not its subjects"},
		{"HTTP in an answer", answerRoom + "/heat", "net/http", "no network"},
		{"physics in the contract", contractRoom, heat, "neither calculations"},
		{"answers in the pages", module + "internal/webdocs", answerRoom, "only the transport"},
		{"transport in the documents", module + "internal/webdocs", module + "internal/transport", "only cmd may"},
		{"part of the transport", module + "internal/webdocs", module + "internal/transport/limits", "only cmd may"},
		{"logic inside api", module + "api", "fmt", "contract's bytes"},
		{"client looking inside", module + "clients/go", heat, "only the contract"},
		{"test support in product", heat, calcRoot + "/reference", "tests only"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := importViolations(c.pkg, []string{c.imports})
			require.NotEmpty(t, got)
			assert.Contains(t, strings.Join(got, "\n"), c.says)
		})
	}
	for pkg, imports := range map[string][]string{
		heat:                        {"math", "fmt", "math/bits", calcRoot, calcRoot + "/seawater"},
		calcRoot + "/fit":           {"gonum.org/v1/gonum/mat"},
		calcRoot + "/uncertainty":   {"math/rand/v2"},
		calcRoot + "/light":         {"time", "encoding/binary", calcRoot},
		calcRoot + "/reference":     {"os", "encoding/csv"},
		transportRoom:               {"github.com/labstack/echo/v4", "net/http", answerRoom, contractRoom},
		answerRoom + "/heat":        {heat, contractRoom},
		contractRoom:                {"github.com/getkin/kin-openapi/openapi3"},
		module + "cmd/saltwright":   {module + "internal/transport", "os"},
		module + "api":              {"embed"},
		module + "clients/go":       {"net/http", "encoding/json"},
		module + "clients/js/build": {contractRoom, module + "internal/unit"},
	} {
		assert.Empty(t, importViolations(pkg, imports), pkg)
	}
}

func TestClockRuleCatchesWhatItIsFor(t *testing.T) {
	for _, bad := range []string{
		"import \"time\"\nvar now = time.Now()",
		"import clock \"time\"\nvar now = clock.Now()",
		"import \"time\"\nvar age = time.Since(time.Time{})",
		"import \"time\"\nvar f = time.Now",
		"import . \"time\"\nvar now = Now()",
	} {
		assert.NotEmpty(t, clockViolations(parse(t, bad), "x"), bad)
	}
	for _, good := range []string{
		"import \"time\"\nvar noon = time.Date(2025, 1, 1, 12, 0, 0, 0, time.UTC)",
		"type t struct{}\nfunc (t) Now() int { return 0 }\nvar time t\nvar x = time.Now()",
	} {
		assert.Empty(t, clockViolations(parse(t, good), "x"), good)
	}
}
