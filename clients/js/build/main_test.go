package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/contract"
)

// What is committed is what the sources and the contract make: whoever changes one builds anew.
func TestDistIsWhatTheSourcesMake(t *testing.T) {
	c, err := contract.Load()
	require.NoError(t, err)
	rules, err := rulesModule(c)
	require.NoError(t, err)
	kept, err := os.ReadFile("../widgets/contract.gen.js")
	require.NoError(t, err)
	require.Equal(t, string(kept), string(rules), "go generate ./clients/js")
	kept, err = os.ReadFile("../src/operations.js")
	require.NoError(t, err)
	require.Equal(t, string(kept), string(operationsModule(c)), "go generate ./clients/js")
	table, err := unitsModule(c)
	require.NoError(t, err)
	kept, err = os.ReadFile("../src/units.gen.js")
	require.NoError(t, err)
	require.Equal(t, string(kept), string(table), "go generate ./clients/js")

	named, err := os.ReadFile("../package.json")
	require.NoError(t, err)
	require.Contains(t, string(named), `"version": "`+c.Version+`"`, "go generate ./clients/js")

	files, err := bundles("..")
	require.NoError(t, err)
	there, err := os.ReadDir("../dist")
	require.NoError(t, err)
	assert.Len(t, there, len(files))
	for name, data := range files {
		kept, err := os.ReadFile(filepath.Join("../dist", name))
		require.NoError(t, err)
		assert.True(t, bytes.Equal(kept, data), "%s: go generate ./clients/js", name)
	}
}

func TestRulesSayWhatTheContractSays(t *testing.T) {
	document := `{"openapi": "3.0.3", "info": {"title": "t", "version": "1"}, "paths": {}, "components": {"schemas": {
		"HeaterSizingRequest": {"type": "object", "required": ["room_c"], "properties": {
			"room_c": {"type": "number", "minimum": -5, "maximum": 45},
			"lid": {"type": "string", "enum": ["open", "closed"], "default": "open"},
			"pumps_w": {"type": "number", "minimum": 0, "maximum": 9, "default": 0},
			"note": {"type": "string"}}}`
	for _, name := range ruledSchemas[1:] {
		document += `, "` + name + `": {"type": "object"}`
	}
	c, err := contract.Parse([]byte(document + "}}}"))
	require.NoError(t, err)
	rules, err := rulesModule(c)
	require.NoError(t, err)
	assert.Contains(t, string(rules), `export const HeaterSizingRequest = {
  room_c: {"low":-5,"high":45,"required":true},
  lid: {"choices":["open","closed"],"empty":"open"},
  pumps_w: {"low":0,"high":9,"empty":0},
};`)
	_, err = rulesModule(&contract.Contract{})
	require.ErrorContains(t, err, "no schema HeaterSizingRequest")
}

// A widget that cannot be built, defines nothing or grows too heavy stops the build.
func TestABuildThatIsNotRightStops(t *testing.T) {
	for name, c := range map[string]struct{ source, want string }{
		"broken":    {`Widget.define("saltwright-audit"); import "./nowhere.js";`, "nowhere.js"},
		"nameless":  {`console.log(1)`, "defines no element"},
		"too heavy": {`Widget.define("saltwright-audit"); console.log("` + noise(mostBytes*2) + `")`, "weighs"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			require.NoError(t, os.Mkdir(filepath.Join(dir, "widgets"), 0o755))
			require.NoError(t, os.WriteFile(filepath.Join(dir, "widgets/audit.js"), []byte(c.source), 0o600))
			_, err := bundles(dir)
			require.ErrorContains(t, err, c.want)
		})
	}
}

// noise is n letters that do not compress.
func noise(n int) string {
	out := make([]byte, n)
	x := uint32(1)
	for i := range out {
		x = x*1664525 + 1013904223 // the quick generator of Numerical Recipes, from memory: any noise would do
		out[i] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_"[x>>26]
	}
	return string(out)
}

func TestTheVersionIsStamped(t *testing.T) {
	file := filepath.Join(t.TempDir(), "package.json")
	require.NoError(t, os.WriteFile(file, []byte("{\n  \"version\": \"0.1.0\"\n}"), 0o600))
	require.NoError(t, stampVersion(file, "1.2.3"))
	got, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, "{\n  \"version\": \"1.2.3\"\n}", string(got))
	require.NoError(t, os.WriteFile(file, []byte("{}"), 0o600))
	assert.ErrorContains(t, stampVersion(file, "1.2.3"), "no line for its version")
	assert.Error(t, stampVersion(file+"x", "1.2.3"))
}
