package hydraulics

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
)

// Worked by hand: over a pipe too wide to take any head the pump runs where its curve meets the lift. A curve of two
// points is a straight line: from 4 m at none to 0 at 4000 L/h it brings 3 m at 1000 L/h, a quarter of the most, and
// 1025·9.80665·1000/3.6e6·3 = 8.376 W of it end in the water.
func TestStraightCurveByHand(t *testing.T) {
	r, err := ReturnFlow(ReturnInput{
		Curve: []CurvePoint{{0, 4}, {4000, 0}}, LiftM: 3, DisplayL: 250, Water: Water{35, 25},
		Pipes: []Pipe{{InnerMM: 500}},
	})
	require.NoError(t, err)
	for name, x := range map[string]struct{ want, got float64 }{
		"flow": {1000, r.FlowLH}, "head": {3, r.HeadM}, "shut off": {4, r.ShutOffM}, "turnovers": {4, r.Turnovers},
		"share": {0.25, r.ShareOfMost}, "power": {8.376, r.HydraulicW}, "without head": {4000, r.WithoutHeadLH},
	} {
		assert.InEpsilon(t, x.want, x.got, 1e-4, name)
	}
	assert.InDelta(t, 0, r.DynamicM, 1e-4)
	line := returnLine()
	r, err = ReturnFlow(line)
	require.NoError(t, err)
	assert.InDelta(t, r.Pipes[0].TotalM(), r.DynamicM, 1e-6, "what is beyond the lift is the pipe's")
}

func TestCurveAndFittingsOnTheirLimits(t *testing.T) {
	for _, c := range []struct {
		name   string
		says   string
		change func(*ReturnInput)
	}{
		{"two flows alike", "flow_curve_out_of_order", func(in *ReturnInput) { in.Curve[1].FlowLH = 0 }},
		{"two heads alike", "flow_curve_out_of_order", func(in *ReturnInput) { in.Curve[2].HeadM = 3.4 }},
		{"just not lifted", "flow_lift_too_high", func(in *ReturnInput) { in.LiftM = 4 }},
		{"not from no flow", "flow_below_the_curve", func(in *ReturnInput) { in.Curve, in.LiftM = in.Curve[1:], 3.5 }},
	} {
		in := returnLine()
		c.change(&in)
		_, err := ReturnFlow(in)
		assert.ErrorContains(t, err, c.says, c.name)
	}
	in := returnLine()
	in.Pipes[0].Fittings[0].Number = 201
	_, err := ReturnFlow(in)
	var out *calc.RangeError
	require.ErrorAs(t, err, &out)
	assert.Equal(t, "pipes[0].fittings", out.Param)
}
