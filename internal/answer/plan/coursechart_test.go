package plan

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/answer/picture"
	"saltwright/internal/calc/audit"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/sim"
	"saltwright/internal/catalogue"
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
