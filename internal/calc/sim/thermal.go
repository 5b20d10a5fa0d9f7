package sim

import (
	"math"

	"saltwright/internal/calc/numeric"
)

// heatFlow is what acts on the water during one segment; all of it is linear
// in temperature and time.
type heatFlow struct {
	nodes    int
	capacity [2]float64 // J/K
	slope    [2]float64 // W/K lost to the surroundings, > 0
	constant [2]float64 // W into the node at 0 °C and the start of the segment
	ramp     [2]float64 // W/s, change of the constant part (lights on a ramp)
	coupling float64    // W/K between the nodes, 0 when the return stands still
}

// solve returns the temperatures of the nodes as functions of the time since
// the segment began.
//
//	C·dT/dt = constant + ramp·t - slope·T ± coupling·(T1 - T0)
//
// Two nodes are solved by the eigenvalues of the 2×2 matrix, which are real,
// negative and, with a coupling, distinct.
func (q *heatFlow) solve(start [2]float64) [2]numeric.ExpPoly {
	var out [2]numeric.ExpPoly
	if q.coupling == 0 {
		for i := range q.nodes {
			out[i] = q.alone(i, start[i])
		}
		return out
	}
	g := q.coupling
	per0, per1 := 1/q.capacity[0], 1/q.capacity[1]
	a, b := -(q.slope[0]+g)*per0, g*per0
	c, d := g*per1, -(q.slope[1]+g)*per1
	det := a*d - b*c // > 0, since both slopes are
	perDet := 1 / det
	inverse := func(x, y float64) (float64, float64) { return (d*x - b*y) * perDet, (a*y - c*x) * perDet }
	f0, f1 := q.constant[0]*per0, q.constant[1]*per1
	r0, r1 := q.ramp[0]*per0, q.ramp[1]*per1
	// Particular solution u + w·t: A w = -r and A u = w - f.
	w0, w1 := inverse(-r0, -r1)
	u0, u1 := inverse(w0-f0, w1-f1)
	y0, y1 := start[0]-u0, start[1]-u1
	// Eigenvalues of A: the slow one from the product, which loses no digits.
	fast := ((a + d) - math.Sqrt((a-d)*(a-d)+4*b*c)) / 2
	slow := det / fast
	// y = Σ k_i v_i exp(λ_i t) with v_i = (1, (λ_i - a)/b); the fast part is what the slow one leaves of y at t = 0.
	kSlow := (y1*b - y0*(fast-a)) / (slow - fast)
	slow1 := kSlow * (slow - a) / b
	rates := [2]float64{-slow, -fast}
	out[0] = numeric.ExpPoly{P: [3]float64{u0, w0}, B: [2]float64{kSlow, y0 - kSlow}, L: rates}
	out[1] = numeric.ExpPoly{P: [3]float64{u1, w1}, B: [2]float64{slow1, y1 - slow1}, L: rates}
	return out
}

func (q *heatFlow) alone(i int, start float64) numeric.ExpPoly {
	rate := q.slope[i] / q.capacity[i]
	w := q.ramp[i] / q.slope[i]
	u := (q.constant[i] - q.capacity[i]*w) / q.slope[i]
	f := numeric.ExpPoly{P: [3]float64{u, w}}
	f.L[i] = rate
	f.B[i] = start - u
	return f
}
