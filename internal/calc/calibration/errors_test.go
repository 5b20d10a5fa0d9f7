package calibration

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
	"saltwright/internal/calc/heat"
	"saltwright/internal/calc/quantity"
)

func calibrate(t *testing.T, in Input) Result {
	t.Helper()
	r, err := Calibrate(in)
	require.NoError(t, err)
	return r
}

func balance(t *testing.T, s heat.System, waterC float64, around heat.Surroundings) heat.BalanceResult {
	t.Helper()
	b, err := heat.Balance(heat.BalanceInput{
		System: s, Water: quantity.Celsius(waterC), Room: around, Gains: heat.GainsAverage,
	})
	require.NoError(t, err)
	return b
}

// JCGM 100, 5.1.2: the combined variance is the sum of the squares of what each input's own error moves the result by;
// here each input is moved by its 5 % and the factor found anew.
func TestErrorsOfEvaporationAndDutyPropagate(t *testing.T) {
	around := room(20, 0.45)
	b := balance(t, corrected(1.2, 0.7), 25.5, around)
	with := func(evaporation, duty float64) Result {
		return calibrate(t, Input{
			System: system(), SetpointC: 25.5, Rooms: []Room{{"cold", room(15, 0.4)}},
			Evaporation: &Evaporation{
				LitresPerDay: evaporation * b.EvaporatedLPerDay.Expected, Room: around, WaterC: 25.5,
				UncertaintyPercent: 5,
			},
			Duty: &Duty{
				HeaterW: 300, Share: duty * b.NetW.Expected / 300, Room: around, WaterC: 25.5, UncertaintyPercent: 5,
			},
		})
	}
	r := with(1, 1)
	assert.InDelta(t, 0.7*0.05, r.Evaporation.StandardError, 1e-9)
	assert.InDelta(t, 0.7*0.10, r.Evaporation.Half95, 1e-9)
	want := math.Hypot(with(1.05, 1).Dry.Factor-r.Dry.Factor, with(1, 1.05).Dry.Factor-r.Dry.Factor)
	assert.InEpsilon(t, want, r.Dry.StandardError, 1e-6)
	assert.InEpsilon(t, 2*want, r.Dry.Half95, 1e-6)
	assert.InDelta(t, 10, r.Correction().EvaporationUncertaintyPercent, 1e-9, "twice the standard error of 5 %")

	cold := balance(t, system(), 25.5, room(15, 0.4))
	assert.InEpsilon(
		t, math.Hypot(cold.DryW*want, cold.LatentW.Expected*0.035), r.Predictions[0].HeatingStandardError, 1e-6,
	)
}

// With one factor for both losses the heating is straight in it.
func TestErrorOfOneFactor(t *testing.T) {
	around := room(18, 0.5)
	b := balance(t, corrected(1.4, 1.4), 25.5, around)
	r := calibrate(t, Input{
		System: system(), SetpointC: 25.5, Rooms: []Room{{"cold", room(15, 0.4)}},
		Duty: &Duty{
			HeaterW: 300, Share: b.NetW.Expected / 300, Room: around, WaterC: 25.5, UncertaintyPercent: 10,
		},
	})
	require.InEpsilon(t, 1.4, r.Dry.Factor, 1e-9)
	// P · 10 % over the uncorrected loss
	free := balance(t, system(), 25.5, around)
	assert.InEpsilon(t, 0.1*b.NetW.Expected/(free.DryW+free.LatentW.Expected), r.Dry.StandardError, 1e-9)
	p := r.Predictions[0]
	assert.InEpsilon(t, (p.HeatingW-p.HeatingBeforeW)/0.4*r.Dry.StandardError, p.HeatingStandardError, 1e-6)
	require.True(t, p.Settles)
	assert.InDelta(t, 0, balance(t, corrected(1.4, 1.4), p.UnheatedC, room(15, 0.4)).NetW.Expected, 0.01)
}

