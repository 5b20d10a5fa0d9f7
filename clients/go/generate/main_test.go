package main

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTheGeneratedFileIsUpToDate(t *testing.T) {
	contract, err := os.ReadFile("../../../api/openapi.yaml")
	require.NoError(t, err)
	want, err := source(contract)
	require.NoError(t, err)
	got, err := os.ReadFile("../contract.gen.go")
	require.NoError(t, err)
	assert.True(t, string(want) == string(got), "the contract changed: go generate ./clients/go")
}

func TestWhatGoCannotSayIsRefused(t *testing.T) {
	_, err := source([]byte("components: {schemas: {Number: {type: number}}}"))
	assert.ErrorContains(t, err, "Number")
}

func TestNames(t *testing.T) {
	for member, name := range map[string]string{"heater_power_w": "HeaterPowerW", "violated-policies": "ViolatedPolicies", "salinity_psu": "SalinityPSU", "id": "ID"} {
		assert.Equal(t, name, exported(member))
	}
}
