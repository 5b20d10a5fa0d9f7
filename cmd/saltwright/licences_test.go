package main

import (
	"context"
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Everything that is linked in has its licence among the texts; go generate writes them.
func TestLicencesArePrinted(t *testing.T) {
	var out output
	require.NoError(t, run(context.Background(), []string{"--licences"}, noEnvironment, &out))
	printed := map[string]bool{}
	for line := range strings.Lines(out.String()) {
		printed[strings.TrimSpace(line)] = true
	}
	list := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{.Path}}{{end}}", ".",
		"saltwright/clients/bot/cmd/saltwright-bot")
	modules, err := list.Output()
	require.NoError(t, err)
	for module := range strings.Lines(string(modules)) {
		if module = strings.TrimSpace(module); module != "" {
			assert.True(t, printed[module], "%s has no licence: run go generate ./cmd/saltwright", module)
		}
	}
	assert.True(t, printed["Go"])
	for _, text := range []string{"Permission is hereby granted", "Apache License", "Redistributions in binary form"} {
		assert.Contains(t, out.String(), text)
	}
}
