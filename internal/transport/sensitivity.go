package transport

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/labstack/echo/v4"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/uncertainty"
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

type sensitivity struct {
	Samples int                 `json:"samples"`
	Drawn   int                 `json:"drawn"`
	Refused int                 `json:"refused"`
	Seed    int                 `json:"seed"`
	Varied  int                 `json:"varied"`
	Results []sensitivityResult `json:"results"`
	Advice  string              `json:"advice"`
}

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }

// spread is how unsure a member is that nobody stated: an x-spread of the contract.
type spread struct {
	name, unit        string
	low, high         float64
	expected          *float64 // nil: the default, or what the answer assumed
	minus, plus       float64  // about what the answer assumed
	of                string   // pointer into the plain answer that low and high are multiples of
	fixed             *float64 // not varied: set to this for the study
	dflt              *float64
	minimum, maximum  float64
	relativeToAssumed bool
}

// target is a result that is studied: an x-study of the contract.
type target struct{ pointer, unit string }

// members returns the request's flat members with their schemas.
func (o *operation) members() map[string]*openapi3.Schema {
	out := map[string]*openapi3.Schema{}
	if o.body != nil {
		for name, p := range o.body.Value.Properties {
			out[name] = p.Value
		}
		return out
	}
	for _, p := range o.route.Operation.Parameters {
		if !answerParameter(p.Value.Name) {
			out[p.Value.Name] = p.Value.Schema.Value
		}
	}
	return out
}

// answerParameter tells the query parameters that shape the answer from those that are the request.
func answerParameter(name string) bool { return name == "units" || name == "samples" || name == "seed" }

// prepareStudy reads the contract's x-spread and x-study for operations that take samples.
func (o *operation) prepareStudy() error {
	if o.route.Operation.Parameters.GetByInAndName(openapi3.ParameterInQuery, "samples") == nil {
		return nil
	}
	members := o.members()
	for _, name := range sortedKeys(members) {
		s := members[name]
		raw, ok := s.Extensions["x-spread"].(map[string]any)
		if !ok {
			continue
		}
		x := spread{name: name, minimum: *s.Min, maximum: *s.Max}
		x.unit, _ = s.Extensions["x-unit"].(string)
		if d, ok := s.Default.(float64); ok {
			x.dflt = &d
		}
		number := func(key string) (float64, bool) {
			switch v := raw[key].(type) {
			case float64:
				return v, true
			case int:
				return float64(v), true
			}
			return 0, false
		}
		x.low, _ = number("low")
		x.high, _ = number("high")
		x.minus, x.relativeToAssumed = number("minus")
		x.plus, _ = number("plus")
		x.of, _ = raw["of"].(string)
		if v, ok := number("expected"); ok {
			x.expected = &v
		}
		if v, ok := number("fixed"); ok {
			x.fixed = &v
		}
		if x.fixed == nil && x.of == "" && !x.relativeToAssumed && x.expected == nil && x.dflt == nil {
			return fmt.Errorf("contract: %s: x-spread of %s has nothing to spread about", o.id, name)
		}
		o.spreads = append(o.spreads, x)
	}
	o.targets = targetsOf(o.result, "/result")
	if len(o.spreads) == 0 || len(o.targets) == 0 {
		return fmt.Errorf("contract: %s takes samples but has no x-spread or no x-study", o.id)
	}
	return nil
}

func targetsOf(s *openapi3.SchemaRef, pointer string) []target {
	if s == nil || s.Value == nil {
		return nil
	}
	var out []target
	for _, part := range s.Value.AllOf {
		out = append(out, targetsOf(part, pointer)...)
	}
	for _, name := range sortedKeys(s.Value.Properties) {
		p := s.Value.Properties[name]
		if p.Value.Extensions["x-study"] == true {
			unit, _ := p.Value.Extensions["x-unit"].(string)
			out = append(out, target{pointer + "/" + name, unit})
			continue
		}
		out = append(out, targetsOf(p, pointer+"/"+name)...)
	}
	return out
}

// about returns the factor that a spread is for this request, or false when it is not varied.
func (x spread) about(assumptions []envelope.Assumption, plain any) (uncertainty.Factor, bool) {
	f := uncertainty.Factor{Name: x.name, Low: x.low, High: x.high}
	switch {
	case x.fixed != nil:
		return f, false
	case x.of != "":
		base, ok := numberAt(plain, x.of)
		if !ok || base <= 0 {
			return f, false
		}
		f.Low, f.Expected, f.High = x.low*base, base, x.high*base
	case x.relativeToAssumed:
		found := false
		for _, a := range assumptions {
			if v, ok := a.Value.(float64); ok && a.Pointer == "#/"+x.name {
				f.Low, f.Expected, f.High, found = v-x.minus, v, v+x.plus, true
			}
		}
		if !found {
			return f, false
		}
	case x.expected != nil:
		f.Expected = *x.expected
	default:
		f.Expected = *x.dflt
	}
	f.Low, f.High = math.Max(f.Low, x.minimum), math.Min(f.High, x.maximum)
	f.Low, f.High = math.Min(f.Low, f.Expected), math.Max(f.High, f.Expected)
	return f, f.Low < f.High
}

