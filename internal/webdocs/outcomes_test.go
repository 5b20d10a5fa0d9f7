package webdocs_test

import (
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
)

var update = flag.Bool("update", false, "write what the gallery keeps of the audits")

// What the gallery keeps of the example plans' audits is what the golden answers say, which a test of the transport
// holds to fresh audits. The headline is said in each language from its code and parameters.
func TestGalleryKeepsOutcomes(t *testing.T) {
	type kept struct {
		Verdict  string            `json:"verdict"`
		Kind     string            `json:"kind,omitempty"`
		Headline map[string]string `json:"headline"`
	}
	want := map[string]kept{}
	files, err := filepath.Glob("../../testdata/api/postPlanAudit/example*.response.json")
	require.NoError(t, err)
	require.Greater(t, len(files), 20)
	for _, file := range files {
		data, err := os.ReadFile(file) // #nosec G304 -- of this repository
		require.NoError(t, err)
		var told struct {
			Headline string `json:"headline"`
			Texts    []struct {
				Pointer string         `json:"pointer"`
				Code    string         `json:"code"`
				Params  map[string]any `json:"params"`
			} `json:"texts"`
			Result struct {
				Lost   int `json:"lost"`
				Harmed int `json:"harmed"`
				Faults []struct {
					Kind    string `json:"kind"`
					Verdict string `json:"verdict"`
				} `json:"faults"`
			} `json:"result"`
		}
		require.NoError(t, json.Unmarshal(data, &told), file)
		one := kept{Verdict: "held", Headline: map[string]string{}}
		for _, said := range told.Texts {
			if said.Pointer != "/headline" {
				continue
			}
			params := text.Params{}
			for name, value := range said.Params {
				params[name] = value
				if n, ok := value.(float64); ok && name == "count" {
					params[name] = int(n)
				}
			}
			for _, l := range catalogue.Languages {
				speaker := catalogue.Reader{Language: l, Units: catalogue.Metric}.Speaker()
				one.Headline[string(l)] = speaker.Say(text.Of(said.Code, params))
			}
			if said.Code == "audit_fails_by_itself" {
				one.Verdict = "itself"
			}
		}
		assert.Equal(t, told.Headline, one.Headline["en"], file)
		switch {
		case told.Result.Lost > 0:
			one.Verdict = "lost"
		case told.Result.Harmed > 0:
			one.Verdict = "harmed"
		}
		for _, f := range told.Result.Faults {
			shared := f.Kind == "circuit" || f.Kind == "box"
			if f.Verdict == one.Verdict && (one.Kind == "" || shared) {
				one.Kind = f.Kind
			}
		}
		name := strings.TrimPrefix(strings.TrimSuffix(filepath.Base(file), ".response.json"), "example-")
		if name == "example" {
			name = "bare-minimum"
		}
		want[name] = one
	}
	if *update {
		data, err := json.MarshalIndent(want, "", "  ")
		require.NoError(t, err)
		require.NoError(t, os.WriteFile("outcomes.json", append(data, '\n'), 0o600))
		return
	}
	var have map[string]kept
	data, err := os.ReadFile("outcomes.json")
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(data, &have))
	assert.Equal(t, want, have, "run go generate ./internal/webdocs")
}
