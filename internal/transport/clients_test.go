package transport

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/install"
)

// program runs a program in a folder and returns what it prints; one that is missing skips the test, but not in CI.
func program(t *testing.T, folder string, environment []string, name string, args ...string) string {
	t.Helper()
	if testing.Short() {
		t.Skip("installs a client")
	}
	if _, err := exec.LookPath(name); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("%s is missing: CI must have it", name)
		}
		t.Skipf("needs %s, which is not here", name)
	}
	cmd := exec.Command(name, args...)
	cmd.Dir, cmd.Env = folder, append(os.Environ(), environment...)
	var out, failed bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &failed
	require.NoError(t, cmd.Run(), "%s %s: %s%s", name, strings.Join(args, " "), out.String(), failed.String())
	return out.String()
}

const goCaller = `package main

import (
	"context"
	"fmt"
	"os"

	"saltwright.example/saltwright"
	"saltwright.example/saltwright/units"
)

func main() {
	client, err := saltwright.New(os.Args[1], saltwright.Interactive())
	if err != nil {
		panic(err)
	}
	request := saltwright.HeaterSizingRequest{
		LengthMm: 900, WidthMm: 500, WaterDepthMm: 500, RoomC: 21, Lid: saltwright.Of(saltwright.LidClosed),
	}
	answer, _, err := client.PostHeaterSizing(context.Background(), request)
	if err != nil {
		panic(err)
	}
	fmt.Print(answer.Result.NeededW > 10, " at ", units.Of("degC").Metric)
}
`

// A reader with the go command and this service alone gets a client that asks, and the checksum that the page shows.
func TestTheGoClientInstallsFromTheService(t *testing.T) {
	service := httptest.NewServer(newTestServer(t))
	defer service.Close()
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "main.go"), []byte(goCaller), 0o600))
	elsewhere := httptest.NewServer(http.NotFoundHandler()) // stands for the reader's other proxies
	defer elsewhere.Close()
	environment := []string{
		"GOPROXY=" + service.URL + "/go," + elsewhere.URL, "GONOSUMDB=saltwright.example", "GOTOOLCHAIN=local",
		"GOFLAGS=-modcacherw -trimpath -buildvcs=false", "GOMODCACHE=" + t.TempDir(), "GOWORK=off",
	}
	program(t, folder, environment, "go", "mod", "init", "reader.example/program")
	program(t, folder, environment, "go", "get", "saltwright.example/saltwright@latest")
	assert.Equal(t, "true at °C", program(t, folder, environment, "go", "run", ".", service.URL))
	sums, err := os.ReadFile(filepath.Join(folder, "go.sum"))
	require.NoError(t, err)
	offer, err := install.Load()
	require.NoError(t, err)
	assert.Contains(t, string(sums), offer.Module+" v"+offer.Version+" "+offer.Sum+"\n")
}

const nodeCaller = `import { Client, interactive } from "saltwright-client";
import { fromInches } from "saltwright-client/units.js";
const client = new Client(process.argv[2], interactive);
const { answer } = await client.postHeaterSizing({
  length_mm: fromInches(36), width_mm: 500, water_depth_mm: 500, room_c: 21, lid: "closed",
});
process.stdout.write(String(answer.result.needed_w > 10));
`

// npm gets the package from this service alone, with the integrity that the page shows.
func TestTheJavaScriptClientInstallsFromTheService(t *testing.T) {
	service := httptest.NewServer(newTestServer(t))
	defer service.Close()
	offer, err := install.Load()
	require.NoError(t, err)
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "ask.mjs"), []byte(nodeCaller), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "package.json"), []byte(`{"private": true}`), 0o600))
	nowhere := httptest.NewServer(http.NotFoundHandler()) // a package without dependencies needs no registry
	defer nowhere.Close()
	program(
		t, folder, nil, "npm", "install", "--no-audit", "--no-fund", "--cache", t.TempDir(), "--registry", nowhere.URL,
		service.URL+offer.Package,
	)
	lock, err := os.ReadFile(filepath.Join(folder, "package-lock.json"))
	require.NoError(t, err)
	assert.Contains(t, string(lock), offer.Integrity)
	assert.Equal(t, "true", program(t, folder, nil, "node", "ask.mjs", service.URL))
	for _, name := range []string{"README.md", "LICENSE", "src/client.d.ts", "src/contract.d.ts"} {
		assert.FileExists(t, filepath.Join(folder, "node_modules/saltwright-client", name))
	}
}

// Only what is offered is there: the go command goes on to another proxy where it hears 404.
func TestOnlyTheClientIsOffered(t *testing.T) {
	s := newTestServer(t)
	for address, status := range map[string]int{
		"/go/saltwright.example/saltwright/@v/list":         http.StatusOK,
		"/go/saltwright.example/saltwright/@latest":         http.StatusOK,
		"/go/saltwright.example/saltwright/units/@v/list":   http.StatusNotFound,
		"/go/saltwright.example/@v/list":                    http.StatusNotFound,
		"/go/github.com/labstack/echo/v4/@v/list":           http.StatusNotFound,
		"/go/saltwright.example/saltwright/@v/v0.0.1.zip":   http.StatusNotFound,
		"/go/sumdb/sums.example/supported":                  http.StatusNotFound,
		"/clients/saltwright-client-0.0.1.tgz":              http.StatusNotFound,
		"/clients/saltwright-client-" + version(t) + ".tgz": http.StatusOK,
	} {
		w := httptest.NewRecorder()
		s.ServeHTTP(w, httptest.NewRequest(http.MethodGet, address, nil))
		assert.Equal(t, status, w.Code, address)
		lasting := strings.Contains(address, "/@v/v") || strings.HasSuffix(address, ".tgz")
		if status == http.StatusOK {
			assert.Equal(t, lasting, w.Header().Get("Cache-Control") == keepForEver, address)
		}
	}
}

func version(t *testing.T) string {
	offer, err := install.Load()
	require.NoError(t, err)
	return offer.Version
}
