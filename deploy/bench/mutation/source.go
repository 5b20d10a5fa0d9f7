package main

import (
	"fmt"
	"go/ast"
	"go/token"
	"go/types"
	"os"
	"strings"

	"golang.org/x/tools/go/packages"
)

// change is one place of the source and what is put there.
type change struct {
	at   token.Position
	kind string
	text string // the line it stands on
	node ast.Node
	call string // the function of switches.go.txt that does it
}

func (c *change) String() string {
	return fmt.Sprintf("%s:%d:%d %s: %s", c.at.Filename, c.at.Line, c.at.Column, c.kind, c.text)
}

// source is a package as it was read, with every change that can be made to it.
type source struct {
	folder  string
	pkg     *packages.Package
	changes []*change
}

var (
	arithmetic = map[token.Token]string{
		token.ADD: "Plus", token.SUB: "Minus", token.MUL: "Times", token.QUO: "Over", token.REM: "Rest"}
	boundary = map[token.Token]string{
		token.LSS: "Less", token.LEQ: "LessOrEqual", token.GTR: "Greater", token.GEQ: "GreaterOrEqual"}
	comparison = map[token.Token]bool{token.EQL: true, token.NEQ: true, token.LSS: true, token.LEQ: true,
		token.GTR: true, token.GEQ: true}
	steps = map[token.Token]string{token.INC: "Up", token.DEC: "Down"}
)

func read(folder string) (*source, error) {
	config := &packages.Config{Mode: packages.NeedName | packages.NeedFiles | packages.NeedSyntax | packages.NeedTypes |
		packages.NeedTypesInfo | packages.NeedImports}
	found, err := packages.Load(config, "./"+folder)
	if err != nil {
		return nil, err
	}
	if len(found) != 1 || len(found[0].Errors) > 0 {
		return nil, fmt.Errorf("no single package that compiles: %v", found[0].Errors)
	}
	s := &source{folder: folder, pkg: found[0]}
	for i, file := range s.pkg.Syntax {
		lines, err := linesOf(s.pkg.GoFiles[i])
		if err != nil {
			return nil, err
		}
		ast.Inspect(file, func(n ast.Node) bool {
			if d, is := n.(*ast.GenDecl); is && d.Tok == token.CONST {
				return false
			}
			if a, is := n.(*ast.ArrayType); is && a.Len != nil {
				return false
			}
			s.add(n, lines)
			return true
		})
	}
	return s, nil
}

// add notes the changes that can be made at a node itself.
func (s *source) add(n ast.Node, lines []string) {
	note := func(at token.Pos, kind, call string) {
		p := s.pkg.Fset.Position(at)
		text := strings.TrimSpace(lines[p.Line-1])
		p.Filename = p.Filename[strings.LastIndex(p.Filename, "/")+1:]
		s.changes = append(s.changes, &change{at: p, kind: kind, text: text, node: n, call: call})
	}
	switch n := n.(type) {
	case *ast.BinaryExpr:
		if call := arithmetic[n.Op]; call != "" && s.isNumber(n) {
			note(n.OpPos, "arithmetic", call)
		}
		if s.pkg.TypesInfo.Types[n].Value != nil {
			return
		}
		if call := boundary[n.Op]; call != "" {
			note(n.OpPos, "boundary", call)
		}
		if comparison[n.Op] {
			note(n.OpPos, "negation", "Not")
		}
	case *ast.IncDecStmt:
		note(n.TokPos, "step", steps[n.Tok])
	case *ast.UnaryExpr:
		if n.Op == token.SUB && s.isNumber(n) {
			note(n.OpPos, "sign", "Negative")
		}
	}
}

func (s *source) isNumber(e ast.Expr) bool {
	basic, is := s.pkg.TypesInfo.TypeOf(e).Underlying().(*types.Basic)
	return is && basic.Info()&types.IsNumeric != 0
}

func linesOf(file string) ([]string, error) {
	data, err := os.ReadFile(file)
	return strings.Split(string(data), "\n"), err
}
