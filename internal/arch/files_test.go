package arch

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// bannedNames say nothing about what is inside.
var bannedNames = []string{"utils", "util", "helpers", "helper", "common", "misc", "models", "types", "mapper",
	"manager"}

// nameViolations checks a Go file's path, folders and the words of its name, and its package.
func nameViolations(file, pkg string) []string {
	folder, name := filepath.Split(file)
	words := strings.Split(strings.TrimSuffix(name, ".go"), "_")
	words = append(words, strings.Split(folder, "/")...)
	words = append(words, strings.TrimSuffix(pkg, "_test"))
	for _, w := range words {
		if slices.Contains(bannedNames, w) {
			return []string{fmt.Sprintf("%s: %q says nothing; name it after its subject", file, w)}
		}
	}
	return nil
}

// strayPatterns are built from pieces so that this file does not match itself.
var strayPatterns = []*regexp.Regexp{
	regexp.MustCompile(`(^|[^A-Za-z0-9_.])/(wo` + `rk|fa` + `rm|ro` + `ot|ho` + `me)/[a-z.]`),
	regexp.MustCompile(`https?://(pro` + `xy|regi` + `stry|de` + `b)\.`),
	regexp.MustCompile(`(pro` + `xy|su` + `m)\.golang\.org|regi` + `stry\.(npmjs\.org|yarnpkg\.com)|de` +
		`b\.debian\.org|files\.pythonho` + `sted\.org`),
}

func strayViolations(file string, data []byte) []string {
	if bytes.IndexByte(data, 0) >= 0 {
		return nil // not text
	}
	var out []string
	for _, p := range strayPatterns {
		if m := p.Find(data); m != nil {
			out = append(out, fmt.Sprintf("%s: holds a machine's path or a registry's host: %q", file, m))
		}
	}
	return out
}

const longestFile = 500 // lines

// lengthViolations holds source files, but not tests, to a length that one subject fits in.
func lengthViolations(file string, data []byte) []string {
	ext := filepath.Ext(file)
	if !slices.Contains([]string{".go", ".js", ".ts"}, ext) || strings.HasSuffix(file, "_test.go") {
		return nil
	}
	if bytes.HasPrefix(data, []byte("// Code generated ")) {
		return nil // nobody reads it
	}
	if n := bytes.Count(data, []byte("\n")); n > longestFile {
		return []string{fmt.Sprintf("%s: %d lines, more than %d; one phenomenon a file", file, n, longestFile)}
	}
	return nil
}

// tracked lists the files under version control; in a copy without it, all files but what is fetched or built.
func tracked(t *testing.T, top string) []string {
	t.Helper()
	if _, err := os.Stat(filepath.Join(top, ".git")); err == nil {
		out, err := exec.Command("git", "-C", top, "ls-files", "-z").Output()
		require.NoError(t, err, "git cannot list the tracked files of %s", top)
		return strings.Split(strings.TrimSuffix(string(out), "\x00"), "\x00")
	}
	var files []string
	err := filepath.WalkDir(top, func(file string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && d.Name() == "node_modules":
			return fs.SkipDir
		case d.Type().IsRegular():
			relative, err := filepath.Rel(top, file)
			files = append(files, filepath.ToSlash(relative))
			return err
		}
		return nil
	})
	require.NoError(t, err)
	return files
}

func TestTrackedFiles(t *testing.T) {
	top := root(t)
	files := tracked(t, top)
	require.Greater(t, len(files), 100)
	for _, file := range files {
		data, err := os.ReadFile(filepath.Join(top, file))
		if os.IsNotExist(err) {
			continue // deleted and not yet committed
		}
		require.NoError(t, err)
		for _, v := range append(strayViolations(file, data), lengthViolations(file, data)...) {
			t.Error(v)
		}
	}
}

func TestNames(t *testing.T) {
	for file, f := range goFiles(t) {
		for _, v := range nameViolations(file, f.Name.Name) {
			t.Error(v)
		}
	}
}

// Each rule must be able to fail.
func TestFileRulesCatchWhatTheyAreFor(t *testing.T) {
	for _, banned := range bannedNames {
		assert.NotEmpty(t, nameViolations("internal/"+banned+"/x.go", "x"), "folder %s", banned)
		assert.NotEmpty(t, nameViolations("internal/heat/"+banned+".go", "heat"), "file %s", banned)
		assert.NotEmpty(t, nameViolations("internal/heat/"+banned+"_test.go", "heat"), "test %s", banned)
		assert.NotEmpty(t, nameViolations("internal/heat/wall_"+banned+".go", "heat"), "part of a name %s", banned)
		assert.NotEmpty(t, nameViolations("internal/heat/wall.go", banned), "package %s", banned)
		assert.NotEmpty(t, nameViolations("internal/heat/wall_test.go", banned+"_test"), "test package %s", banned)
	}
	assert.Empty(t, nameViolations("internal/heat/wall_test.go", "heat_test"))
	assert.Empty(t, nameViolations("internal/heat/prototypes.go", "heat"), "only whole words are banned")

	for _, bad := range []string{
		"see /wo" + "rk/main", "/fa" + "rm/x", "=/ro" + "ot/go", "\"/ho" + "me/someone\"",
		"https://pro" + "xy.example", "http://regi" + "stry.example", "https://de" + "b.example",
		"GOPROXY=pro" + "xy.golang.org", "//regi" + "stry.npmjs.org/x", "su" + "m.golang.org", "de" + "b.debian.org",
	} {
		assert.NotEmpty(t, strayViolations("x", []byte(bad)), bad)
		assert.Empty(t, strayViolations("x", append([]byte{0}, bad...)), "not text")
	}
	for _, good := range []string{"https://saltwright.example/v1", "heat/work done", "golang.org/x/net",
		"a/ho" + "me/x of a relative path"} {
		assert.Empty(t, strayViolations("x", []byte(good)), good)
	}

	lines := func(n int) []byte { return bytes.Repeat([]byte("\n"), n) }
	assert.NotEmpty(t, lengthViolations("x.go", lines(longestFile+1)))
	assert.NotEmpty(t, lengthViolations("x.js", lines(longestFile+1)))
	assert.Empty(t, lengthViolations("x.go", append([]byte("// Code generated by x. DO NOT EDIT.\n"),
		lines(longestFile)...)))
	assert.Empty(t, lengthViolations("x.go", lines(longestFile)))
	assert.Empty(t, lengthViolations("x_test.go", lines(longestFile+1)))
	assert.Empty(t, lengthViolations("x.csv", lines(longestFile+1)))
}
