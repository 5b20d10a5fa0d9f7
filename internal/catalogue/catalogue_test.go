package catalogue

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.yaml.in/yaml/v3"

	"saltwright/internal/calc/text"
)

var placeholder = regexp.MustCompile(`\{\{\.([a-z_0-9]+)\}\}`)

// parsed returns what a language file says, each code as its forms.
func parsed(t *testing.T, file []byte) map[string]map[string]string {
	t.Helper()
	var said map[string]any
	require.NoError(t, yaml.Unmarshal(file, &said))
	out := map[string]map[string]string{}
	for code, m := range said {
		switch m := m.(type) {
		case string:
			out[code] = map[string]string{"other": m}
		case map[string]any:
			out[code] = map[string]string{}
			for form, s := range m {
				out[code][form], _ = s.(string)
			}
		}
	}
	return out
}

// Every code has its English, and the English uses the parameters that the code declares.
func TestEnglishIsWhole(t *testing.T) {
	said := parsed(t, fileOf(t, English))
	for list, words := range Words {
		for _, w := range words {
			assert.NotEmpty(t, said[list+"_"+w], "%s_%s has no English", list, w)
			delete(said, list+"_"+w)
		}
	}
	for code, params := range Codes {
		forms, ok := said[code]
		if !assert.True(t, ok, "%s has no English", code) {
			continue
		}
		delete(said, code)
		used, counted := map[string]bool{}, false
		for _, form := range forms {
			for _, m := range placeholder.FindAllStringSubmatch(form, -1) {
				used[m[1]] = true
			}
			assert.Equal(t, strings.Count(form, "{{"), len(placeholder.FindAllString(form, -1)), "%s: %s", code, form)
		}
		for _, p := range params {
			counted = counted || p.Kind == KindCount || strings.HasPrefix(code, "duration_in_days")
			if p.Kind != KindCount {
				assert.True(t, used[p.Name], "%s does not use %s", code, p.Name)
			}
			delete(used, p.Name)
		}
		assert.Empty(t, used, "%s uses what it does not declare", code)
		assert.Equal(t, len(forms) > 1, counted, "%s: one form for one and one for others, and only with a count",
			code)
	}
	assert.Empty(t, said, "English that no code declares")
}

// What the sources say is declared, with the parameters that they give; what is declared is said somewhere.
func TestSourcesSayWhatIsDeclared(t *testing.T) {
	said := map[string]bool{}
	root := filepath.Join("..", "..")
	require.NoError(t, filepath.WalkDir(filepath.Join(root, "internal"),
		func(file string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(file, ".go") || strings.HasSuffix(file, "_test.go") {
				return err
			}
			f, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
			if err != nil {
				return err
			}
			ast.Inspect(f, func(n ast.Node) bool {
				switch n := n.(type) {
				case *ast.BasicLit:
					if s, err := strconv.Unquote(n.Value); n.Kind == token.STRING && err == nil {
						said[s] = true
					}
				case *ast.CallExpr:
					checkCall(t, file, n)
				}
				return true
			})
			return nil
		}))
	contract, err := os.ReadFile(filepath.Join(root, "api", "openapi.yaml"))
	require.NoError(t, err)
	for code := range Codes {
		inContract := strings.Contains(string(contract), "note: "+code)
		assert.True(t, said[code] || inContract, "nothing says %s", code)
	}
}

// checkCall checks a call of text.Of whose code and parameters are literals.
func checkCall(t *testing.T, file string, call *ast.CallExpr) {
	t.Helper()
	f, ok := call.Fun.(*ast.SelectorExpr)
	if !ok || f.Sel.Name != "Of" || len(call.Args) != 2 {
		return
	}
	if pkg, ok := f.X.(*ast.Ident); !ok || pkg.Name != "text" {
		return
	}
	lit, ok := call.Args[0].(*ast.BasicLit)
	if !ok {
		return
	}
	code, err := strconv.Unquote(lit.Value)
	require.NoError(t, err)
	params, ok := Codes[code]
	if !assert.True(t, ok, "%s says %s, which codes.yaml does not declare", file, code) {
		return
	}
	given := map[string]bool{}
	switch p := call.Args[1].(type) {
	case *ast.CompositeLit:
		for _, e := range p.Elts {
			if kv, ok := e.(*ast.KeyValueExpr); ok {
				if key, ok := kv.Key.(*ast.BasicLit); ok {
					name, _ := strconv.Unquote(key.Value)
					given[name] = true
				}
			}
		}
	case *ast.Ident:
		if p.Name != "nil" {
			return // a variable
		}
	default:
		return
	}
	declared := map[string]bool{}
	for _, p := range params {
		declared[p.Name] = true
	}
	assert.Equal(t, slices.Sorted(maps.Keys(declared)), slices.Sorted(maps.Keys(given)), "%s: parameters of %s", file,
		code)
}