// The weighted mean of two results and its error, weights by the inverse squares (JCGM 100 with F.1.2; any textbook).
func TestJoinedFactorIsTheWeightedMean(t *testing.T) {
	around := room(18, 0.5)
	points := coolDown(t, corrected(1.3, 1.3), around, 26, 1, 10, func() float64 { return 0 })
	clean := slices.Clone(points)
	for i := range points {
		points[i].WaterC += 0.1 * math.Sin(7*float64(i)) // a thermometer's flicker
	}
	b := balance(t, corrected(1.1, 1.1), 25.5, around)
	duty := &Duty{HeaterW: 300, Share: b.NetW.Expected / 300, Room: around, WaterC: 25.5, UncertaintyPercent: 10}
	curve := &CoolDown{Room: around, Gains: heat.GainsAverage, Points: points}
	one := calibrate(t, Input{System: system(), SetpointC: 25.5, Duty: duty}).Dry
	other := calibrate(t, Input{System: system(), SetpointC: 25.5, CoolDown: curve})
	both := calibrate(t, Input{System: system(), SetpointC: 25.5, Duty: duty, CoolDown: curve})
	u, v := one.StandardError*one.StandardError, other.Dry.StandardError*other.Dry.StandardError
	assert.InEpsilon(t, (one.Factor*v+other.Dry.Factor*u)/(u+v), both.Dry.Factor, 1e-9)
	assert.InEpsilon(t, math.Sqrt(u*v/(u+v)), both.Dry.StandardError, 1e-9)
	assert.InEpsilon(t, 2*math.Sqrt(u*v/(u+v)), both.Dry.Half95, 1e-9)
	assert.InEpsilon(t, (one.Factor-other.Dry.Factor)/math.Sqrt(u+v), both.DutyAndCoolDownK, 1e-9)

	// The model's curve is near the true one, from which the thermometer strays by up to 0.1 K.
	for i, x := range other.Residuals {
		assert.InDelta(t, clean[i].WaterC, x.ModelC, 0.09, "hour %v", x.Hour)
		assert.InDelta(t, points[i].WaterC, x.MeasuredC, 0)
	}
	tau := balance(t, corrected(other.Dry.Factor, other.Dry.Factor), 25, around).TimeConstantH
	assert.InEpsilon(t, tau, other.MeasuredTauH, 0.15, "the slope at one temperature for that between two")
}

// With the evaporation measured, a cool-down finds the dry loss alone.
func TestCoolDownWithMeasuredEvaporation(t *testing.T) {
	around := room(18, 0.5)
	truth := corrected(1.3, 0.7)
	points := coolDown(t, truth, around, 26, 1, 13, func() float64 { return 0 })
	r := calibrate(t, Input{
		System: system(), SetpointC: 25, CoolDown: &CoolDown{Room: around, Gains: heat.GainsAverage, Points: points},
		Evaporation: &Evaporation{
			LitresPerDay: balance(t, truth, 25, around).EvaporatedLPerDay.Expected, Room: around, WaterC: 25,
		},
	})
	assert.InEpsilon(t, 1.3, r.Dry.Factor, 0.01)
	assert.InEpsilon(t, 0.7, r.Evaporation.Factor, 1e-9)
}

func TestCurvesOnTheirLimits(t *testing.T) {
	around := room(18, 0.5)
	at := func(points ...Point) error {
		_, err := Calibrate(Input{System: system(), SetpointC: 25, CoolDown: &CoolDown{
			Room: around, Gains: heat.GainsAverage, Points: points,
		}})
		return err
	}
	var conflict *calc.ConflictError
	require.ErrorAs(t, at(Point{0, 26}, Point{1, 25}, Point{1, 24.9}, Point{3, 24}), &conflict)
	assert.Equal(t, []string{"cool_down.points[2].hour"}, conflict.Params, "two at one time")
	assert.ErrorContains(t, at(Point{0, 26}, Point{1, 26}, Point{2, 26}, Point{3, 25.95}), "cool_down_too_small")
	turns := at(Point{0, 25}, Point{1, 24}, Point{2, 24}, Point{3, 25})
	assert.ErrorContains(t, turns, "cool_down_turns")
	around = room(23.5, 0.7)
	small := coolDown(t, system(), around, 26, 0.25, 41, func() float64 { return 0 })
	enough := minPoints - 1
	for small[0].WaterC-small[enough].WaterC < leastFallK {
		enough++
	}
	require.Less(t, small[0].WaterC-small[enough].WaterC, 1.5*leastFallK)
	assert.NoError(t, at(small[:enough+1]...), "just enough of a fall")
}
