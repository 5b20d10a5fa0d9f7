package heat

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc/evaporation"
	"saltwright/internal/calc/quantity"
)

// follow integrates C dT/dt = heater - net loss, losses not straightened, in steps of a twentieth of an hour (Heun).
// It is a second road to every exponential approach.
func follow(
	t *testing.T, s System, around Surroundings, on GainsOn, net func(Spread) float64, fromC, heaterW float64,
	until func(hours, waterC float64) bool,
) (hours, waterC float64) {
	t.Helper()
	rate := func(c float64) float64 {
		b, err := Balance(BalanceInput{System: s, Water: quantity.Celsius(c), Room: around, Gains: on})
		require.NoError(t, err)
		return (heaterW - net(b.NetW)) / b.HeatCapacityJPerK * quantity.SecondsPerHour
	}
	const step = 0.05
	waterC = fromC
	for !until(hours, waterC) {
		k := rate(waterC)
		waterC += step * (k + rate(waterC+step*k)) / 2
		hours += step
		require.Less(t, hours, 1000.0)
	}
	return hours, waterC
}

func expected(s Spread) float64 { return s.Expected }

func TestWarmUpAgreesWithAnIntegration(t *testing.T) {
	in := sizing()
	r, err := SizeHeater(in)
	require.NoError(t, err)
	require.True(t, r.WarmsUp)
	want, _ := follow(t, in.System, in.Usual, GainsAverage, expected, 18, r.RecommendedW,
		func(_, c float64) bool { return c >= 25.5 })
	assert.InEpsilon(t, want, r.WarmUpH, 0.03, "the losses are nearly straight over 7.5 K")
}

func TestLeftAloneAgreesWithAnIntegration(t *testing.T) {
	s, around := system(), room(17, 0.4)
	a, err := LeftAlone(LeftAloneInput{
		System: s, Room: around, Gains: GainsAverage, HeaterW: 40, Evaporate: EvaporationExpected,
		FromC: 25.5, TowardsC: 22,
	})
	require.NoError(t, err)
	_, want := follow(t, s, around, GainsAverage, expected, 25.5, 40, func(h, _ float64) bool { return h >= 6 })
	got, err := a.At(6)
	require.NoError(t, err)
	assert.InDelta(t, want, got, 0.03*(25.5-want))

	for _, c := range []float64{0, 0.5, 20} { // the slope at a point, at the end of the range too
		point, err := LeftAlone(LeftAloneInput{
			System: s, Room: around, Gains: GainsNone, Evaporate: EvaporationExpected, FromC: c, TowardsC: c,
		})
		require.NoError(t, err)
		b, err := Balance(BalanceInput{System: s, Water: quantity.Celsius(c), Room: around, Gains: GainsNone})
		require.NoError(t, err)
		assert.InEpsilon(t, b.TimeConstantH, point.TauH, 0.02, "at %v °C", c)
	}
}

// A heater of the largest power that leaves time to react, stuck on in the warmest room, is at the limit just then.
func TestReactionTimeAgreesWithAnIntegration(t *testing.T) {
	in := sizing()
	r, err := SizeHeater(in)
	require.NoError(t, err)
	most := r.Windows[1].ReactionMaxW
	require.Positive(t, most)
	warm, err := Balance(BalanceInput{System: in.System, Water: 25.5, Room: in.Warmest, Gains: GainsAll})
	require.NoError(t, err)
	from := in.SetpointC
	if warm.NetW.Low < 0 {
		at, err := Equilibrium(EquilibriumInput{
			System: in.System, Room: in.Warmest, Gains: GainsAll, Evaporate: EvaporationLow,
		})
		require.NoError(t, err)
		from = float64(at)
	}
	hours, _ := follow(t, in.System, in.Warmest, GainsAll, func(s Spread) float64 { return s.Low }, from, most,
		func(_, c float64) bool { return c >= in.HarmHighC })
	assert.InEpsilon(t, in.ResponseH, hours, 0.05)
}

// The air under a closed lid is nearly as warm as the rim, which then loses to one side only.
func TestRimUnderALid(t *testing.T) {
	rim := func(lid evaporation.Lid) float64 {
		v := display()
		v.Lid = lid
		r, err := DryLoss(v, 25, room(20, 0.5))
		require.NoError(t, err)
		for _, s := range r.Surfaces {
			if s.Surface == Rim {
				return s.W
			}
		}
		return 0
	}
	require.Positive(t, rim(evaporation.LidClosed))
	assert.Less(t, rim(evaporation.LidClosed), rim(evaporation.LidOpen))
}
