// Package browser opens the pages in a real browser. It is tests only, apart from those of the pages themselves, so
// that neither comes near the ten minutes that go test gives a package.
package browser

import (
	"context"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"saltwright/clients/js/demo"
	"saltwright/internal/transport"
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
	for _, dir := range append(filepath.SplitList(os.Getenv("NODE_PATH")), "../../../.ci/node_modules") {
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

// drive runs a script of testdata with Chromium; what the script prints is what is wrong.
func drive(t *testing.T, script string, origins ...string) {
	t.Helper()
	node, err := exec.LookPath("node")
	if err != nil {
		without(t, "node")
	}
	chromium, err := exec.LookPath("chromium")
	if err != nil {
		without(t, "chromium")
	}
	packages := modules(t)
	script = "testdata/" + script
	require.FileExists(t, script) // looked at by this process, so that go test's cache knows of the script
	ctx, cancel := context.WithTimeout(t.Context(), 8*time.Minute)
	defer cancel()
	run := exec.CommandContext(ctx, node, append(append([]string{script}, origins...), chromium)...)
	run.Env = append(os.Environ(), "NODE_PATH="+packages)
	out, err := run.CombinedOutput()
	require.NoError(t, err, "%s", out)
	t.Logf("%s", out)
}

// service is the whole service on a port of this machine.
func service(t *testing.T) *httptest.Server {
	t.Helper()
	all, err := transport.New(transport.Config{})
	require.NoError(t, err)
	server := httptest.NewServer(all)
	t.Cleanup(server.Close)
	return server
}

// The site in a real browser, each kind of page: no axe violation in light and dark, nothing beside the screen from 320
// to 1280 px, shifts and sizes, forms with and without scripts, the keyboard, and not one request to another host.
func TestBrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("opens a browser")
	}
	server := service(t)
	drive(t, "browse.cjs", server.URL)
}

// The workshop in a real browser: the whole job by forms without scripts and by keyboard with them, axe in its states
// in both themes, reflow, layout shifts and sizes.
func TestWorkshopInABrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("opens a browser")
	}
	server := service(t)
	drive(t, "workshop.cjs", server.URL)
}

// Every calculator's form with one bad value, in three languages: the page says the label, what was written and what to
// write, and no name or pointer of the contract.
func TestFormsInABrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("opens a browser")
	}
	drive(t, "forms.cjs", service(t).URL)
}

// The states of the workshop in German and Spanish, by mouse: axe in both themes, on a phone and a desk, nothing wider
// than the screen, and a script that speaks the page's language.
func TestWorkshopInABrowserInOtherLanguages(t *testing.T) {
	if testing.Short() {
		t.Skip("opens a browser")
	}
	drive(t, "workshop.cjs", service(t).URL, "languages")
}

// The widgets on a shop's page at another origin, under a content policy that lets nothing else run: every one
// computes, refuses, switches units and survives a service that is away, with no axe violation in any state.
func TestWidgetsInABrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("opens a browser")
	}
	server := service(t)
	page, err := demo.New(server.URL)
	require.NoError(t, err)
	shop := httptest.NewServer(page)
	defer shop.Close()
	drive(t, "widgets.cjs", shop.URL, server.URL)
}

// The page of the widgets: live examples in three languages and both themes, containers of 320 to 600 px, layout
// shifts, styles that stay on their side, the keyboard, and what stands there without scripts.
func TestEmbeddingInABrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("opens a browser")
	}
	server := service(t)
	drive(t, "embed.cjs", server.URL)
}
