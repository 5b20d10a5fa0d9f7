package reading

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The script of the widgets reads plain numbers by itself and leaves the rest, null here, to this package. Its test
// reads the same table, so that both mean the same.
func TestPlainNumbersAsTheScriptReadsThem(t *testing.T) {
	data, err := os.ReadFile("testdata/plain.json")
	require.NoError(t, err)
	var rows [][2]any
	require.NoError(t, json.Unmarshal(data, &rows))
	require.Greater(t, len(rows), 15)
	for _, row := range rows {
		if row[1] == nil {
			continue
		}
		got, err := Field(row[0].(string), Wanted{Unit: "1"})
		require.NoError(t, err, row[0])
		assert.InDelta(t, row[1], got, 0, row[0]) // no calculation is done
	}
}
