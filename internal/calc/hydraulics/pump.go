package hydraulics

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/interp"

	"saltwright/internal/calc"
	"saltwright/internal/calc/numeric"
	"saltwright/internal/calc/quantity"
	"saltwright/internal/calc/text"
)

// FastWaterMS is the speed in a pipe, m/s, above which water gets noisy and wears. Source: [CommonPractice].
const FastWaterMS = 3.0

// CurvePoint is a point of a pump's curve.
type CurvePoint struct {
	FlowLH float64 // 0 … 1e6 L/h
	HeadM  float64 // 0 … 100 m
}

// ReturnInput is a pump, what it has to lift over and the pipe it pushes through.
type ReturnInput struct {
	Curve []CurvePoint // 2 … 30, flow rising, head falling; from no flow to no head at best
	// from the sump's water line to the display's, or to the outlet where it ends above it, 0 … 30 m
	LiftM    float64
	Pipes    []Pipe // 1 … 20, one after the other
	Water    Water
	DisplayL float64 // of the display, for its turnover, 1 … 1e6 L
}

// ReturnResult is where pump and pipe meet.
type ReturnResult struct {
	FlowLH        float64
	HeadM         float64 // of the pump there
	ShutOffM      float64 // head of the curve's first point
	DynamicM      float64 // head beyond the static one
	Turnovers     float64 // of the display an hour
	Pipes         []Flow
	HydraulicW    float64 // power that ends in the water's lift and friction
	ShareOfMost   float64 // flow over the curve's largest
	MostVelocity  float64 // m/s
	WithoutHeadLH float64 // flow of the curve at no head, or its last point
}

// ReturnFlow returns the flow at which the pump's head is what lift and pipes take.
//
//	H_pump(Q) = static + Σ h_pipe(Q)
//
// The curve is a monotone cubic through its points. It is not drawn out beyond them.
// Accuracy: that of the curve on the label; pumps are often 10 % short of it.
// Errors: *calc.RangeError; *calc.ConflictError for a curve that does not fall, a pump that
// cannot lift so high, or one whose curve ends before the pipe limits it.
// Source: [CengelCimbala2006] section 8-6, [FritschButland1984], [Derived].
func ReturnFlow(in ReturnInput) (ReturnResult, error) {
	var r ReturnResult
	if err := in.check(); err != nil {
		return r, err
	}
	nu, err := in.Water.kinematicViscosity()
	if err != nil {
		return r, err
	}
	head, err := in.curve()
	if err != nil {
		return r, err
	}
	n := len(in.Curve)
	first, last := in.Curve[0], in.Curve[n-1]
	r.ShutOffM, r.WithoutHeadLH = first.HeadM, last.FlowLH
	var failed error
	excess := func(q float64) float64 {
		need := in.LiftM
		for _, p := range in.Pipes {
			f, err := p.flow(nu, q)
			if err != nil && failed == nil {
				failed = err
			}
			need += f.TotalM()
		}
		return head.Predict(q) - need
	}
	if excess(first.FlowLH) <= 0 {
		if first.FlowLH > 0 {
			return r, &calc.ConflictError{Params: []string{"curve", "lift_m"}, Reason: text.Of("flow_below_the_curve",
				text.Params{"flow": first.FlowLH, "head": first.HeadM})}
		}
		return r, &calc.ConflictError{Params: []string{"curve", "lift_m"}, Reason: text.Of("flow_lift_too_high",
			text.Params{"head": first.HeadM, "lift": in.LiftM})}
	}
	if excess(last.FlowLH) > 0 {
		return r, &calc.ConflictError{Params: []string{"curve"}, Reason: text.Of("flow_beyond_the_curve",
			text.Params{"flow": last.FlowLH})}
	}
	q, err := numeric.Root(excess, first.FlowLH, last.FlowLH, 1e-9*last.FlowLH)
	if failed != nil {
		return r, failed
	}
	if err != nil {
		return r, err
	}
	r.FlowLH, r.HeadM = q, head.Predict(q)
	r.DynamicM = r.HeadM - in.LiftM
	r.Turnovers = q / in.DisplayL
	r.ShareOfMost = q / last.FlowLH
	for _, p := range in.Pipes {
		f, err := p.flow(nu, q)
		if err != nil {
			return r, err
		}
		r.Pipes = append(r.Pipes, f)
		r.MostVelocity = math.Max(r.MostVelocity, f.VelocityMS)
	}
	const density = 1025 // kg/m3; a fraction of a per cent of a power nobody measures closer
	r.HydraulicW = density * gravity * q / quantity.LitresPerCubicMetre / quantity.SecondsPerHour * r.HeadM
	return r, nil
}

func (in ReturnInput) check() error {
	for _, c := range []struct {
		param           string
		value, min, max float64
		unit            string
	}{
		{"curve", float64(len(in.Curve)), 2, 30, "1"}, {"pipes", float64(len(in.Pipes)), 1, 20, "1"},
		{"lift_m", in.LiftM, 0, 30, "m"}, {"display_l", in.DisplayL, 1, 1e6, "L"},
	} {
		if err := calc.CheckRange(c.param, c.value, c.min, c.max, c.unit); err != nil {
			return err
		}
	}
	for i, p := range in.Curve {
		at := fmt.Sprintf("curve[%d]", i)
		if err := calc.CheckRange(at+".flow_l_h", p.FlowLH, 0, 1e6, "L/h"); err != nil {
			return err
		}
		if err := calc.CheckRange(at+".head_m", p.HeadM, 0, 100, "m"); err != nil {
			return err
		}
		if i > 0 && (p.FlowLH <= in.Curve[i-1].FlowLH || p.HeadM >= in.Curve[i-1].HeadM) {
			return &calc.ConflictError{
				Params: []string{at + ".flow_l_h", at + ".head_m"},
				Reason: text.Of("flow_curve_out_of_order", nil),
			}
		}
	}
	for i, p := range in.Pipes {
		if err := p.check(); err != nil {
			return pipeAt(err, i)
		}
	}
	return nil
}

// pipeAt says which pipe an error speaks of.
func pipeAt(err error, i int) error {
	at := fmt.Sprintf("pipes[%d].", i)
	switch e := err.(type) {
	case *calc.RangeError:
		out := *e
		out.Param = at + e.Param
		return &out
	case *calc.ConflictError:
		out := calc.ConflictError{Reason: e.Reason}
		for _, p := range e.Params {
			out.Params = append(out.Params, at+p)
		}
		return &out
	}
	return err
}

func (in ReturnInput) curve() (*interp.FritschButland, error) {
	var x, y []float64
	for _, p := range in.Curve {
		x, y = append(x, p.FlowLH), append(y, p.HeadM)
	}
	var c interp.FritschButland
	if len(x) == 2 { // the interpolation wants three points; the middle of a straight line is one
		x = []float64{x[0], (x[0] + x[1]) / 2, x[1]}
		y = []float64{y[0], (y[0] + y[1]) / 2, y[1]}
	}
	return &c, c.Fit(x, y)
}
