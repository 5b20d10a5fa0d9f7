package contract

import (
	"context"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The document of every calculation is valid by itself and far smaller than the whole.
func TestPartsAreWholeDocuments(t *testing.T) {
	all, err := Load()
	require.NoError(t, err)
	parts := 0
	for _, o := range all.Operations {
		if o.Method != "POST" || !strings.HasPrefix(o.Path, "/v1/") {
			continue
		}
		data, err := all.Part(o.Name(), "https://saltwright.example")
		require.NoError(t, err, o.Name())
		doc, err := openapi3.NewLoader().LoadFromData(data)
		require.NoError(t, err, o.Name())
		require.NoError(t, doc.Validate(context.Background(), openapi3.DisableExamplesValidation()), o.Name())
		assert.Equal(t, 1, doc.Paths.Len(), o.Name())
		assert.Equal(t, "https://saltwright.example/", doc.Servers[0].URL)
		assert.Less(t, len(data), len(all.JSON), o.Name())
		parts++
	}
	assert.Greater(t, parts, 25)
	_, err = all.Part("tide", "")
	assert.ErrorContains(t, err, "no calculation tide")
}
