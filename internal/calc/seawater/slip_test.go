package seawater

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
	"saltwright/internal/calc/text"
)

// Readings that people send on the wrong scale are refused, and told what they probably are.
func TestImpossibleReadingsSayWhatWasMeant(t *testing.T) {
	for _, c := range []struct {
		scale Scale
		value float64
		code  string
	}{
		{ScaleSpecificGravity, 35, "meant_salinity"},
		{ScaleSpecificGravityAsRead, 35, "meant_salinity"},
		{ScaleSpecificGravity, 1026, "meant_gravity_in_thousandths"},
		{ScaleDensity, 1.026, "meant_specific_gravity"},
		{ScalePractical, 53, "meant_conductivity"},
		{ScaleRefractometerSeawater, 53, "meant_conductivity"},
	} {
		_, err := Convert(ConversionInput{Scale: c.scale, Value: c.value, Sample: 25, Pair: Pair25})
		var conflict *calc.ConflictError
		require.ErrorAs(t, err, &conflict, "%s %g", c.scale, c.value)
		assert.Equal(t, c.code, conflict.Reason.Code)
		assert.Equal(t, []string{"scale", "value"}, conflict.Params)
	}
	_, err := Convert(ConversionInput{Scale: ScaleSpecificGravity, Value: 1.2, Sample: 25, Pair: Pair25})
	var outside *calc.RangeError
	assert.ErrorAs(t, err, &outside, "1.2 is nothing that we know")
}

// Readings that are possible, and yet probably of another scale, are warned of with what they would mean there.
func TestPossibleReadingsSayWhatWasProbablyMeant(t *testing.T) {
	gravity := convert(t, ConversionInput{Scale: ScalePractical, Value: 1.026, Sample: 25, Pair: Pair25})
	assert.Equal(t, "looks_like_specific_gravity", gravity.Slip.Code)
	right := convert(t, ConversionInput{Scale: ScaleSpecificGravity, Value: 1.026, Sample: 25, Pair: Pair25})
	assert.InDelta(t, float64(right.Practical), gravity.Slip.Params["salinity"], 1e-9)

	compensated := ConversionInput{Scale: ScaleConductivity, Value: 53, Sample: 20, Pair: Pair25,
		MeterPercentPerK: 1.91}
	raw := convert(t, compensated)
	assert.Equal(t, "looks_compensated", raw.Slip.Code)
	compensated.Scale = ScaleMeter25
	assert.InDelta(t, float64(convert(t, compensated).Practical), raw.Slip.Params["salinity"], 1e-9)
	assert.InDelta(t, float64(raw.Practical), raw.Slip.Params["here"], 1e-9)

	for _, usual := range []ConversionInput{
		{Scale: ScalePractical, Value: 35, Sample: 25},
		{Scale: ScalePractical, Value: 1.1, Sample: 25},
		{Scale: ScaleSpecificGravity, Value: 1.026, Sample: 25},
		{Scale: ScaleConductivity, Value: 47.9, Sample: 20, MeterPercentPerK: 1.91},
		{Scale: ScaleConductivity, Value: 53, Sample: 25, MeterPercentPerK: 1.91},
	} {
		assert.Empty(t, convert(t, usual).Slip, "%s %g", usual.Scale, usual.Value)
	}
}

// 0.5 on a specific gravity is some 660 in salinity; 0.0005 is what an instrument has.
func TestUncertaintyThatLeavesNothingIsRefused(t *testing.T) {
	in := ConversionInput{Scale: ScaleSpecificGravity, Value: 1.026, Sample: 25, Pair: Pair25, ReadingUncertainty: 0.5}
	_, err := Convert(in)
	var conflict *calc.ConflictError
	require.ErrorAs(t, err, &conflict)
	assert.Equal(t, []string{"reading_uncertainty"}, conflict.Params)
	assert.Equal(t, "reading_too_unsure", conflict.Reason.Code)
	assert.InEpsilon(t, 660, conflict.Reason.Params["worth"], 0.05)
	in.ReadingUncertainty = 0.0005
	_, err = Convert(in)
	assert.NoError(t, err)
}

func TestConvertNotes(t *testing.T) {
	codes := func(c Conversion) (out []string) {
		for _, n := range c.Notes {
			out = append(out, n.Code)
		}
		return out
	}
	unnamed := convert(t, ConversionInput{Scale: ScaleSpecificGravity, Value: 1.026, Sample: 25, Pair: PairUnnamed})
	require.Equal(t, []string{"pair_not_named"}, codes(unnamed))
	// The same 1.026 on each pair, from the reference table's own columns (interpolated by eye it is 34.2 to 36.6).
	others := unnamed.Notes[0].Params["others"].([]text.Text)
	require.Len(t, others, 4)
	assert.Equal(t, "25/25", others[1].Params["pair"])
	assert.InDelta(t, 34.5, others[1].Params["salinity"], 0.05)
	assert.Equal(t, "20/4", others[3].Params["pair"])
	assert.InDelta(t, 36.6, others[3].Params["salinity"], 0.05)
	assert.Empty(t, codes(convert(t, ConversionInput{
		Scale: ScaleSpecificGravity, Value: 1.026, Sample: 25, Pair: Pair20,
	})))
	assert.Equal(t, []string{"brine_scale"}, codes(convert(t, ConversionInput{
		Scale: ScaleRefractometerBrine, Value: 35, Sample: 25,
	})))
	assert.Equal(t, []string{"brine_scale"}, codes(convert(t, ConversionInput{
		Scale: ScaleRefractometerSeawater, Value: 35, Sample: 25,
	})))
	assert.Equal(t, []string{"linear_compensation"}, codes(convert(t, ConversionInput{
		Scale: ScaleMeter25, Value: 53, Sample: 12, MeterPercentPerK: 2,
	})))
	assert.Empty(t, codes(convert(t, ConversionInput{Scale: ScaleMeter25, Value: 53, Sample: 25, MeterPercentPerK: 2})))
}
