package main

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/contract"
)

func TestTheGeneratedFileIsUpToDate(t *testing.T) {
	c, err := contract.Load()
	require.NoError(t, err)
	want, err := source(c)
	require.NoError(t, err)
	got, err := os.ReadFile("../contract.gen.go")
	require.NoError(t, err)
	assert.True(t, string(want) == string(got), "the contract changed: go generate ./clients/go")
}

func TestWhatGoCannotSayIsRefused(t *testing.T) {
	answer := contract.Answer{Status: "200", Media: "application/json", Schema: &contract.Schema{}}
	nameless := &contract.Operation{ID: "getX", Method: "GET", Answers: []contract.Answer{answer}}
	_, err := source(&contract.Contract{Operations: []*contract.Operation{nameless}})
	assert.ErrorContains(t, err, "getX")
}

func TestNames(t *testing.T) {
	for member, name := range map[string]string{
		"heater_power_w": "HeaterPowerW", "violated-policies": "ViolatedPolicies",
		"salinity_psu": "SalinityPSU", "id": "ID",
	} {
		assert.Equal(t, name, exported(member))
	}
}
