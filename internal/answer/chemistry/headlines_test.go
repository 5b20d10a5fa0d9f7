package chemistry

import (
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/carbonate"
	"saltwright/internal/calc/dosing"
	"saltwright/internal/calc/mixing"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
)

// short says a headline in both systems of units and holds it to its length.
func short(t *testing.T, headline text.Text, code string) {
	t.Helper()
	assert.Equal(t, code, headline.Code)
	for _, u := range []catalogue.Units{catalogue.Metric, catalogue.US} {
		said := catalogue.Reader{Units: u}.Speaker().Say(headline)
		assert.LessOrEqual(t, utf8.RuneCountInString(said), 140, said)
	}
}

func TestCarbonateHeadlines(t *testing.T) {
	for omega, code := range map[float64]string{
		0.99: "carbonate_dissolves", 1: "carbonate_stays", 5: "carbonate_stays", 5.01: "carbonate_near_the_limit",
		7: "carbonate_near_the_limit", 7.01: "carbonate_falls_out", 12345.6: "carbonate_falls_out",
	} {
		short(t, carbonateHeadline(carbonate.State{OmegaAragonite: omega}), code)
	}
}

func TestChangeHeadlines(t *testing.T) {
	usual := mixing.ChangeInput{VolumeL: 400, ChangeL: 40, Changes: 123, DaysBetween: 7, EvaporationLD: 4, Tank: 35,
		New: 35, AllowedPSU: 0.55}
	for mismatch, code := range map[float64]string{
		0: "change_leaves", 1: "change_mismatch_harmless", -12.5: "change_calibrate", 12.5: "change_calibrate",
		49.5: "change_calibrate",
	} {
		in := usual
		in.MismatchPct = mismatch
		c, err := mixing.Change(in)
		require.NoError(t, err)
		short(t, changeHeadline(in, c), code)
	}
	usual.MismatchPct, usual.EvaporationLD, usual.Changes = 12.5, 0, 1
	c, err := mixing.Change(usual)
	require.NoError(t, err)
	short(t, changeHeadline(usual, c), "change_level_rises")
	usual.MismatchPct = 0
	c, err = mixing.Change(usual)
	require.NoError(t, err)
	short(t, changeHeadline(usual, c), "change_leaves")
}

func TestLimeHeadlines(t *testing.T) {
	in := carbonate.LimeInput{ReservoirL: 123.4}
	for largest, code := range map[float64]string{
		0: "lime_reservoir_never", 98.76: "lime_reservoir_too_large", 200: "lime_reservoir_harmless",
	} {
		l := carbonate.LimeResult{LargestHarmlessL: largest}
		l.AllAtOnce.PHNBS, l.AllAtOnce.OmegaAragonite = 10.12, 6.5
		short(t, limeHeadline(in, l), code)
	}
}

func TestDoseHeadlines(t *testing.T) {
	q := doseQuestion{in: dosing.Input{Substance: dosing.MagnesiumSulfateHeptahydrate, DosesADay: 1}}
	for _, days := range []int{1, 120} {
		for code, d := range map[string]dosing.Result{
			"dose_not_now":     {MassG: 1},
			"dose_split_first": {MassG: 12345.6, Rise: 100, LargestAtOnce: 0.123, Days: days},
			"dose_dry":         {LargestAtOnce: 1, MassG: 12345.6, DayG: 1234.5, Days: days},
			"dose_solution":    {LargestAtOnce: 1, MassG: 12345.6, VolumeML: 12345.6, DayML: 1234.5, Days: days},
			"dose_by_label":    {LargestAtOnce: 1, VolumeML: 12345.6, DayML: 1234.5, Days: days},
		} {
			short(t, q.headline(d), code)
		}
	}
}

func TestConsumptionHeadlines(t *testing.T) {
	largest := 0.0123
	for code, c := range map[string]consumptionResponse{
		"demand_none":   {Demands: []demand{{Raised: "magnesium", ADay: -1}}},
		"demand_unsure": {Demands: []demand{{Raised: "alkalinity", ADay: 0.4567}}},
		"demand_sure":   {Demands: []demand{{Raised: "calcium", ADay: 12.34, Sure: true}}},
		"demand_container_too_large": {Demands: []demand{{Raised: "alkalinity", ADay: 0.4567}},
			Programmes: []dosingProgramme{{Raise: "alkalinity", LargestL: &largest}}},
	} {
		short(t, c.headline(), code)
	}
}

// Hand: alkalinity falls by 0.5 dKH and calcium by 3.6 mg/L a day, which is 7.2 mg/L with each dKH.
func TestRatioIsJudgedByItsUncertainty(t *testing.T) {
	of := func(alkalinity, calcium, half float64) consumptionResponse {
		c := consumptionResponse{Demands: []demand{
			{Raised: "alkalinity", ADay: alkalinity, Low: alkalinity - 0.02, High: alkalinity + 0.02},
			{Raised: "calcium", ADay: calcium, Low: calcium - half, High: calcium + half},
		}}
		c.compare()
		return c
	}
	assert.InDelta(t, 7.2, *of(0.5, 3.6, 0.5).PerDKH, 1e-12)
	assert.Equal(t, "of_skeletons", of(0.5, 3.6, 0.5).Ratio)
	assert.Equal(t, "more_calcium", of(0.5, 6, 0.5).Ratio)
	assert.Equal(t, "more_alkalinity", of(0.5, 1.5, 0.5).Ratio)
	assert.Equal(t, "of_skeletons", of(0.5, 6, 5).Ratio)
	assert.Empty(t, of(-0.1, 6, 5).Ratio)
}
