package fit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"saltwright/internal/calc"
)

// Statistical Reference Datasets of the National Institute of Standards and Technology, nonlinear regression,
// in the public domain: y = b1 (1 - exp(-b2 x)), the approach to an equilibrium, with certified values.
// Misra1a's certified values were seen in a public transcription, its data and BoxBOD are from memory.
func TestCertifiedExponentialFits(t *testing.T) {
	for _, c := range []struct {
		name                     string
		x, y, start              []float64
		b1, b2, se1, se2, ss, sd float64
	}{
		{
			"Misra1a",
			[]float64{77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0},
			[]float64{10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78},
			[]float64{500, 0.0001},
			2.3894212918e+02, 5.5015643181e-04, 2.7070075241e+00, 7.2668688436e-06, 1.2455138894e-01, 1.0187876330e-01,
		},
		{
			"BoxBOD",
			[]float64{1, 2, 3, 5, 7, 10}, []float64{109, 149, 149, 191, 213, 224},
			[]float64{100, 0.75},
			2.1380940889e+02, 5.4723748542e-01, 1.2354515176e+01, 1.0455993237e-01, 1.1680088766e+03, 1.7088072423e+01,
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := LeastSquares(Input{Points: len(c.x), Start: c.start, Residuals: func(p, out []float64) {
				for i, x := range c.x {
					out[i] = c.y[i] + p[0]*math.Expm1(-p[1]*x)
				}
			}})
			require.NoError(t, err)
			for _, v := range []struct {
				name              string
				want, got, within float64
			}{
				// certified to 11 digits; the standard errors come by a numerical Jacobian
				{"b1", c.b1, r.Parameters[0], 1e-8}, {"b2", c.b2, r.Parameters[1], 1e-8},
				{"se b1", c.se1, r.StandardError[0], 1e-6}, {"se b2", c.se2, r.StandardError[1], 1e-6},
				{"sum of squares", c.ss, r.SumOfSquares, 1e-9}, {"residual sd", c.sd, r.StandardDev, 1e-9},
			} {
				assert.InEpsilon(t, v.want, v.got, v.within, v.name)
				t.Logf("%s: off by %.1e", v.name, v.got/v.want-1)
			}
		})
	}
}

// Wampler1 of the same datasets, linear regression: y = 1 + x + x² + … + x⁵ for x = 0 … 20, whose certified parameters
// are all 1 (from memory; it is so by the data's own definition). A simplex alone stays far away.
func TestCertifiedPolynomial(t *testing.T) {
	r, err := LeastSquares(Input{
		Points: 21, Start: []float64{0.5, 2, 0.5, 2, 0.5, 2}, Residuals: func(p, out []float64) {
			for i := range out {
				x, power := float64(i), 1.0
				out[i] = 0
				for _, b := range p {
					out[i] += (1 - b) * power
					power *= x
				}
			}
		},
	})
	require.NoError(t, err)
	for i, b := range r.Parameters {
		assert.InDelta(t, 1, b, 1e-6, "of x to the %d", i)
	}
}

// Student's t, two-sided 95 %: 12.706 at 1, 2.228 at 10 degrees of freedom (tables in every textbook, from memory).
func TestConfidenceUsesStudent(t *testing.T) {
	line := func(n int) Result {
		r, err := LeastSquares(Input{Points: n, Start: []float64{1}, Residuals: func(p, out []float64) {
			for i := range out {
				out[i] = float64(i%2)*0.2 + 2 - p[0]
			}
		}})
		require.NoError(t, err)
		return r
	}
	two := line(2)
	assert.InDelta(t, 12.706, two.Half95[0]/two.StandardError[0], 0.001)
	assert.InDelta(t, 2.1, two.Parameters[0], 1e-9)
	eleven := line(11)
	assert.InDelta(t, 2.228, eleven.Half95[0]/eleven.StandardError[0], 0.001)
}

func TestWhatCannotBeFittedIsRefused(t *testing.T) {
	same := func(p, out []float64) { // two parameters that only act together
		for i := range out {
			out[i] = float64(i) - p[0]*p[1]*float64(i)
		}
	}
	var conflict *calc.ConflictError
	_, err := LeastSquares(Input{Points: 5, Start: []float64{2, 2}, Residuals: same})
	assert.ErrorAs(t, err, &conflict)
	_, err = LeastSquares(Input{Points: 2, Start: []float64{2, 2}, Residuals: same})
	assert.ErrorAs(t, err, &conflict)
	_, err = LeastSquares(Input{
		Points: 3, Start: []float64{1}, Residuals: func(_, out []float64) { out[0] = math.NaN() },
	})
	assert.ErrorIs(t, err, calc.ErrNoConvergence)
}

func TestMostPointsAndParameters(t *testing.T) {
	fit := func(points, parameters int) error {
		in := Input{Points: points, Residuals: func(p, out []float64) {
			for i := range out {
				out[i] = float64(i%parameters+2) - p[i%parameters]
			}
		}}
		for range parameters {
			in.Start = append(in.Start, 1)
		}
		_, err := LeastSquares(in)
		return err
	}
	assert.NoError(t, fit(12, 6))
	assert.NoError(t, fit(1000, 1))
	assert.ErrorContains(t, fit(14, 7), "parameters:6")
	assert.ErrorContains(t, fit(1001, 1), "points:1000")
	assert.ErrorContains(t, fit(2, 2), "least:3", "one more than parameters")
}
