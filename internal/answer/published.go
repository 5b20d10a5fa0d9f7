package answer

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc"
	"saltwright/internal/calc/text"
	"saltwright/internal/contract"
	"saltwright/internal/methods"
)

// model is what an operation's answers say of what they rest on.
type model struct {
	sources   []string
	published published
}

// newModel makes it ready. Errors: a use that names what the contract or the core does not have.
func newModel(o *contract.Operation) (model, error) {
	var m model
	for _, u := range uses[o.Name()] {
		keys, err := methods.Sources(u.relation)
		if err != nil {
			return m, err
		}
		m.sources = append(m.sources, keys...)
	}
	var err error
	m.published, err = newPublished(o)
	for _, r := range m.published.ranges {
		m.sources = append(m.sources, r.Source)
	}
	return m, err
}

// with returns the sources and more, sorted, each once.
func (m model) with(more []string) []string {
	out := slices.Concat(m.sources, more)
	slices.Sort(out)
	return envelope.List(slices.Compact(out))
}

// published is what the relations behind one operation are published for: the ranges that its answers list, and where
// the values that go into them stand.
type published struct {
	ranges []envelope.Range
	rows   []calc.Published // of each range
}

// newPublished makes ready the ranges of an operation. Errors: a use that names what the contract or the core does not
// have, which is a programmer's mistake.
func newPublished(o *contract.Operation) (published, error) {
	out := published{ranges: []envelope.Range{}}
	for _, u := range uses[o.Name()] {
		for _, row := range publishedRanges() {
			if row.Relation != u.relation {
				continue
			}
			for _, place := range u.at[row.Quantity] {
				r := envelope.Range{
					Place: place, Unit: row.Unit, PublishedLow: row.Low, PublishedHigh: row.High,
					Relation: row.Relation, Source: row.Source,
				}
				if strings.ContainsRune(place, '/') {
					s := schemaAt(o, place)
					if s == nil || s.Unit != row.Unit {
						return out, fmt.Errorf("%s has no %s in %s", o.ID, place, row.Unit)
					}
					r.AcceptedLow, r.AcceptedHigh = s.Minimum, s.Maximum
				}
				out.ranges, out.rows = append(out.ranges, r), append(out.rows, row)
			}
		}
	}
	return out, nil
}

// schemaAt returns the schema of a place in the request, "#/months/*/room_c", or the answer, "/result/practical_psu".
func schemaAt(o *contract.Operation, place string) *contract.Schema {
	if rest, ok := strings.CutPrefix(place, "/result/"); ok {
		if m := o.Result.Member(rest); m != nil {
			return m.Schema
		}
		return nil
	}
	return o.Member(strings.ReplaceAll(place, "*", "0"))
}

// value is a number that went into a relation, and where it stands.
type value struct {
	place  string
	number float64
}

// warnings says which values lie outside what a relation is published for: one for each value, by the narrowest range.
func (p published) warnings(
	asked *contract.Request, result any, assumed []envelope.Assumption, reached map[string]float64,
) []envelope.Warning {
	var out []envelope.Warning
	narrowest := map[string]calc.Published{}
	var order []value
	for i, r := range p.ranges {
		for _, v := range valuesAt(r.Place, asked, result, assumed, reached) {
			row := p.rows[i]
			if row.Holds(v.number) {
				continue
			}
			before, seen := narrowest[v.place]
			if !seen {
				order = append(order, v)
			}
			if !seen || distance(row, v.number) > distance(before, v.number) {
				narrowest[v.place] = row
			}
		}
	}
	for _, v := range order {
		out = append(out, outside{v, narrowest[v.place]}.warning())
	}
	return out
}

// distance is how far outside a range a number lies.
func distance(p calc.Published, number float64) float64 { return math.Max(p.Low-number, number-p.High) }

// outside is a value outside a published range: the parameters of the one warning about it.
type outside struct {
	value
	row calc.Published
}

// symbols are how a number that is calculated on the way is written (ISO 80000-11), by its name in Published.
var symbols = map[string]string{
	"wall_rayleigh": "Ra", "lively_surface_rayleigh": "Ra", "calm_surface_rayleigh": "Ra", "air_reynolds": "Re",
}

// member is what a reader knows the value by: the last name of its place, or its symbol.
func (x outside) member() string {
	if symbol := symbols[x.place]; symbol != "" {
		return symbol
	}
	return x.place[strings.LastIndex(x.place, "/")+1:]
}

func (x outside) warning() envelope.Warning {
	amount := func(number float64) text.Amount { return text.Amount{Value: number, Unit: x.row.Unit} }
	pointer := ""
	if strings.HasPrefix(x.place, "#") {
		pointer = x.place
	}
	return envelope.Warn(text.Of("outside_published_range", text.Params{
		"member": x.member(), "value": amount(x.number), "relation": x.row.Of,
		"low": amount(x.row.Low), "high": amount(x.row.High), "source": x.row.Source,
	}), pointer)
}

// valuesAt returns the numbers at a place: sent, assumed, answered or reached on the way.
func valuesAt(
	place string, asked *contract.Request, result any, assumed []envelope.Assumption, reached map[string]float64,
) []value {
	if strings.HasPrefix(place, "/result/") {
		if number, ok := numberAt(reflect.ValueOf(result), place); ok {
			return []value{{place, number}}
		}
		return nil
	}
	path, ok := strings.CutPrefix(place, "#/")
	if !ok {
		if number, ok := reached[place]; ok {
			return []value{{place, number}}
		}
		return nil
	}
	tokens := strings.Split(path, "/")
	out := below(asked.Sent(), tokens, "#")
	for _, a := range assumed {
		number, isNumber := a.Value.(float64)
		at := strings.Split(strings.TrimPrefix(a.Pointer, "#/"), "/")
		if isNumber && slices.EqualFunc(at, tokens, matches) {
			out = append(out, value{a.Pointer, number})
		}
	}
	return out
}

func matches(token, pattern string) bool { return pattern == "*" || token == pattern }

// below returns the numbers that tokens lead to, through the members of objects and, by "*", all items of lists.
func below(tree any, tokens []string, place string) []value {
	if len(tokens) == 0 {
		if number, ok := tree.(float64); ok {
			return []value{{place, number}}
		}
		return nil
	}
	switch at := tree.(type) {
	case map[string]any:
		return below(at[tokens[0]], tokens[1:], place+"/"+tokens[0])
	case []any:
		var out []value
		for i, item := range at {
			out = append(out, below(item, tokens[1:], place+"/"+strconv.Itoa(i))...)
		}
		return out
	}
	return nil
}
