package water

import (
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/instrument"
	"saltwright/internal/calc/mixing"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/seawater"
	"saltwright/internal/calc/text"
	"saltwright/internal/calc/topoff"
	"saltwright/internal/catalogue"
)

// The longest numbers that a headline may carry.
func TestHeadlinesAreShort(t *testing.T) {
	convert := func(scale string, value float64) text.Text {
		r := salinityRequest{Scale: scale, Value: value, SampleC: 18.25, Pair: "60_60_f", MeterPercentPerK: 1.91}
		c, err := seawater.Convert(r.input())
		require.NoError(t, err)
		return salinityHeadline(r, c)
	}
	change := func(steps int, fresh float64) text.Text {
		return adjustmentHeadline(salinityAdjustmentRequest{FromPSU: 37.54, ToPSU: 35.12, DaysBetween: 1.5},
			mixing.AdjustInput{New: quantity.PracticalSalinity(fresh)},
			mixing.AdjustResult{Steps: make([]mixing.Step, steps)})
	}
	topOff := func(enough, harmless bool) text.Text {
		return topOffHeadline(
			topoff.EnduranceInput{DaysAway: 10.5, Reservoir: topoff.Reservoir{ContentL: 123.4}},
			topoff.EnduranceResult{Trip: topoff.Trip{Sufficient: enough, NeedL: 234.5},
				Stuck: topoff.StuckResult{Harmless: harmless, Overflows: true, OverflowH: 5.55}})
	}
	for _, said := range []text.Text{
		convert("practical_psu", 35.123), convert("specific_gravity", 1.02645), convert("practical_psu", 1.0264),
		readingHeadline(instrument.Result{LikelyPSU: 34.567, UncertaintyPSU: 0.123}),
		text.Of("mix_recipe", text.Params{"water": 1234.5, "salt": 123.4, "finished": 1256.7, "target": 35.5}),
		change(1, 39.5), change(120, 39.5), change(1, 0), change(120, 0),
		evaporationHeadline(evaporationResponse{LowLD: 12.34, ExpectedLD: 23.45, HighLD: 34.56}),
		evaporationHeadline(evaporationResponse{Condensing: true}),
		topOff(true, true), topOff(true, false), topOff(false, true), topOff(false, false),
		drainHeadline(topoff.DrainBackResult{Overflows: true, SpareL: -12.34}),
		drainHeadline(topoff.DrainBackResult{MarginMM: 12.3}),
		drainHeadline(topoff.DrainBackResult{MarginMM: 123.4, KeepsMargin: true}),
		text.Of("flow_is", text.Params{"flow": 12345.6, "turnovers": 12.34}),
	} {
		for _, u := range []catalogue.Units{catalogue.Metric, catalogue.US} {
			headline := catalogue.Reader{Units: u}.Speaker().Say(said)
			assert.LessOrEqual(t, utf8.RuneCountInString(headline), 140, headline)
		}
	}
}

// What goes in as 1.0264 comes back as 1.0264, and ± 0.0009 is written to the same place.
func TestSpecificGravityComesBackAsItWent(t *testing.T) {
	r := salinityRequest{Scale: "specific_gravity", Value: 1.0264, SampleC: 25, Pair: "25_25_c",
		ReadingUncertainty: 0.0009}
	c, err := seawater.Convert(r.input())
	require.NoError(t, err)
	for _, s := range newSalinityResponse(c).Scales {
		if s.Scale == r.Scale {
			assert.Equal(t, "1.0264 ± 0.0009", catalogue.Reader{Units: catalogue.US}.Speaker().Say(s.Text))
		}
	}
	r.ReadingUncertainty = 0
	c, err = seawater.Convert(r.input())
	require.NoError(t, err)
	assert.Contains(t, catalogue.Reader{Units: catalogue.Metric}.Speaker().Say(salinityHeadline(r, c)), "1.0264")
}
