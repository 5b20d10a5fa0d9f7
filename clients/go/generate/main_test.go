package main

import (
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/contract"
)

func TestTheGeneratedFilesAreUpToDate(t *testing.T) {
	files, err := generated()
	require.NoError(t, err)
	for name, want := range files {
		got, err := os.ReadFile(filepath.Join("..", name))
		require.NoError(t, err)
		assert.True(
			t, string(want) == string(got), "%s: the contract or the units changed: go generate ./clients/go", name,
		)
	}
}

func TestAPlainReferenceTakesTheDescriptionOfWhatItNames(t *testing.T) {
	c, err := contract.Parse([]byte(`{"openapi": "3.0.3", "info": {"title": "t", "version": "1"}, "paths": {},
		"components": {"schemas": {"Inner": {"type": "object", "description": "a part", "properties": {}},
		"Outer": {"type": "object", "properties": {"inner": {"$ref": "#/components/schemas/Inner"}}}}}}`))
	require.NoError(t, err)
	got, err := types(c)
	require.NoError(t, err)
	assert.Contains(t, string(got), "\t// a part\n\tInner *Inner")
}

func TestWhatGoCannotSayIsRefused(t *testing.T) {
	answer := contract.Answer{Status: "200", Media: "application/json", Schema: &contract.Schema{}}
	nameless := &contract.Operation{ID: "getX", Method: "GET", Answers: []contract.Answer{answer}}
	_, err := methods(&contract.Contract{Operations: []*contract.Operation{nameless}})
	assert.ErrorContains(t, err, "getX")
}

func TestNames(t *testing.T) {
	for member, name := range map[string]string{
		"heater_power_w": "HeaterPowerW", "violated-policies": "ViolatedPolicies",
		"salinity_psu": "SalinityPSU", "id": "ID",
	} {
		assert.Equal(t, name, goName(member))
	}
}

func TestChoicesHaveTypes(t *testing.T) {
	document := func(second string) []byte {
		return []byte(`{"openapi": "3.0.3", "info": {"title": "t", "version": "1"}, "paths": {},
			"components": {"schemas": {"First": {"type": "object", "properties": {
				"lid": {"type": "string", "enum": ["open", "20_20"]},
				"kind": {"type": "string", "enum": ["a"]}}},
			"Second": {"type": "object", "required": ["lid"], "properties": {
				"lid": {"type": "string", "enum": ["open", "20_20"]},
				"kind": {"type": "array", "items": {"type": "string", "enum": ["` + second + `"]}}}}}}}`)
	}
	c, err := contract.Parse(document("b"))
	require.NoError(t, err)
	got, err := types(c)
	require.NoError(t, err)
	for _, want := range []string{
		"Lid *Lid ", "Lid Lid ", "Kind *FirstKind ", "Kind []SecondKind ", "type Lid string",
		"LidOpen Lid = \"open\"", "Lid2020 Lid = \"20_20\"", "SecondKindB SecondKind = \"b\"",
	} {
		assert.Contains(t, string(regexp.MustCompile(` +`).ReplaceAll(got, []byte(" "))), want)
	}
	c, err = contract.Parse([]byte(`{"openapi": "3.0.3", "info": {"title": "t", "version": "1"}, "paths": {},
		"components": {"schemas": {"First": {"type": "object", "properties": {
			"lid": {"type": "string", "enum": ["a_b", "a-b"]}}}}}}`))
	require.NoError(t, err)
	_, err = types(c)
	assert.ErrorContains(t, err, "FirstLidAB")
}
