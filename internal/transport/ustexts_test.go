package transport

import (
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// metric are numbers with a unit that readers in the US do not use. Kilowatt hours, watts, practical salinity, the
// units of light and of chemistry are the same for both.
var metric = regexp.MustCompile(
	`\d[\d.,]*[\s\x{a0}]?(°C|K|L|L/d|L/h|mm|mm/d|cm|m|m/s|m²|m³|kg|kg/h|W/K|W/L|litres?|metres?)(?:[\s.,;:)]|$)`)

// notSaid are members whose strings are not texts for people: data with units of their own, or what the reader sent.
var notSaid = []string{"unit", "texts", "pointer", "code", "model", "plan", "patch", "name", "place"}

// textsOf visits the strings of an answer that a person reads.
func textsOf(at string, v any, visit func(at, text string)) {
	switch v := v.(type) {
	case map[string]any:
		for name, member := range v {
			if !slices.Contains(notSaid, name) {
				textsOf(at+"/"+name, member, visit)
			}
		}
	case []any:
		for _, item := range v {
			textsOf(at+"/*", item, visit)
		}
	case string:
		visit(at, v)
	}
}

// Every text of every golden answer, asked for in US units, is without a metric one; headlines are short in both.
func TestTextsForUSReadersHaveNoMetricUnit(t *testing.T) {
	s := newTestServer(t)
	files, err := filepath.Glob(filepath.Join(root(t), "testdata/api/*/*.request.json"))
	require.NoError(t, err)
	walked, headlines := 0, 0
	for _, file := range files {
		id, name := filepath.Base(filepath.Dir(file)), strings.TrimSuffix(filepath.Base(file), ".request.json")
		o := s.contract.Operation(id)
		if o.ModelVersion == "" || strings.HasSuffix(name, "-problem") {
			continue
		}
		if testing.Short() && strings.HasPrefix(id, "postPlan") && !strings.HasPrefix(name, "example") {
			continue
		}
		request, err := os.ReadFile(file)
		require.NoError(t, err)
		for _, units := range []string{"us", "metric"} {
			r := answered(t, o, request, units)
			require.Equal(t, http.StatusOK, r.status, "%s/%s: %s", id, name, r.body)
			var answer map[string]any
			require.NoError(t, json.Unmarshal(r.body, &answer))
			headline, _ := answer["headline"].(string)
			assert.NotEmpty(t, headline, "%s/%s", id, name)
			assert.LessOrEqual(t, len([]rune(headline)), 140, "%s/%s: %s", id, name, headline)
			headlines++
			textsOf("", answer, func(at, text string) {
				walked++
				assert.NotContains(t, text, "<no value>", "%s/%s%s", id, name, at)
				if units == "us" {
					assert.NotRegexp(t, metric, text, "%s/%s%s", id, name, at)
				}
			})
		}
	}
	t.Logf("%d texts of %d answers", walked, headlines)
	assert.Greater(t, walked, 3000)
}

// Headlines of all examples are short in every language, and what stands there is of that language.
func TestHeadlinesAreShortInEveryLanguage(t *testing.T) {
	s := newTestServer(t)
	files, err := filepath.Glob(filepath.Join(root(t), "testdata/api/*/example*.request.json"))
	require.NoError(t, err)
	headlines := 0
	for _, file := range files {
		id, name := filepath.Base(filepath.Dir(file)), strings.TrimSuffix(filepath.Base(file), ".request.json")
		o := s.contract.Operation(id)
		if o.ModelVersion == "" || o.Body == nil || strings.HasSuffix(name, "-problem") {
			continue
		}
		request, err := os.ReadFile(file)
		require.NoError(t, err)
		said := map[string]bool{}
		for _, language := range []string{"en", "de", "es"} {
			r := post(t, s, o.Path+"?units=us&language="+language, string(request))
			require.Equal(t, http.StatusOK, r.status, "%s/%s: %s", id, name, r.body)
			var answer struct{ Headline string }
			require.NoError(t, json.Unmarshal(r.body, &answer))
			assert.LessOrEqual(t, len([]rune(answer.Headline)), 140, "%s: %s/%s: %s", language, id, name,
				answer.Headline)
			assert.NotContains(t, string(r.body), "<no value>", "%s: %s/%s", language, id, name)
			assert.False(t, said[answer.Headline], "%s/%s: %s says what another language says", id, name, language)
			said[answer.Headline] = true
			headlines++
		}
	}
	assert.Greater(t, headlines, 60)
}
