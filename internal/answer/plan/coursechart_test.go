package plan

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/answer/picture"
	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/chart"
)

// A hot sump is drawn by the sump's own temperature, a shock by the course that is too steep, each within its bands.
func TestEveryKindOfHarmOfTheWaterIsDrawn(t *testing.T) {
	at := func(x float64) *float64 { return &x }
	limits := plan.Limits{ComfortSumpC: at(35), HarmSumpC: at(45), ComfortLowC: at(24), ComfortHighC: at(27.5),
		ComfortLowPSU: at(33), ComfortHighPSU: at(36.5)}
	samples := []sim.Sample{
		{AtS: 0, TempC: 25, SumpC: 25, Salinity: 35}, {AtS: 3600, TempC: 24, SumpC: 40, Salinity: 30},
		{AtS: 7200, TempC: 20, SumpC: 50, Salinity: 28},
	}
	cases := []struct {
		kind  string
		last  float64
		bands int
	}{{"sump_hot", 50, 2}, {"temperature_shock", 20, 1}, {"salinity_shock", 28, 1}}
	for _, c := range cases {
		t.Run(c.kind, func(t *testing.T) {
			drawn := courseCharts(picture.For(catalogue.Reader{}), []audit.Timeline{{
				Fault:   audit.FaultReport{Verdict: audit.Harmed, FirstHarm: c.kind, HarmH: at(1), Room: audit.Usual},
				Samples: samples, Limits: limits, HoursH: 2,
			}})
			require.Len(t, drawn, 1)
			points := drawn[0].Series[0].Points
			assert.InDelta(t, c.last, points[len(points)-1].Y, 1e-9)
			assert.Len(t, drawn[0].Bands, c.bands, "comfort, and harm where the limit is one of the quantity drawn")
			assert.NotEmpty(t, drawn[0].Sentence)
		})
	}
}

// A clogged pump or a skimmer without air that harms nothing is drawn by the oxygen, wet foam by the salinity, a cup
// without its stop by the water on the floor; what fails elsewhere and harms nothing has no picture.
func TestPumpsAndSkimmersAreDrawnWithoutHarm(t *testing.T) {
	samples := []sim.Sample{{OxygenMgL: 7, Salinity: 35}, {AtS: 7200, OxygenMgL: 6.2, Salinity: 34.8, SpilledL: 0.4}}
	limits := plan.Limits{ComfortOxygenMgL: new(5.0), HarmOxygenMgL: new(3.5), ComfortLowPSU: new(33.0),
		ComfortHighPSU: new(36.5), HarmLowPSU: new(30.0), HarmSpillL: new(1.0)}
	cases := []struct {
		kind, mode string
		last       float64
	}{
		{
			"pump",
			"clogged",
			6.2,
		}, {"pump", "stopped", 6.2}, {"skimmer", "air_blocked", 6.2}, {"skimmer", "stopped", 6.2},
		{"skimmer", "foams_wet", 34.8}, {"skimmer", "stop_fails", 0.4},
	}
	draw := func(kind, mode string) []chart.Chart {
		return courseCharts(picture.For(catalogue.Reader{}), []audit.Timeline{{
			Fault: audit.FaultReport{Verdict: audit.Held, Room: audit.Usual, Fault: audit.Fault{Kind: kind, Mode: mode,
				Sentence: text.Of("fault_stands_still", text.Params{"element": "it"})}},
			Samples: samples, Limits: limits, HoursH: 2,
		}})
	}
	for _, c := range cases {
		drawn := draw(c.kind, c.mode)
		require.Len(t, drawn, 1, c.mode)
		points := drawn[0].Series[0].Points
		assert.InDelta(t, c.last, points[len(points)-1].Y, 1e-9, c.mode)
		assert.Equal(t, "If it stands still, nothing is harmed within 2 h", drawn[0].Title)
	}
	assert.Empty(t, draw("sensor", "stuck_wet"))
}
