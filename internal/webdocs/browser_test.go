package webdocs_test

import (
	"context"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// without skips a test for what it lacks, and fails it where everything must be there.
func without(t *testing.T, what string) {
	t.Helper()
	if os.Getenv("CI") == "true" {
		t.Fatalf("CI must have %s", what)
	}
	t.Skipf("needs %s", what)
}

// modules is the folder of the npm packages that the browser test needs.
func modules(t *testing.T) string {
	t.Helper()
	for _, dir := range append(filepath.SplitList(os.Getenv("NODE_PATH")), "../../.ci/node_modules") {
		if dir == "" {
			continue
		}
		_, noAxe := os.Stat(filepath.Join(dir, "axe-core", "package.json"))
		_, noPlaywright := os.Stat(filepath.Join(dir, "playwright-core", "package.json"))
		if noAxe == nil && noPlaywright == nil {
			full, err := filepath.Abs(dir)
			require.NoError(t, err)
			return full
		}
	}
	without(t, "the npm packages playwright-core and axe-core, in .ci/node_modules or NODE_PATH")
	return ""
}

// The site in a real browser: no axe violation in light and dark, on a phone and a desk, reflow at 320 px, forms
// with and without scripts, the keyboard, and not one request to another host.
func TestBrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("opens a browser")
	}
	node, err := exec.LookPath("node")
	if err != nil {
		without(t, "node")
	}
	chromium, err := exec.LookPath("chromium")
	if err != nil {
		without(t, "chromium")
	}
	packages := modules(t)
	server := httptest.NewServer(host(t))
	defer server.Close()
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	defer cancel()
	browse := exec.CommandContext(ctx, node, "testdata/browse.cjs", server.URL, chromium)
	browse.Env = append(os.Environ(), "NODE_PATH="+packages)
	out, err := browse.CombinedOutput()
	require.NoError(t, err, "%s", out)
}
