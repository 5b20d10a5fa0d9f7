// Package uncertainty holds what unsure inputs do to a result: one at a time, and
// all at once by drawing them.
package uncertainty

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"sort"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"saltwright/internal/calc"
	"saltwright/internal/calc/text"
)

const (
	maxInputs  = 60
	maxSamples = 5000
)

// Factor is an unsure input.
type Factor struct {
	Name                string
	Low, Expected, High float64 // Low <= Expected <= High, not all equal
}

// Model returns the results for values of the factors. An error says that this
// combination is impossible; such a sample is counted and left out.
type Model func(ctx context.Context, values []float64) ([]float64, error)

// Input is a model with its unsure inputs.
type Input struct {
	Factors []Factor // 0 … 60
	Results int      // how many numbers the model gives, 1 … 50
	Samples int      // 0 … 5000; 0: one at a time only
	Seed    uint64
}

// Effect is what one factor does alone.
type Effect struct {
	Factor  int
	AtLow   float64 // result with the factor at its low end, the others as expected
	AtHigh  float64
	Swing   float64 // largest difference among low, expected and high
	Share   float64 // of the sum of squared swings, 0 … 1
	Refused bool    // an end is impossible for this tank; that end then stands as expected
}

// Spread is what all factors together do.
type Spread struct {
	Mean, StandardDev float64
	P5, P50, P95      float64
}

// Output is one result's part.
type Output struct {
	Expected float64
	Effects  []Effect // largest swing first
	Spread   *Spread  // nil without samples
}

// Result is every output, and how many samples were impossible.
type Result struct {
	Outputs []Output
	Drawn   int // samples that count
	Refused int // samples left out
}

// Study returns what each factor does to each result alone, and what all do together.
//
//	swing_i = max(f_low, f_expected, f_high) - min(...), the others as expected
//	samples: every factor drawn from a triangle over low, expected and high, independently
//
// The same seed gives the same draws. Accuracy: percentiles to about their
// own sampling error, 1/sqrt(samples).
// Errors: *calc.RangeError, *calc.ConflictError for a malformed factor; what the
// model says of the expected values; the context's error when it ends.
// Source: [JCGM101], [Saltelli2008].
func Study(ctx context.Context, in Input, f Model) (Result, error) {
	var r Result
	if err := in.check(); err != nil {
		return r, err
	}
	base := make([]float64, len(in.Factors))
	for i, x := range in.Factors {
		base[i] = x.Expected
	}
	expected, err := f(ctx, base)
	if err != nil {
		return r, err
	}
	if len(expected) != in.Results {
		return r, fmt.Errorf("uncertainty: the model gave %d results, not %d", len(expected), in.Results)
	}
	r.Outputs = make([]Output, in.Results)
	for k := range r.Outputs {
		r.Outputs[k].Expected = expected[k]
	}
	for i := range in.Factors {
		if err := oneAtATime(ctx, in, f, base, i, r.Outputs); err != nil {
			return Result{}, err
		}
	}
	for k := range r.Outputs {
		rank(r.Outputs[k].Effects)
	}
	if in.Samples == 0 || len(in.Factors) == 0 {
		return r, nil
	}
	return r, together(ctx, in, f, &r)
}

func (in Input) check() error {
	if err := calc.CheckRange("factors", float64(len(in.Factors)), 0, maxInputs, "1"); err != nil {
		return err
	}
	if err := calc.CheckRange("results", float64(in.Results), 1, 50, "1"); err != nil {
		return err
	}
	if err := calc.CheckRange("samples", float64(in.Samples), 0, maxSamples, "1"); err != nil {
		return err
	}
	for _, x := range in.Factors {
		if !(x.Low <= x.Expected && x.Expected <= x.High && x.Low < x.High) || math.IsInf(x.High-x.Low, 0) {
			return &calc.ConflictError{
				Params: []string{x.Name},
				Reason: text.Of("factor_not_between_its_ends", nil),
			}
		}
	}
	return nil
}

func oneAtATime(ctx context.Context, in Input, f Model, base []float64, i int, out []Output) error {
	at := slices.Clone(base)
	ends := [2][]float64{}
	refused := false
	for n, v := range []float64{in.Factors[i].Low, in.Factors[i].High} {
		at[i] = v
		y, err := f(ctx, at)
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil {
			refused = true
			continue
		}
		ends[n] = y
	}
	for k := range out {
		e := Effect{Factor: i, AtLow: out[k].Expected, AtHigh: out[k].Expected, Refused: refused}
		if ends[0] != nil {
			e.AtLow = ends[0][k]
		}
		if ends[1] != nil {
			e.AtHigh = ends[1][k]
		}
		e.Swing = max(e.AtLow, e.AtHigh, out[k].Expected) - min(e.AtLow, e.AtHigh, out[k].Expected)
		out[k].Effects = append(out[k].Effects, e)
	}
	return nil
}

func rank(effects []Effect) {
	sum := 0.0
	for _, e := range effects {
		sum += e.Swing * e.Swing
	}
	if sum > 0 {
		for i := range effects {
			effects[i].Share = effects[i].Swing * effects[i].Swing / sum
		}
	}
	sort.SliceStable(effects, func(a, b int) bool { return effects[a].Swing > effects[b].Swing })
}

func together(ctx context.Context, in Input, f Model, r *Result) error {
	source := rand.NewPCG(in.Seed, 0x5a17)
	draw := make([]distuv.Triangle, len(in.Factors))
	for i, x := range in.Factors {
		draw[i] = distuv.NewTriangle(x.Low, x.High, x.Expected, source)
	}
	columns := make([][]float64, in.Results)
	values := make([]float64, len(in.Factors))
	for range in.Samples {
		for i := range draw {
			values[i] = draw[i].Rand()
		}
		y, err := f(ctx, values)
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil {
			r.Refused++
			continue
		}
		for k := range columns {
			columns[k] = append(columns[k], y[k])
		}
	}
	r.Drawn = in.Samples - r.Refused
	if r.Drawn < 2 {
		return nil
	}
	for k, c := range columns {
		mean, sd := stat.MeanStdDev(c, nil)
		sort.Float64s(c)
		at := func(p float64) float64 { return stat.Quantile(p, stat.Empirical, c, nil) }
		r.Outputs[k].Spread = &Spread{Mean: mean, StandardDev: sd, P5: at(0.05), P50: at(0.5), P95: at(0.95)}
	}
	return nil
}
