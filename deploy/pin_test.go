package deploy

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// copied are the files that name images, in a folder of the test's, and what is at hand to pin them: a docker that
// knows one digest for every image.
func copied(t *testing.T, docker string) (folder string, pin func() (string, error)) {
	t.Helper()
	folder = t.TempDir()
	for _, file := range []string{"Dockerfile", "deploy/compose.yaml", "deploy/kubernetes/components/valkey/valkey.yaml"} {
		data, err := os.ReadFile(filepath.Join("..", file))
		require.NoError(t, err)
		to := filepath.Join(folder, file)
		require.NoError(t, os.MkdirAll(filepath.Dir(to), 0o755))
		require.NoError(t, os.WriteFile(to, data, 0o644))
	}
	programs := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(programs, "docker"), []byte(docker), 0o755))
	return folder, func() (string, error) {
		cmd := exec.Command("./pin", folder)
		cmd.Env = append(os.Environ(), "PATH="+programs+":"+os.Getenv("PATH"))
		out, err := cmd.CombinedOutput()
		return string(out), err
	}
}

// Every image that is not built here gets the digest that its tag has, and a new one when the tag has moved.
func TestBaseImagesCanBePinned(t *testing.T) {
	digest := func(digit string) string { return "sha256:" + strings.Repeat(digit, 64) }
	folder, pin := copied(t, "#!/bin/sh\necho "+digest("a")+"\n")
	out, err := pin()
	require.NoError(t, err, out)
	for _, name := range []string{"golang:1.26", "valkey/valkey:8-alpine", "nginx:1.28-alpine"} {
		assert.Contains(t, out, name+"@"+digest("a")+"\n")
	}
	assert.Equal(t, 3, strings.Count(out, "\n"), "no other image is asked for: %s", out)
	read := func(file string) string {
		data, err := os.ReadFile(filepath.Join(folder, file))
		require.NoError(t, err)
		return string(data)
	}
	assert.Contains(t, read("Dockerfile"), "ARG GO_IMAGE=golang:1.26@"+digest("a")+"\n")
	assert.Contains(t, read("deploy/compose.yaml"), "image: nginx:1.28-alpine@"+digest("a")+"\n")
	assert.Contains(t, read("deploy/compose.yaml"), "image: valkey/valkey:8-alpine@"+digest("a")+"\n")
	assert.Contains(t, read("deploy/compose.yaml"), "image: saltwright\n", "ours is built, not pulled")
	assert.Contains(t, read("deploy/kubernetes/components/valkey/valkey.yaml"), "valkey:8-alpine@"+digest("a")+"\n")
}

func TestAPinnedImageIsPinnedAgain(t *testing.T) {
	old, now := "sha256:"+strings.Repeat("a", 64), "sha256:"+strings.Repeat("b", 64)
	folder, pin := copied(t, "#!/bin/sh\necho "+now+"\n")
	file := filepath.Join(folder, "deploy/compose.yaml")
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	text := strings.ReplaceAll(string(data), "nginx:1.28-alpine", "nginx:1.28-alpine@"+old)
	require.NoError(t, os.WriteFile(file, []byte(text), 0o644))
	out, err := pin()
	require.NoError(t, err, out)
	data, err = os.ReadFile(file)
	require.NoError(t, err)
	assert.Contains(t, string(data), "nginx:1.28-alpine@"+now+"\n")
	assert.NotContains(t, string(data), old)
}

// What is no digest pins nothing.
func TestAnErrorOfARegistryPinsNothing(t *testing.T) {
	for _, docker := range []string{"#!/bin/sh\necho unauthorized\n", "#!/bin/sh\nexit 1\n"} {
		folder, pin := copied(t, docker)
		out, err := pin()
		assert.Error(t, err, out)
		data, err := os.ReadFile(filepath.Join(folder, "Dockerfile"))
		require.NoError(t, err)
		assert.NotContains(t, string(data), "@sha256:a")
		own, err := os.ReadFile("../Dockerfile")
		require.NoError(t, err)
		assert.Equal(t, string(own), string(data))
	}
}
