package main

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"fmt"
	"go/ast"
	"go/format"
	"go/parser"
	"go/token"
	"go/types"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"golang.org/x/tools/go/ast/astutil"
)

//go:embed switches.go.txt
var switches string

// compile builds the package's tests with every drawn change switched by its number, from 1, and returns the program.
func (s *source) compile(work string, drawn []*change) (string, error) {
	numbers := map[ast.Node]map[string]int{}
	for i, c := range drawn {
		if numbers[c.node] == nil {
			numbers[c.node] = map[string]int{}
		}
		numbers[c.node][c.call] = i + 1
	}
	replaced := map[string]string{}
	put := func(original, name string, text []byte) error {
		replaced[original] = filepath.Join(work, name)
		return os.WriteFile(replaced[original], text, 0o600)
	}
	for i, file := range s.pkg.Syntax {
		file.Comments = nil // they would be put where the code was
		var failed error
		astutil.Apply(file, nil, func(c *astutil.Cursor) bool {
			if calls := numbers[c.Node()]; calls != nil && failed == nil {
				var with ast.Node
				if with, failed = s.switched(c.Node(), calls, file); failed == nil {
					c.Replace(with)
				}
			}
			return true
		})
		if failed != nil {
			return "", failed
		}
		var text bytes.Buffer
		if err := format.Node(&text, s.pkg.Fset, file); err != nil {
			return "", err
		}
		if err := put(s.pkg.GoFiles[i], filepath.Base(s.pkg.GoFiles[i]), text.Bytes()); err != nil {
			return "", err
		}
	}
	folder := filepath.Dir(s.pkg.GoFiles[0])
	text := fmt.Appendf(nil, switches, s.pkg.Name, len(drawn)+1)
	if err := put(filepath.Join(folder, "switches_of_mutation.go"), "switches_of_mutation.go", text); err != nil {
		return "", err
	}
	overlay, err := json.Marshal(map[string]any{"Replace": replaced})
	if err != nil {
		return "", err
	}
	list, binary := filepath.Join(work, "overlay.json"), filepath.Join(work, "tests")
	if err := os.WriteFile(list, overlay, 0o600); err != nil {
		return "", err
	}
	// #nosec G204 -- the developer's own folder
	build := exec.Command("go", "test", "-c", "-vet=off", "-ldflags=-s -w", "-overlay", list, "-o", binary, "./"+s.folder)
	if out, err := build.CombinedOutput(); err != nil {
		return "", fmt.Errorf("%w: %s", err, out)
	}
	return binary, nil
}

// switched is a node with its changes behind switches; boundary and negation of one comparison may both be.
func (s *source) switched(n ast.Node, calls map[string]int, file *ast.File) (ast.Node, error) {
	var out ast.Expr
	switch n := n.(type) {
	case *ast.IncDecStmt:
		call := steps[n.Tok]
		return &ast.AssignStmt{Lhs: []ast.Expr{n.X}, Tok: token.ASSIGN, Rhs: []ast.Expr{call1(call, calls[call], n.X)}}, nil
	case *ast.UnaryExpr:
		return s.typed(n, file, call1("Negative", calls["Negative"], n.X))
	case *ast.BinaryExpr:
		if call := arithmetic[n.Op]; call != "" {
			return s.typed(n, file, call1(call, calls[call], n.X, n.Y))
		}
		out = n
		if call := boundary[n.Op]; calls[call] > 0 {
			out = call1(call, calls[call], n.X, n.Y)
		}
		if calls["Not"] > 0 {
			out = call1("Not", calls["Not"], out)
		}
	}
	return out, nil
}

func call1(name string, number int, arguments ...ast.Expr) *ast.CallExpr {
	id := &ast.BasicLit{Kind: token.INT, Value: fmt.Sprint(number)}
	return &ast.CallExpr{Fun: ast.NewIdent("mutation" + name), Args: append([]ast.Expr{id}, arguments...)}
}

// typed states the type of a constant, since a call would take it for its default type.
func (s *source) typed(e ast.Expr, file *ast.File, call *ast.CallExpr) (ast.Node, error) {
	if s.pkg.TypesInfo.Types[e].Value == nil {
		return call, nil
	}
	own := types.Default(s.pkg.TypesInfo.TypeOf(e))
	name := types.TypeString(own, func(p *types.Package) string {
		if p == s.pkg.Types {
			return ""
		}
		for _, i := range file.Imports {
			if strings.Trim(i.Path.Value, `"`) == p.Path() && i.Name != nil {
				return i.Name.Name
			}
		}
		return p.Name()
	})
	instance, err := parser.ParseExpr(fmt.Sprintf("mutation[%s]", name))
	if err != nil {
		return nil, err
	}
	index := instance.(*ast.IndexExpr)
	index.X = call.Fun
	call.Fun = index
	return call, nil
}
