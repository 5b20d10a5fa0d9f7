package answer

import (
	"context"
	"fmt"
	"maps"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/uncertainty"
	"saltwright/internal/contract"
)

type sensitivityInput struct {
	Pointer string  `json:"pointer"`
	Unit    string  `json:"unit"`
	Low     float64 `json:"low"`
	High    float64 `json:"high"`
	AtLow   float64 `json:"at_low"`
	AtHigh  float64 `json:"at_high"`
	Swing   float64 `json:"swing"`
	Share   float64 `json:"share"`
}

type sensitivityResult struct {
	Pointer           string             `json:"pointer"`
	Unit              string             `json:"unit"`
	Answer            float64            `json:"answer"`
	Expected          float64            `json:"expected"`
	Mean              *float64           `json:"mean,omitempty"`
	StandardDeviation *float64           `json:"standard_deviation,omitempty"`
	P5                *float64           `json:"p5,omitempty"`
	P50               *float64           `json:"p50,omitempty"`
	P95               *float64           `json:"p95,omitempty"`
	Inputs            []sensitivityInput `json:"inputs"`
}

// Sensitivity is what moves an answer, of all that nobody stated.
type Sensitivity struct {
	Samples int                 `json:"samples"`
	Drawn   int                 `json:"drawn"`
	Refused int                 `json:"refused"`
	Seed    int                 `json:"seed"`
	Varied  int                 `json:"varied"`
	Results []sensitivityResult `json:"results"`
	Advice  string              `json:"advice"`
}

// factorOf returns the factor that a spread is for this request, or false when it is not varied.
func factorOf(x contract.NamedSpread, assumed []envelope.Assumption, result reflect.Value) (uncertainty.Factor, bool) {
	f := uncertainty.Factor{Name: x.Name, Low: x.Low, High: x.High}
	switch {
	case x.Fixed != nil:
		return f, false
	case x.Of != "":
		base, ok := numberAt(result, x.Of)
		if !ok || base <= 0 {
			return f, false
		}
		f.Low, f.Expected, f.High = x.Low*base, base, x.High*base
	case x.AboutAssumed:
		i := slices.IndexFunc(assumed, func(a envelope.Assumption) bool { return a.Pointer == "#/"+x.Name })
		if i < 0 {
			return f, false
		}
		v, ok := assumed[i].Value.(float64)
		if !ok {
			return f, false
		}
		f.Low, f.Expected, f.High = v-x.Minus, v, v+x.Plus
	case x.Expected != nil:
		f.Expected = *x.Expected
	default:
		f.Expected = *x.Default
	}
	f.Low, f.High = math.Max(f.Low, x.Minimum), math.Min(f.High, x.Maximum)
	f.Low, f.High = math.Min(f.Low, f.Expected), math.Max(f.High, f.Expected)
	return f, f.Low < f.High
}

// numberAt returns the number that a pointer such as /result/seasons/1/expected_l_d names in a result.
func numberAt(result reflect.Value, pointer string) (float64, bool) {
	v := result
	for _, token := range strings.Split(strings.TrimPrefix(pointer, "/result/"), "/") {
		if v = memberOf(v, token); !v.IsValid() {
			return 0, false
		}
	}
	for v.Kind() == reflect.Pointer {
		v = v.Elem() // of nil: invalid
	}
	switch {
	case !v.IsValid():
		return 0, false
	case v.CanFloat():
		return v.Float(), true
	case v.CanInt():
		return float64(v.Int()), true
	}
	return 0, false
}

// memberOf returns the field of a struct that JSON names so, or the item of a list, or the zero Value.
func memberOf(v reflect.Value, name string) reflect.Value {
	for v.Kind() == reflect.Pointer {
		v = v.Elem()
	}
	switch v.Kind() {
	case reflect.Slice:
		if i, err := strconv.Atoi(name); err == nil && 0 <= i && i < v.Len() {
			return v.Index(i)
		}
	case reflect.Struct:
		for _, f := range reflect.VisibleFields(v.Type()) {
			if tag, _, _ := strings.Cut(f.Tag.Get("json"), ","); tag == name && !f.Anonymous {
				return v.FieldByIndex(f.Index)
			}
		}
	}
	return reflect.Value{}
}

// sampling is what a request asks of the study.
type sampling struct{ samples, seed int }

func samplingOf(asked *contract.Request) sampling {
	number := func(name string) int {
		n, _ := asked.Parameter(name).(float64) // 0 where the operation takes none
		return int(n)
	}
	return sampling{samples: number("samples"), seed: number("seed")}
}

