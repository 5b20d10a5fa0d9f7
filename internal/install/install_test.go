package install

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"encoding/json"
	"io"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/clients"
)

// The same sources give the same bytes, so that replicas, restarts and builds agree on every checksum.
func TestTheSameSourcesGiveTheSameBytes(t *testing.T) {
	a, err := offerOf(clients.Sources, "0.9.0")
	require.NoError(t, err)
	b, err := offerOf(clients.Sources, "0.9.0")
	require.NoError(t, err)
	assert.Equal(t, a, b)
	c, err := offerOf(clients.Sources, "0.9.1")
	require.NoError(t, err)
	assert.NotEqual(t, a.Sum, c.Sum, "a module's sum covers its version")
}

func TestThePackageHoldsWhatItSays(t *testing.T) {
	o, err := Load()
	require.NoError(t, err)
	z, err := gzip.NewReader(bytes.NewReader(o.Documents[0].Body))
	require.NoError(t, err)
	var manifest struct {
		Name, Version string
		Exports       map[string]map[string]string
		Dependencies  map[string]string
	}
	held := map[string]bool{}
	for r := tar.NewReader(z); ; {
		h, err := r.Next()
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
		name, ok := strings.CutPrefix(h.Name, "package/")
		require.True(t, ok, h.Name)
		held[name] = true
		if name == "package.json" {
			require.NoError(t, json.NewDecoder(r).Decode(&manifest))
		}
	}
	assert.Equal(t, "saltwright-client", manifest.Name)
	assert.Equal(t, o.Version, manifest.Version, "go generate ./clients/js")
	assert.Empty(t, manifest.Dependencies, "whoever installs it needs no registry")
	require.NotEmpty(t, manifest.Exports)
	for _, export := range manifest.Exports {
		for _, file := range export {
			if !strings.Contains(file, "*") {
				assert.True(t, held[strings.TrimPrefix(file, "./")], file)
			}
		}
	}
	for name := range held {
		top, _, _ := strings.Cut(name, "/")
		assert.Contains(t, []string{"package.json", "README.md", "LICENSE", "src", "widgets"}, top)
	}
}

func TestTheModuleImportsItself(t *testing.T) {
	o, err := Load()
	require.NoError(t, err)
	body := o.Documents[len(o.Documents)-1].Body
	r, err := zip.NewReader(bytes.NewReader(body), int64(len(body)))
	require.NoError(t, err)
	imported := 0
	for _, f := range r.File {
		assert.NotContains(t, f.Name, "_test.go")
		in, err := f.Open()
		require.NoError(t, err)
		text, err := io.ReadAll(in)
		require.NoError(t, err)
		assert.NotContains(t, string(text), `"saltwright/`, f.Name)
		imported += strings.Count(string(text), `"`+modulePath+`/units"`)
	}
	assert.Equal(t, 1, imported)
	ours, err := os.ReadFile("../../go.mod")
	require.NoError(t, err)
	assert.Contains(t, string(ours), "\ngo "+goVersion+"\n")
}

func TestMissingSourcesAreErrors(t *testing.T) {
	_, err := offerOf(fstest.MapFS{}, "0.9.0")
	assert.ErrorContains(t, err, "the npm package")
	_, err = offerOf(fstest.MapFS{"js/package.json": {}}, "0.9.0")
	assert.ErrorContains(t, err, "the Go module")
}
