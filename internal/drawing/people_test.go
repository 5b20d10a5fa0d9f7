package drawing

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/catalogue"
	"saltwright/internal/phrase"
)

func TestPersonsAreToldByTheirWays(t *testing.T) {
	var plan map[string]any
	require.NoError(t, json.Unmarshal([]byte(`{"display":{"volume_l":100},
		"sensors":[{"id":"probe","kind":"temperature"}],
		"alarms":[{"id":"cold","sensor":"probe","when":"below","threshold_c":24,"paths":["modem","siren"]}],
		"modems":[{"id":"modem"}],"sirens":[{"id":"siren"}],
		"persons":[{"id":"kim"},{"id":"neighbour","reached_by":["siren"]}]}`), &plan))
	m := Of(plan, phrase.In(catalogue.English))
	assert.Equal(t, Paths, m.Part("siren").Zone)
	assert.Equal(t, Person, m.Part("kim").Zone)
	assert.Nil(t, m.Part("you"), "the plan names whom alarms reach")
	assert.Contains(t, m.Lines, Line{[]string{"cold"}, []string{"modem", "siren"}, Tells})
	assert.Contains(t, m.Lines, Line{[]string{"modem"}, []string{"kim"}, Tells})
	assert.Contains(t, m.Lines, Line{[]string{"siren"}, []string{"neighbour"}, Tells})
}