func TestNumbersAreSaidAsPeopleSayThem(t *testing.T) {
	for _, c := range []struct {
		quantity   string
		value      float64
		metric, us string
	}{
		{"temperature", 25.5, "25.5 °C", "77.9 °F"},
		{"temperature", -0.04, "0.0 °C", "31.9 °F"},
		{"temperature_difference", 1.11111111, "1.1 K", "2.0 °F"},
		{"specific_gravity", 1.0264, "1.0264", "1.0264"},
		{"salinity", 35, "35.00", "35.00"},
		{"power", 12345.4, "12,345 W", "12,345 W"},
		{"volume", 0.001234, "0.00123 L", "0.000326 gal"},
		{"volume", 250, "250 L", "66 gal"},
		{"share", 0.87, "87 %", "87 %"},
		{"share", 0.005, "0.5 %", "0.5 %"},
		{"duration", 0.35, "21 min", "21 min"},
		{"duration", 5.5, "5 h 30 min", "5 h 30 min"},
		{"duration", 0.001, "less than a minute", "less than a minute"},
		{"duration", 0, "0 min", "0 min"},
		{"duration", 12, "12 h", "12 h"},
		{"duration", 47.4, "47 h", "47 h"},
		{"duration", 80, "3.3 days", "3.3 days"},
		{"duration", 91296, "3,804 days", "3,804 days"},
		{"duration_days", 9, "9 days", "9 days"},
		{"duration_days", 1, "24 h", "24 h"},
		{"power_per_volume", 0.7, "0.7 W/L", "2.6 W/gal"},
	} {
		assert.Equal(t, c.metric, Reader{Units: Metric}.Speaker().Number(c.value, c.quantity, ""),
			"%s %g", c.quantity, c.value)
		assert.Equal(t, c.us, Reader{Units: US}.Speaker().Number(c.value, c.quantity, ""),
			"%s %g", c.quantity, c.value)
	}
}

func TestTextsAreSaidInOneOrSeveral(t *testing.T) {
	s := Reader{Units: Metric}.Speaker()
	buy := func(n int) string {
		return s.Say(text.Of("heater_buy", text.Params{"count": n, "power": 150.0}))
	}
	assert.Equal(t, "Buy one heater of 150 W.", buy(1))
	assert.Equal(t, "Buy 3 heaters of 150 W each.", buy(3))
	assert.Panics(t, func() { s.Say(text.Of("heater_buy", nil)) }, "a parameter is missing")
	assert.Panics(t, func() { s.Say(text.Of("nothing_says_this", nil)) })
	assert.Equal(t, "", s.Say(text.Text{}))
	assert.Equal(t, "a, b and c", s.enumerate([]string{"a", "b", "c"}))
	q := quantities["specific_gravity"]
	assert.Equal(t, "1.0264 ± 0.0012", q.measured(s, text.Measured{Value: 1.02641, Uncertainty: 0.00119}))
	q = quantities["temperature"]
	assert.Equal(t, "77.9 °F ± 0.9 °F",
		strings.Replace(q.measured(Reader{Units: US}.Speaker(), text.Measured{Value: 25.5, Uncertainty: 0.5}),
			" ±", " °F ±", 1))
}

// A limit is never promised looser than it is.
func TestLimitsAreRoundedToTheSafeSide(t *testing.T) {
	q := quantities["power"]
	assert.Equal(t, "126 W", q.write(Reader{Units: Metric}.Speaker(), 125.2, up))
	assert.Equal(t, "125 W", q.write(Reader{Units: Metric}.Speaker(), 125.0000000001, up))
	assert.Equal(t, "125 W", q.write(Reader{Units: Metric}.Speaker(), 125.9, down))
}