// numberAt returns the number that a pointer names in decoded JSON.
func numberAt(v any, pointer string) (float64, bool) {
	for _, token := range strings.Split(strings.TrimPrefix(pointer, "/"), "/") {
		switch x := v.(type) {
		case map[string]any:
			v = x[token]
		case []any:
			i, err := strconv.Atoi(token)
			if err != nil || i < 0 || i >= len(x) {
				return 0, false
			}
			v = x[i]
		default:
			return 0, false
		}
	}
	n, ok := v.(json.Number)
	if !ok {
		return 0, false
	}
	f, err := n.Float64()
	return f, err == nil
}

// sampling is what a request asks of the study.
type sampling struct{ samples, seed int }

func (o *operation) sampling(c echo.Context) sampling {
	if len(o.targets) == 0 {
		return sampling{}
	}
	number := func(name string, without int) int {
		n, err := strconv.Atoi(c.QueryParam(name)) // the contract has checked it
		if err != nil {
			return without
		}
		return n
	}
	return sampling{samples: number("samples", 0), seed: number("seed", 1)}
}

// study reruns a calculation with what nobody stated drawn anew, and says what moves the answer.
func study[Req, Resp any](ctx context.Context, o *operation, s sampling, in asked, plain envelope.Envelope, f func(context.Context, Req) (envelope.Answer[Resp], error)) (*sensitivity, error) {
	given, _ := in.sent.(map[string]any)
	raw, err := json.Marshal(plain)
	if err != nil {
		return nil, err
	}
	answered, err := envelope.DecodeJSON(raw)
	if err != nil {
		return nil, err
	}
	base := map[string]json.RawMessage{}
	if err := json.Unmarshal(in.full, &base); err != nil {
		return nil, err
	}
	work := uncertainty.Input{Results: len(o.targets), Samples: s.samples, Seed: uint64(s.seed)}
	var varied []spread
	for _, x := range o.spreads {
		if _, ok := given[x.name]; ok {
			continue // stated: taken as it is
		}
		if x.fixed != nil {
			base[x.name] = numberJSON(*x.fixed)
			continue
		}
		if factor, ok := x.about(plain.Assumptions, answered); ok {
			work.Factors = append(work.Factors, factor)
			varied = append(varied, x)
		}
	}
	run := func(ctx context.Context, values []float64) ([]float64, error) {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		for i, v := range values {
			base[varied[i].name] = numberJSON(v)
		}
		body, err := json.Marshal(base)
		if err != nil {
			return nil, err
		}
		var r Req
		dec := json.NewDecoder(bytes.NewReader(body))
		dec.DisallowUnknownFields()
		if err := dec.Decode(&r); err != nil {
			return nil, fmt.Errorf("%s: %w", o.id, err)
		}
		a, err := f(ctx, r)
		if err != nil {
			return nil, err
		}
		return o.studied(a.Result)
	}
	found, err := uncertainty.Study(ctx, work, run)
	if err != nil {
		return nil, err
	}
	return o.newSensitivity(s, found, work.Factors, varied, answered), nil
}

func numberJSON(f float64) json.RawMessage {
	return json.RawMessage(strconv.FormatFloat(f, 'g', -1, 64))
}

// studied returns the numbers of a result that are studied; one that is missing counts as 0.
func (o *operation) studied(result any) ([]float64, error) {
	raw, err := json.Marshal(map[string]any{"result": result})
	if err != nil {
		return nil, err
	}
	v, err := envelope.DecodeJSON(raw)
	if err != nil {
		return nil, err
	}
	out := make([]float64, len(o.targets))
	for i, t := range o.targets {
		out[i], _ = numberAt(v, t.pointer)
	}
	return out, nil
}

const mostInputs = 10

func (o *operation) newSensitivity(s sampling, r uncertainty.Result, factors []uncertainty.Factor, varied []spread, answered any) *sensitivity {
	out := &sensitivity{Samples: s.samples, Drawn: r.Drawn, Refused: r.Refused, Seed: s.seed, Varied: len(factors), Results: []sensitivityResult{}}
	for k, t := range o.targets {
		y := r.Outputs[k]
		x := sensitivityResult{Pointer: t.pointer, Unit: t.unit, Expected: y.Expected, Inputs: []sensitivityInput{}}
		x.Answer, _ = numberAt(answered, t.pointer)
		if d := y.Spread; d != nil {
			x.Mean, x.StandardDeviation, x.P5, x.P50, x.P95 = &d.Mean, &d.StandardDev, &d.P5, &d.P50, &d.P95
		}
		for _, e := range y.Effects {
			if e.Swing == 0 || len(x.Inputs) == mostInputs {
				break
			}
			f := factors[e.Factor]
			x.Inputs = append(x.Inputs, sensitivityInput{
				Pointer: "#/" + f.Name, Unit: varied[e.Factor].unit, Low: f.Low, High: f.High, AtLow: e.AtLow, AtHigh: e.AtHigh, Swing: e.Swing, Share: e.Share,
			})
		}
		out.Results = append(out.Results, x)
	}
	out.Advice = advice(out)
	return out
}

// advice names what to measure first: what moves most results most.
func advice(s *sensitivity) string {
	weight := map[string]float64{}
	for _, r := range s.Results {
		for _, i := range r.Inputs {
			weight[i.Pointer] += i.Share
		}
	}
	best := ""
	for _, p := range sortedKeys(weight) {
		if best == "" || weight[p] > weight[best] {
			best = p
		}
	}
	if best == "" {
		return "Nothing that was assumed moves these results."
	}
	return fmt.Sprintf("Measure and state %s first: of all that was assumed it moves these results most.", strings.TrimPrefix(best, "#/"))
}