// newStudied makes ready the reading of what a study reports.
func newStudied(o *contract.Operation, result reflect.Type) (*contract.Numbers, error) {
	var pointers []string
	for _, t := range o.Targets {
		pointers = append(pointers, strings.TrimPrefix(t.Pointer, "/result"))
	}
	return contract.NumbersOf(result, pointers...)
}

// study reruns a calculation with what nobody stated drawn anew, and says what moves the answer. base is the request
// as it was calculated plainly.
func study[Req, Resp any](
	ctx context.Context, asked *contract.Request, how sampling, studied *contract.Numbers, base Req,
	plain envelope.Envelope,
	calculate func(context.Context, Req) (Resp, error),
) (*Sensitivity, error) {
	o, given := asked.Operation, asked.Sent()
	// #nosec G115 -- a seed has no sign
	work := uncertainty.Input{Results: len(o.Targets), Samples: how.samples, Seed: uint64(how.seed)}
	var varied []contract.NamedSpread
	var fixed []float64
	var pointers, fixedPointers []string
	for _, x := range o.Spreads {
		if _, ok := given[x.Name]; ok {
			continue // stated: taken as it is
		}
		if x.Fixed != nil {
			fixed, fixedPointers = append(fixed, *x.Fixed), append(fixedPointers, "/"+x.Name)
			continue
		}
		if factor, ok := factorOf(x, plain.Assumptions, reflect.ValueOf(plain.Result)); ok {
			work.Factors = append(work.Factors, factor)
			varied, pointers = append(varied, x), append(pointers, "/"+x.Name)
		}
	}
	still, err := contract.NumbersOf(reflect.TypeFor[Req](), fixedPointers...)
	if err != nil {
		return nil, err
	}
	still.Write(&base, fixed)
	drawn, err := contract.NumbersOf(reflect.TypeFor[Req](), pointers...)
	if err != nil {
		return nil, err
	}
	run := func(ctx context.Context, values []float64) ([]float64, error) {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		drawn.Write(&base, values)
		result, err := calculate(ctx, base)
		if err != nil {
			return nil, err
		}
		return studied.Read(result), nil
	}
	found, err := uncertainty.Study(ctx, work, run)
	if err != nil {
		return nil, err
	}
	return newSensitivity(o, how, found, work.Factors, varied, studied.Read(plain.Result)), nil
}

const mostInputs = 10

func newSensitivity(
	o *contract.Operation, s sampling, r uncertainty.Result, factors []uncertainty.Factor,
	varied []contract.NamedSpread, answers []float64,
) *Sensitivity {
	out := &Sensitivity{Samples: s.samples, Drawn: r.Drawn, Refused: r.Refused, Seed: s.seed, Varied: len(factors),
		Results: []sensitivityResult{}}
	for k, t := range o.Targets {
		y := r.Outputs[k]
		x := sensitivityResult{Pointer: t.Pointer, Unit: t.Unit, Expected: y.Expected, Inputs: []sensitivityInput{}}
		x.Answer = answers[k]
		if d := y.Spread; d != nil {
			x.Mean, x.StandardDeviation, x.P5, x.P50, x.P95 = &d.Mean, &d.StandardDev, &d.P5, &d.P50, &d.P95
		}
		for _, e := range y.Effects {
			if e.Swing == 0 || len(x.Inputs) == mostInputs {
				break
			}
			f := factors[e.Factor]
			x.Inputs = append(x.Inputs, sensitivityInput{
				Pointer: "#/" + f.Name, Unit: varied[e.Factor].Unit, Low: f.Low, High: f.High, AtLow: e.AtLow,
				AtHigh: e.AtHigh, Swing: e.Swing, Share: e.Share,
			})
		}
		out.Results = append(out.Results, x)
	}
	out.Advice = advice(out)
	return out
}

// advice names what to measure first: what moves most results most.
func advice(s *Sensitivity) string {
	weight := map[string]float64{}
	for _, r := range s.Results {
		for _, i := range r.Inputs {
			weight[i.Pointer] += i.Share
		}
	}
	best := ""
	for _, p := range slices.Sorted(maps.Keys(weight)) {
		if best == "" || weight[p] > weight[best] {
			best = p
		}
	}
	if best == "" {
		return "Nothing that was assumed moves these results."
	}
	return fmt.Sprintf("Measure and state %s first: of all that was assumed it moves these results most.",
		strings.TrimPrefix(best, "#/"))
}
