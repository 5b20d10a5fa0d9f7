package webdocs_test

import (
	"encoding/json"
	"fmt"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
)

// without skips a test for what it lacks, and fails it where everything must be there.
func without(t *testing.T, what string) {
	t.Helper()
	if os.Getenv("CI") == "true" {
		t.Fatalf("CI must have %s", what)
	}
	t.Skipf("needs %s", what)
}

// snippetsOn are the programs that a page shows, by language, in the order of the page.
func snippetsOn(doc *html.Node) map[string][]string {
	out := map[string][]string{}
	for n := range doc.Descendants() {
		name, _ := attr(n, "aria-label")
		if language, ok := strings.CutPrefix(name, "In "); ok && n.Data == "pre" {
			var code strings.Builder
			for d := range n.Descendants() {
				if d.Type == html.TextNode {
					code.WriteString(d.Data)
				}
			}
			out[language] = append(out[language], code.String())
		}
	}
	return out
}

// Every program on the page for developers, and one with a document that has quotes, runs as it stands and prints an
// answer; in each language whose tool is here.
func TestSnippetsRun(t *testing.T) {
	if testing.Short() {
		t.Skip("compiles and runs programs")
	}
	server := httptest.NewServer(host(t))
	defer server.Close()
	tools := map[string][]string{
		"curl": {"sh", "sh"}, "JavaScript": {"mjs", "node"}, "Go": {"go", "go", "run"}, "Python": {"py", "python3"},
	}
	pages := []string{"/docs/", "/docs/reference/postPlanAudit/", "/docs/calculators/light-schedule-score/"}
	for _, page := range pages {
		shown := snippetsOn(parsed(t, get(host(t), page).Body.String()))
		require.Len(t, shown, len(tools), page)
		for language, programs := range shown {
			for i, program := range programs {
				t.Run(fmt.Sprintf("%s %s %d", page, language, i), func(t *testing.T) {
					tool := tools[language]
					for _, needed := range []string{tool[1], strings.ToLower(language)} {
						if _, err := exec.LookPath(needed); err != nil && (needed == tool[1] || needed == "curl") {
							without(t, needed)
						}
					}
					file := filepath.Join(t.TempDir(), "main."+tool[0])
					program = strings.ReplaceAll(program, "http://127.0.0.1:8080", server.URL)
					require.NoError(t, os.WriteFile(file, []byte(program), 0o600))
					out, err := exec.CommandContext(t.Context(), tool[1], append(tool[2:], file)...).Output()
					require.NoError(t, err, "%s\n%s", program, out)
					var answer struct{ Headline string }
					require.NoError(t, json.Unmarshal(out, &answer), "%s", out)
					assert.NotEmpty(t, answer.Headline)
				})
			}
		}
	}
}
