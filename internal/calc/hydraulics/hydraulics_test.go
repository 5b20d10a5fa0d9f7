package hydraulics

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
)

// colebrook solves 1/√f = -2 log10(e/(3.7 D) + 2.51/(Re √f)), the equation behind Moody's chart
// (Colebrook 1939, Journal of the Institution of Civil Engineers 11, 133-156).
func colebrook(re, rough float64) float64 {
	x := 8.0 // 1/√f
	for range 100 {
		x = -2 * math.Log10(rough/3.7+2.51*x/re)
	}
	return 1 / (x * x)
}

// White, F. M. 2003, Fluid Mechanics, 5th edition, example 6.7 (from memory): oil of 900 kg/m3 and 1e-5 m2/s at
// 0.2 m3/s through 500 m of 200 mm cast iron, e/d = 0.0013: V = 6.4 m/s, Re = 128 000, f = 0.0227 from Moody's
// chart (0.0225 by Colebrook), head loss 117 m.
func TestTextbookPipe(t *testing.T) {
	f, err := FrictionFactor(128000, 0.0013)
	require.NoError(t, err)
	assert.InEpsilon(t, 0.0227, f, 0.02)
	p := Pipe{InnerMM: 200, LengthM: 500, RoughnessMM: 0.26}
	got, err := p.flow(1e-5, 0.2*3600*1000)
	require.NoError(t, err)
	assert.InDelta(t, 6.4, got.VelocityMS, 0.05)
	assert.InEpsilon(t, 128000, got.Reynolds, 0.01)
	assert.InEpsilon(t, 117, got.FrictionM, 0.02)
	t.Logf("friction %.5f for 0.0227, head %.1f m for 117 m", f, got.FrictionM)
}

func TestFrictionFactorAgainstItsLimits(t *testing.T) {
	worst := 0.0
	for _, re := range []float64{1e4, 3e4, 1e5, 1e6, 1e7} {
		for _, rough := range []float64{0, 1e-5, 1e-4, 1e-3, 1e-2} {
			f, err := FrictionFactor(re, rough)
			require.NoError(t, err)
			want := colebrook(re, rough)
			assert.InEpsilon(t, want, f, 0.035, "Re %g, e/D %g", re, rough)
			worst = math.Max(worst, math.Abs(f/want-1))
		}
	}
	t.Logf("against Colebrook and White: worst %.1f %%", 100*worst)
	for _, re := range []float64{1, 100, 1000, 1500} { // Hagen and Poiseuille
		f, err := FrictionFactor(re, 1e-4)
		require.NoError(t, err)
		assert.InEpsilon(t, 64/re, f, 1e-3, "Re %g", re)
	}
	last := 0.0
	for re := 1.0; re < 1e8; re *= 1.01 { // head loss f v² rises with the flow, through transition too
		f, err := FrictionFactor(re, 1e-4)
		require.NoError(t, err)
		require.Greater(t, f*re*re, last, "Re %g", re)
		last = f * re * re
	}
	_, err := FrictionFactor(math.NaN(), 0)
	assert.Error(t, err)
}

func returnLine() ReturnInput {
	return ReturnInput{
		Curve: []CurvePoint{{0, 4}, {1500, 3.4}, {3000, 2.2}, {4500, 0}},
		LiftM: 1.3, DisplayL: 300, Water: Water{35, 25},
		Pipes: []Pipe{{
			InnerMM: 25, LengthM: 2, RoughnessMM: SmoothPlasticMM,
			Fittings: []Count{{SharpEntrance, 1}, {Elbow90, 3}, {Union, 1}, {BallValve, 1}, {Exit, 1}},
		}},
	}
}

func TestPumpAndPipeMeet(t *testing.T) {
	r, err := ReturnFlow(returnLine())
	require.NoError(t, err)
	assert.InDelta(t, r.HeadM, 1.3+r.Pipes[0].TotalM(), 1e-6)
	assert.Greater(t, r.FlowLH, 2000.0)
	assert.Less(t, r.FlowLH, 3600.0)
	assert.InDelta(t, 0.5+3*0.9+0.08+0.05+1, r.Pipes[0].K, 1e-12)
	assert.InDelta(t, r.FlowLH/300, r.Turnovers, 1e-9)
	// The curve is met in its points: without any pipe loss the pump runs at the static head's flow.
	in := returnLine()
	in.LiftM = 2.2
	in.Pipes = []Pipe{{InnerMM: 500}}
	r, err = ReturnFlow(in)
	require.NoError(t, err)
	assert.InDelta(t, 3000, r.FlowLH, 0.5)
	// A wider pipe brings more, a longer less.
	last := 0.0
	for _, mm := range []float64{12, 16, 20, 25, 32, 40} {
		in := returnLine()
		in.Pipes[0].InnerMM = mm
		r, err := ReturnFlow(in)
		require.NoError(t, err)
		assert.Greater(t, r.FlowLH, last)
		last = r.FlowLH
	}
}

func TestReturnFlowRefuses(t *testing.T) {
	for name, change := range map[string]func(*ReturnInput){
		"too high":    func(in *ReturnInput) { in.LiftM = 5 },
		"rising":      func(in *ReturnInput) { in.Curve[1].HeadM = 5 },
		"curve short": func(in *ReturnInput) { in.Curve = in.Curve[:2]; in.LiftM = 0; in.Pipes[0].InnerMM = 200 },
		"not to zero": func(in *ReturnInput) { in.Curve = in.Curve[2:]; in.LiftM = 2.5 },
		"no fitting":  func(in *ReturnInput) { in.Pipes[0].Fittings = []Count{{"bend", 1}} },
	} {
		in := returnLine()
		change(&in)
		_, err := ReturnFlow(in)
		var conflict *calc.ConflictError
		assert.ErrorAs(t, err, &conflict, name)
	}
	in := returnLine()
	in.Pipes[0].InnerMM = 1
	_, err := ReturnFlow(in)
	var out *calc.RangeError
	require.ErrorAs(t, err, &out)
	assert.Equal(t, "pipes[0].inner_mm", out.Param)
}

func FuzzReturnFlow(f *testing.F) {
	f.Add(4.0, 3000.0, 1.3, 25.0, 2.0, 0.0015, 4.0)
	f.Fuzz(func(t *testing.T, shutOff, most, static, mm, length, rough, k float64) {
		r, err := ReturnFlow(ReturnInput{
			Curve: []CurvePoint{{0, shutOff}, {most, 0}}, LiftM: static, DisplayL: 100, Water: Water{35, 25},
			Pipes: []Pipe{{InnerMM: mm, LengthM: length, RoughnessMM: rough, ExtraK: k}},
		})
		if err == nil && !(r.FlowLH > 0 && r.FlowLH <= most && r.HeadM >= static-1e-6) {
			t.Fatalf("%+v", r)
		}
	})
}
