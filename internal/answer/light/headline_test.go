package light

import (
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"

	"saltwright/internal/calc/light"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
)

// The longest numbers that a headline may carry.
func TestHeadlinesAreShort(t *testing.T) {
	dli, share := 1234.5, 12.34
	south := daylightRequest{LatitudeDeg: -66.55, Year: 2026, Month: 12, Day: 24}
	for _, said := range []text.Text{
		scoreHeadline(light.ScoreResult{Score: 98.76, DLI: &dli}), scoreHeadline(light.ScoreResult{Score: 98.76}),
		adjustmentHeadline(1439, 123.45), adjustmentHeadline(-1439, 123.45), adjustmentHeadline(0, 1),
		daylightHeadline(south, light.Daylight{DayLengthH: 23.75, DLI: dli}), daylightHeadline(south, light.Daylight{}),
		comparisonHeadline(light.ScoreResult{PhotoperiodH: 10.51}, light.Daylight{DayLengthH: 12.13},
			lightComparisonResponse{SurfaceShare: &share}),
		comparisonHeadline(light.ScoreResult{PhotoperiodH: 10.51}, light.Daylight{}, lightComparisonResponse{}),
		text.Of("light_acclimation", text.Params{"count": 52, "first": 12.34, "last": 100.0}),
	} {
		for _, u := range []catalogue.Units{catalogue.Metric, catalogue.US} {
			headline := catalogue.Reader{Units: u}.Speaker().Say(said)
			assert.LessOrEqual(t, utf8.RuneCountInString(headline), 140, headline)
		}
	}
}

// A score that leaves out the strength says so, and never reads as a full one.
func TestScoreWithoutStrengthSaysSo(t *testing.T) {
	said := scoreHeadline(light.ScoreResult{Score: 100})
	assert.Equal(t, text.Of("light_score_without_strength", text.Params{"score": 100.0}), said)
	assert.Contains(t, catalogue.Reader{Units: catalogue.Metric}.Speaker().Say(said), "not judged")
}
