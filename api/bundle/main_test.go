package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTheBundleIsUpToDate(t *testing.T) {
	want, err := bundle("../src", "../../testdata/api")
	require.NoError(t, err)
	got, err := os.ReadFile("../openapi.yaml")
	require.NoError(t, err)
	assert.True(t, string(want) == string(got), "the parts or the cases changed: go generate ./api")
}

func write(t *testing.T, files map[string]string) (parts, cases string) {
	t.Helper()
	parts, cases = t.TempDir(), t.TempDir()
	for name, text := range files {
		file := filepath.Join(parts, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
		require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
	}
	return parts, cases
}

// smallest is a contract of one operation, with every rule of the parts.
var smallest = map[string]string{
	"openapi.yaml": `openapi: 3.0.3
paths:
  /v1/dose: {$ref: water/dose.yaml#/path}
x-operation:
  get: {responses: {'200': {description: The answer., headers: {}}, '422': {$ref: '#/components/responses/Invalid'}}}
  post: {requestBody: {required: true}, responses: {'200': {description: The answer., headers: {}}}}
components:
  responses:
    Invalid: {description: Not valid., content: &problem {application/problem+json: {schema: {$ref: problem.yaml#/Problem}}}}
    Malformed: {description: Not read., content: *problem}
`,
	"problem.yaml": "Problem: {type: object, properties: {type: {type: string}}}\n",
	"answer.yaml":  "answer: {type: object, properties: {result: {}, sensitivity: {type: string}}}\n",
	"members.yaml": "volume_l: {type: number, description: water}\nset: {$ref: water/dose.yaml#/Set}\n",
	"water/dose.yaml": `path:
  get: {operationId: getDose}
  post: {operationId: postDose, x-request: {$ref: '#/DoseRequest'}, x-result: {$ref: '#/Set'}}
DoseRequest: {type: object, required: [volume_l], properties: {volume_l: {$ref: ../members.yaml#/volume_l}, set: {$ref: ../members.yaml#/set}}}
Set: {type: object, properties: {n: {type: integer, format: int64}}}
`,
}

func TestPartsBecomeOneDocument(t *testing.T) {
	parts, cases := write(t, smallest)
	dose := filepath.Join(cases, "postDose")
	require.NoError(t, os.Mkdir(dose, 0o755))
	for name, body := range map[string]string{
		"example.request": `{"volume_l": 3}`, "example.response": "{\n \"result\": {}\n}", "empty-problem.request": `{}`, "empty-problem.response": `{}`,
	} {
		require.NoError(t, os.WriteFile(filepath.Join(dose, name+".json"), []byte(body), 0o600))
	}
	got, err := bundle(parts, cases)
	require.NoError(t, err)
	want, err := os.ReadFile("testdata/smallest.yaml")
	require.NoError(t, err)
	assert.Equal(t, string(want), string(got))
}

func TestPartsThatDoNotFitAreRefused(t *testing.T) {
	for name, c := range map[string]struct{ file, text, says string }{
		"no such file":   {"members.yaml", "set: {$ref: elsewhere.yaml#/Set}\nvolume_l: {$ref: elsewhere.yaml#/volume}\n", "elsewhere.yaml"},
		"no such member": {"members.yaml", "set: {$ref: water/dose.yaml#/set}\nvolume_l: {type: number}\n", "holds no set"},
		"no such schema": {"members.yaml", "set: {$ref: water/dose.yaml#/Sets}\nvolume_l: {type: number}\n", "holds no Sets"},
		"inside another": {"members.yaml", "set: {$ref: water/dose.yaml#/Set/n}\nvolume_l: {type: number}\n", "file#/name"},
		"not alone":      {"members.yaml", "set: {$ref: water/dose.yaml#/Set, description: more}\nvolume_l: {type: number}\n", "stand alone"},
		"two homes":      {"members.yaml", "set: {$ref: '#/Set'}\nvolume_l: {type: number}\nSet: {type: object}\n", "Set: both"},
		"not YAML":       {"problem.yaml", "Problem: {", "problem.yaml"},
	} {
		t.Run(name, func(t *testing.T) {
			files := map[string]string{}
			for file, text := range smallest {
				files[file] = text
			}
			files[c.file] = c.text
			_, err := bundle(write(t, files))
			require.ErrorContains(t, err, c.says)
		})
	}
}
