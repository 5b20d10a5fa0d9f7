// Command extractmethods writes the relations of the calculation core, as its doc
// comments state them, to one JSON file that the method pages are made from.
package main

import (
	"bytes"
	"cmp"
	"encoding/json"
	"flag"
	"fmt"
	"go/ast"
	"go/doc"
	"go/format"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"regexp"
	"slices"
	"strings"
)

func main() {
	core := flag.String("core", "../calc", "folder of the calculation core")
	out := flag.String("out", "methods.json", "file to write")
	flag.Parse()
	data, err := extract(os.DirFS(*core))
	if err == nil {
		err = os.WriteFile(*out, data, 0o644)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "extractmethods:", err)
		os.Exit(1)
	}
}

type subject struct {
	Package   string     `json:"package"`
	Doc       string     `json:"doc"`
	Relations []relation `json:"relations"`
}

type relation struct {
	Name       string     `json:"name"`
	Signature  string     `json:"signature"`
	Sentence   string     `json:"sentence"`
	Equation   []string   `json:"equation,omitempty"`
	Quantities []quantity `json:"quantities,omitempty"`
	Remarks    []string   `json:"remarks,omitempty"`
	Accuracy   string     `json:"accuracy,omitempty"`
	Errors     string     `json:"errors,omitempty"`
	Source     string     `json:"source"`
	Departure  string     `json:"departure,omitempty"`
}

type quantity struct {
	Symbol  string `json:"symbol,omitempty"`
	Meaning string `json:"meaning"`
	Unit    string `json:"unit,omitempty"`
	Range   string `json:"range,omitempty"`
}

// extract reads every package below the core's folder; those without a cited relation are left out.
func extract(core fs.FS) ([]byte, error) {
	folders := map[string][]*ast.File{}
	fset := token.NewFileSet()
	err := fs.WalkDir(core, ".", func(file string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(file, ".go") || strings.HasSuffix(file, "_test.go") {
			return err
		}
		text, err := fs.ReadFile(core, file)
		if err != nil {
			return err
		}
		f, err := parser.ParseFile(fset, file, text, parser.ParseComments)
		if err != nil {
			return err
		}
		folders[path.Dir(file)] = append(folders[path.Dir(file)], f)
		return nil
	})
	if err != nil {
		return nil, err
	}
	subjects := []subject{}
	for folder, files := range folders {
		p, err := doc.NewFromFiles(fset, files, folder)
		if err != nil {
			return nil, err
		}
		s := subject{Package: folder, Doc: strings.TrimSpace(p.Doc)}
		functions := slices.Clone(p.Funcs)
		for _, t := range p.Types {
			functions = append(append(functions, t.Funcs...), t.Methods...)
		}
		for _, f := range functions {
			if r, ok := read(fset, f); ok {
				s.Relations = append(s.Relations, r)
			}
		}
		slices.SortFunc(s.Relations, func(a, b relation) int { return cmp.Compare(a.Name, b.Name) })
		if len(s.Relations) > 0 {
			subjects = append(subjects, s)
		}
	}
	slices.SortFunc(subjects, func(a, b subject) int { return cmp.Compare(a.Package, b.Package) })
	var buf bytes.Buffer
	enc := json.NewEncoder(&buf)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", " ")
	err = enc.Encode(subjects)
	return buf.Bytes(), err
}

// read takes a docstring of the house's template apart; false where it cites nothing.
func read(fset *token.FileSet, f *doc.Func) (relation, bool) {
	r := relation{Name: f.Name, Signature: signature(fset, f.Decl)}
	if f.Recv != "" {
		r.Name = strings.TrimPrefix(f.Recv, "*") + "." + f.Name
	}
	var prose []string
	equation := true
	for _, block := range strings.Split(strings.TrimSpace(f.Doc), "\n\n") {
		lines := strings.Split(block, "\n")
		if !strings.HasPrefix(block, "\t") {
			prose = append(prose, lines...)
			prose = append(prose, "")
			continue
		}
		for i := range lines {
			lines[i] = strings.TrimPrefix(lines[i], "\t")
		}
		if equation && !quantities(lines) || defining(lines) {
			if len(r.Equation) > 0 {
				r.Equation = append(r.Equation, "")
			}
			r.Equation = append(r.Equation, lines...)
		} else {
			r.Quantities = append(r.Quantities, rows(lines)...)
		}
		equation = false
	}
	r.marked(strings.TrimSpace(strings.Join(prose, "\n")))
	return r, r.Source != ""
}

