package main

import (
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTheBundleIsUpToDate(t *testing.T) {
	want, err := bundle("../src", "../../testdata")
	require.NoError(t, err)
	got, err := os.ReadFile("../openapi.yaml")
	require.NoError(t, err)
	assert.True(t, string(want) == string(got), "the parts or the cases changed: go generate ./api")
}

// write makes the files of a contract and returns the folders of its parts and of its cases.
func write(t *testing.T, files map[string]string) (parts, cases string) {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		file := filepath.Join(dir, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
		require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
	}
	return filepath.Join(dir, "src"), filepath.Join(dir, "testdata")
}

// smallest is a contract of one calculation, with every rule of the parts.
var smallest = map[string]string{
	"src/openapi.yaml": `openapi: 3.0.3
paths:
  /v1/dose: {$ref: water/dose.yaml#/path}
x-operation:
  get: {responses: {'200': {description: The answer., headers: {}}, '422': {$ref: '#/components/responses/Invalid'}}}
  post: {requestBody: {required: true}, responses: {'200': {description: The answer., headers: {}}}}
components:
  responses:
    Invalid:
      description: Not valid.
      x-problems: [not_valid]
      content: &problem {application/problem+json: {schema: {$ref: problem.yaml#/Problem}}}
    Malformed: {description: Not read., content: *problem}
`,
	"src/problem.yaml": "Problem: {type: object, properties: {type: {type: string}}}\n",
	"src/answer.yaml":  "answer: {type: object, properties: {result: {}, sensitivity: {type: string}}}\n",
	"src/members.yaml": "volume_l: {type: number, description: water}\nset: {$ref: water/dose.yaml#/Set}\n",
	"src/water/dose.yaml": `path:
  get: {operationId: getDose}
  post:
    operationId: postDose
    description: What to add.
    x-request: {$ref: '#/DoseRequest'}
    x-result: {$ref: '#/DoseResult'}
DoseRequest:
  type: object
  required: [volume_l]
  properties:
    volume_l: {$ref: ../members.yaml#/volume_l}
    days: {type: integer, format: int64, description: how long, example: 3}
    salt: {type: string, enum: [dry, moist], description: how it comes, default: dry}
DoseResult: {type: object, properties: {set: {$ref: ../members.yaml#/set}}}
Set: {type: object, properties: {n: {type: string, pattern: ^a}}}
`,
	"testdata/api/postDose/example.request.json":        `{"volume_l": 3}`,
	"testdata/api/postDose/example.response.json":       "{\n \"result\": {}\n}",
	"testdata/api/postDose/example-twice.request.json":  `{"volume_l": 4, "salt": "moist"}`,
	"testdata/api/postDose/empty-problem.request.json":  `{}`,
	"testdata/api/postDose/empty-problem.response.json": `{}`,
	"testdata/api/postDose/other.request.json":          `{"volume_l": 5}`,
	"testdata/problems/not_valid.json":                  `{"type": "/problems/not_valid"}`,
}

func TestPartsBecomeOneDocument(t *testing.T) {
	got, err := bundle(write(t, smallest))
	require.NoError(t, err)
	want, err := os.ReadFile("testdata/smallest.yaml")
	require.NoError(t, err)
	assert.Equal(t, string(want), string(got))
}

func TestPartsThatDoNotFitAreRefused(t *testing.T) {
	const water = "volume_l: {type: number, description: water}\n"
	for name, c := range map[string]struct{ file, text, says string }{
		"no such file":   {"src/members.yaml", "volume_l: {$ref: elsewhere.yaml#/volume}\n", "elsewhere.yaml"},
		"no such member": {"src/members.yaml", "volume_l: {$ref: water/dose.yaml#/volume}\n", "holds no volume"},
		"no such schema": {"src/members.yaml", water + "set: {$ref: water/dose.yaml#/Sets}\n", "holds no Sets"},
		"inside another": {"src/members.yaml", "volume_l: {$ref: water/dose.yaml#/Set/n}\n", "file#/name"},
		"not alone":      {"src/members.yaml", "volume_l: {$ref: '#/set', description: more}\n", "stand alone"},
		"two homes": {"src/problem.yaml", "Problem: {type: object, items: {$ref: '#/Set'}}\nSet: {}\n",
			"Set: both"},
		"not YAML":         {"src/problem.yaml", "Problem: {", "problem.yaml"},
		"no example":       {"src/members.yaml", water + "set: {type: string}\n", "states days"},
		"no description":   {"src/members.yaml", "volume_l: {type: number}\nset: {type: string}\n", "no description"},
		"no problem":       {"src/problem.yaml", "Problem: {type: object}\n", "not_valid.json"},
		"a case not JSON":  {"testdata/api/postDose/example.request.json", "{", "example.request.json"},
		"a case not there": {"testdata/api/postDose/example.response.json", "", "example.response.json"},
	} {
		t.Run(name, func(t *testing.T) {
			files := maps.Clone(smallest)
			files[c.file] = c.text
			switch name {
			case "no example":
				files["src/water/dose.yaml"] = strings.Replace(files["src/water/dose.yaml"], ", example: 3", "", 1)
			case "no problem":
				delete(files, "testdata/problems/not_valid.json")
			}
			_, err := bundle(write(t, files))
			require.ErrorContains(t, err, c.says)
		})
	}
}
