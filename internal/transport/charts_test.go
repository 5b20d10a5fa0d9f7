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

	"saltwright/internal/chart"
)

// drawnBy are the calculations that have pictures, with how many their examples have.
var drawnBy = map[string]int{
	"postHeatBalance": 1, "postHeaterSizing": 1, "postEvaporation": 1, "postTopOffEndurance": 1,
	"postOutageEndurance": 2, "postAnnualBalance": 2, "postLightComparison": 1, "postLightAcclimation": 1,
	"postModelCalibration": 2, "postPlanAudit": 8, "postCarbonateSystem": 1, "postConsumption": 1,
	"postDose": 1, "postLimeWater": 1, "postWaterChange": 1, "postSalinityAdjustment": 1, "postInstrumentReading": 1,
	"postChillerSizing": 1, "postLightScheduleScore": 1,
}

// unitsOfAll are metric units that readers of US units have too.
var unitsOfAll = strings.NewReplacer("mol/(m² d)", "", "µmol/(m² s)", "", "mg/L", "")

func chartsOf(t *testing.T, r reply) []chart.Chart {
	t.Helper()
	require.Equal(t, http.StatusOK, r.status, "%s", r.body)
	var e struct {
		Charts []chart.Chart `json:"charts"`
	}
	require.NoError(t, json.Unmarshal(r.body, &e))
	return e.Charts
}

// metricUnit is what no picture for readers of US units says. Titles of fault courses quote the audit's sentences,
// whose units are not a picture's.
var metricUnit = regexp.MustCompile(`°C|[0-9] K\b|\bL\b|\bmm\b|[0-9] m\b|m²`)

// Every example is drawn in both systems of units where it is asked for, and only there. What is drawn lies within its
// axes, and no two texts lie on each other, on a phone or on a page.
func TestChartsOfEveryExample(t *testing.T) {
	s := newTestServer(t)
	for _, o := range s.contract.Operations {
		if o.Body == nil || o.Answer("200", asJSON).Schema.Member("charts") == nil {
			continue
		}
		files, err := filepath.Glob(filepath.Join(root(t), "testdata/api", o.ID, "example*.request.json"))
		require.NoError(t, err)
		request, err := os.ReadFile(files[0])
		require.NoError(t, err)
		for _, units := range []string{"metric", "us"} {
			drawn := chartsOf(t, post(t, s, o.Path+"?include=charts&units="+units, string(request)))
			assert.Len(t, drawn, drawnBy[o.ID], o.ID)
			for _, c := range drawn {
				checkChart(t, o.ID+" "+units+" "+c.Code, c)
				if data, _ := json.Marshal(c); units == "us" {
					written := unitsOfAll.Replace(strings.ReplaceAll(string(data), c.Title, ""))
					assert.Empty(t, metricUnit.FindAllString(written, -1), "%s: %s", o.ID, c.Title)
				}
			}
		}
	}
}

func TestChartsOnlyWhereAskedFor(t *testing.T) {
	s := newTestServer(t)
	const question = "/v1/evaporation?length_mm=1200&width_mm=500&room_c=22"
	assert.Empty(t, chartsOf(t, get(t, s, question)))
	assert.Len(t, chartsOf(t, get(t, s, question+"&include=charts")), 1)
	assert.Equal(t, http.StatusUnprocessableEntity, get(t, s, question+"&include=everything").status)
}

func checkChart(t *testing.T, about string, c chart.Chart) {
	t.Helper()
	assert.NotEmpty(t, c.Title, about)
	assert.NotEmpty(t, c.Sentence, about)
	assert.NotEmpty(t, c.Table.Rows, about)
	for _, r := range c.Table.Rows {
		assert.Len(t, r.Cells, len(c.Table.Columns), about)
	}
	for _, s := range c.Series {
		assert.NotEmpty(t, s.Name, about)
		assert.NotEmpty(t, s.Points, about)
		for _, p := range s.Points {
			inside := c.X.Min <= p.X && p.X <= c.X.Max && c.Y.Min <= p.Y && p.Y <= c.Y.Max
			assert.True(t, inside, "%s: %+v", about, p)
		}
	}
	for _, b := range c.Bands {
		assert.True(t, c.Y.Min <= b.From && b.From < b.To && b.To <= c.Y.Max, "%s: %+v", about, b)
	}
	for _, m := range c.Marks {
		assert.True(t, c.X.Min <= m.X && m.X <= c.X.Max, "%s: %+v", about, m)
	}
	for _, x := range c.Spans {
		assert.True(t, c.X.Min <= x.From && x.From < x.To && x.To <= c.X.Max, "%s: %+v", about, x)
	}
	assert.True(t, slices.IsSortedFunc(c.X.Ticks, func(a, b chart.Tick) int {
		if a.At < b.At {
			return -1
		}
		return 1
	}), about)
	for _, width := range []float64{chart.Narrow, chart.Wide} {
		assert.Empty(t, c.Collisions(width), "%s, %g wide", about, width)
	}
}