var marker = regexp.MustCompile(`\b(Accuracy|Errors|Source|Departure): `)

// marked fills in what the prose says: the first paragraph, remarks, and the marked sentences at the end.
func (r *relation) marked(prose string) {
	paragraphs := strings.Split(prose, "\n\n")
	r.Sentence = oneLine(paragraphs[0])
	rest := strings.Join(paragraphs[1:], "\n\n")
	if len(paragraphs) == 1 {
		if at := marker.FindStringIndex(r.Sentence); at != nil {
			rest, r.Sentence = r.Sentence[at[0]:], strings.TrimSpace(r.Sentence[:at[0]])
		}
	}
	marks := marker.FindAllStringSubmatchIndex(rest, -1)
	end := len(rest)
	for _, m := range slices.Backward(marks) {
		value := oneLine(rest[m[1]:end])
		end = m[0]
		switch rest[m[2]:m[3]] {
		case "Accuracy":
			r.Accuracy = value
		case "Errors":
			r.Errors = value
		case "Source":
			r.Source = value
		case "Departure":
			r.Departure = value
		}
	}
	for _, p := range strings.Split(rest[:end], "\n\n") {
		if p = oneLine(p); p != "" {
			r.Remarks = append(r.Remarks, p)
		}
	}
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

var (
	columns = regexp.MustCompile(`^(\S.*?)\s{2,}(\S.*)$`)
	unit    = regexp.MustCompile(`^(.*?)\s*\[([^\[\]]*)\]\s*(.*)$`)
	symbol  = regexp.MustCompile(`^\pL[\pL\pN]*\s{2,}`)
	limits  = regexp.MustCompile(`^(.*?),?\s((?:valid|published) \S.*)$`)
	assign  = regexp.MustCompile(`^\S[^\[]*?\s(=|<=|>=)\s`)
)

// quantities tells whether a block begins by listing quantities: a symbol, a gap, and either a unit in
// brackets or no equation in the whole block.
func quantities(lines []string) bool {
	if !columns.MatchString(lines[0]) || defining(lines) {
		return false
	}
	return strings.Contains(lines[0], "[") || symbol.MatchString(lines[0]) &&
		!strings.Contains(strings.Join(lines, ""), "=")
}

// defining tells whether a block's first line is an equation.
func defining(lines []string) bool {
	head, _, _ := strings.Cut(lines[0], "  ")
	return assign.MatchString(lines[0]) && (strings.Contains(head, "=") ||
		strings.HasPrefix(strings.TrimLeft(lines[0][len(head):], " "), "= "))
}

// rows reads quantities, one a line; a deeper indented line goes on with the one before.
func rows(lines []string) []quantity {
	var out []quantity
	for _, line := range lines {
		if strings.HasPrefix(line, " ") && len(out) > 0 {
			last := &out[len(out)-1]
			last.Meaning = oneLine(last.Meaning + " " + line)
			continue
		}
		q := quantity{Meaning: oneLine(line)}
		if m := columns.FindStringSubmatch(line); m != nil {
			q.Symbol, q.Meaning = m[1], oneLine(m[2])
			if u := unit.FindStringSubmatch(m[2]); u != nil && strings.Count(m[2], "[") == 1 {
				q.Meaning, q.Unit, q.Range = oneLine(u[1]), u[2], oneLine(strings.TrimPrefix(u[3], ","))
			} else if l := limits.FindStringSubmatch(q.Meaning); l != nil {
				q.Meaning, q.Range = l[1], l[2]
			}
		}
		out = append(out, q)
	}
	return out
}

func signature(fset *token.FileSet, d *ast.FuncDecl) string {
	bare := *d
	bare.Body, bare.Doc = nil, nil
	var out bytes.Buffer
	if err := format.Node(&out, fset, &bare); err != nil {
		return d.Name.Name // cannot happen with a parsed function
	}
	return out.String()
}
