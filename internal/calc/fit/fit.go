// Package fit holds least squares: a model's free parameters from measurements,
// with their standard errors.
package fit

import (
	"math"

	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"
	"gonum.org/v1/gonum/stat/distuv"

	"saltwright/internal/calc"
	"saltwright/internal/calc/text"
)

const (
	maxParameters = 6
	maxPoints     = 1000
	maxSteps      = 100
)

// Input is a model and where to start.
type Input struct {
	Points    int                                     // n, more than parameters, at most 1000
	Start     []float64                               // k values, at least one not 0 each; 1 … 6 of them
	Residuals func(parameters, residuals []float64)   // fills n residuals, measured less model
	Bounds    func(parameters []float64) (valid bool) // nil: everything is valid
}

// Result is the fit.
type Result struct {
	Parameters    []float64
	StandardError []float64 // of each parameter
	Half95        []float64 // half-width of the 95 % confidence interval, Student's t
	Residuals     []float64
	SumOfSquares  float64
	StandardDev   float64 // of the residuals, n - k degrees of freedom
	Freedom       int     // n - k
}

// LeastSquares returns the parameters that make the sum of squared residuals smallest.
//
//	S(p) = Σ r_i(p)²,  covariance = S/(n - k) (JᵀJ)⁻¹,  half95 = t(0.975, n - k) · standard error
//
// Nelder and Mead's simplex finds the valley, damped Gauss-Newton steps its floor.
// Accuracy: 1e-8 of the parameters on smooth, well-posed problems.
// Errors: *calc.ConflictError for too few or too many points or parameters, or when
// the measurements do not tell the parameters apart; calc.ErrNoConvergence.
// Source: [NISTStRD], [DraperSmith1998].
func LeastSquares(in Input) (Result, error) {
	var r Result
	k := len(in.Start)
	if k < 1 || k > maxParameters || in.Points > maxPoints {
		return r, &calc.ConflictError{
			Params: []string{"points"},
			Reason: text.Of("fit_too_large",
				text.Params{"points": float64(maxPoints), "parameters": float64(maxParameters)}),
		}
	}
	if in.Points <= k {
		return r, &calc.ConflictError{
			Params: []string{"points"}, Reason: text.Of("too_few_points",
				text.Params{"points": float64(in.Points), "least": float64(k + 1)}),
		}
	}
	residuals := make([]float64, in.Points)
	sum := func(p []float64) float64 {
		if in.Bounds != nil && !in.Bounds(p) {
			return math.Inf(1)
		}
		in.Residuals(p, residuals)
		s := 0.0
		for _, x := range residuals {
			s += x * x
		}
		if math.IsNaN(s) {
			return math.Inf(1)
		}
		return s
	}
	if math.IsInf(sum(in.Start), 1) {
		return r, calc.ErrNoConvergence
	}
	// The simplex works on factors of the start, so that every parameter has one scale.
	scaled := func(q []float64) []float64 {
		out := make([]float64, k)
		for i := range q {
			out[i] = q[i] * in.Start[i]
		}
		return out
	}
	ones := make([]float64, k)
	for i := range ones {
		ones[i] = 1
	}
	// An error beside a result is a limit reached: what was found serves as the start of the steps below.
	found, _ := optimize.Minimize(optimize.Problem{Func: func(q []float64) float64 { return sum(scaled(q)) }}, ones,
		&optimize.Settings{
			FuncEvaluations: 20000, Converger: &optimize.FunctionConverge{Absolute: 0, Relative: 1e-12,
				Iterations: 50},
		},
		&optimize.NelderMead{SimplexSize: 0.2})
	if found == nil {
		return r, calc.ErrNoConvergence
	}
	p := scaled(found.X)
	j, err := in.polish(p, sum)
	if err != nil {
		return r, err
	}
	r.Parameters, r.SumOfSquares, r.Freedom = p, sum(p), in.Points-k
	r.Residuals = append(r.Residuals, residuals...)
	variance := r.SumOfSquares / float64(r.Freedom)
	r.StandardDev = math.Sqrt(variance)
	var normal, inverse mat.Dense
	normal.Mul(j.T(), j)
	if err := inverse.Inverse(&normal); err != nil {
		return Result{}, illPosed()
	}
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(r.Freedom)}.Quantile(0.975)
	for i := range p {
		// The Jacobian is per factor of the parameter.
		e := math.Sqrt(math.Max(0, variance*inverse.At(i, i))) * math.Abs(p[i])
		if math.IsNaN(e) || math.IsInf(e, 0) {
			return Result{}, illPosed()
		}
		r.StandardError = append(r.StandardError, e)
		r.Half95 = append(r.Half95, t*e)
	}
	return r, nil
}

func illPosed() error {
	return &calc.ConflictError{
		Params: []string{"points"},
		Reason: text.Of("measurements_do_not_tell", nil),
	}
}

// polish takes damped Gauss-Newton steps in place and returns the Jacobian, per factor of each parameter.
func (in Input) polish(p []float64, sum func([]float64) float64) (*mat.Dense, error) {
	n, k := in.Points, len(p)
	j := mat.NewDense(n, k, nil)
	jacobian := func() {
		ones := make([]float64, k)
		for i := range ones {
			ones[i] = 1
		}
		fd.Jacobian(j, func(y, q []float64) {
			at := make([]float64, k)
			for i := range q {
				at[i] = q[i] * p[i]
			}
			in.Residuals(at, y)
		}, ones, &fd.JacobianSettings{Formula: fd.Central})
	}
	best := sum(p)
	r := make([]float64, n)
	for range maxSteps {
		jacobian()
		in.Residuals(p, r)
		var step mat.VecDense
		if err := step.SolveVec(j, mat.NewVecDense(n, r)); err != nil {
			return nil, illPosed()
		}
		damp, moved := 1.0, false
		for damp > 1e-6 {
			next := make([]float64, k)
			for i := range next {
				next[i] = p[i] * (1 - damp*step.AtVec(i))
			}
			if s := sum(next); s < best {
				copy(p, next)
				best, moved = s, true
				break
			}
			damp /= 2
		}
		if !moved {
			break
		}
	}
	jacobian()
	return j, nil
}
