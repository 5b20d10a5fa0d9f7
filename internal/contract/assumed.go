package contract

import (
	"cmp"
	"slices"
	"strconv"
)

// Assumed is a value that nobody sent and a default brought in, where the
// contract says what the default is based on (x-assumption).
type Assumed struct {
	Pointer string `json:"pointer"` // JSON pointer as a URI fragment
	Value   any    `json:"value"`   // float64, string or bool
	Unit    string `json:"unit,omitempty"`
	Assumption
}

// of lists what the defaults brought into a request, sorted by pointer.
func (a *assumptions) of(request any) []Assumed {
	if a.empty() {
		return nil
	}
	out := a.missing(make([]Assumed, 0, a.most), request, "")
	for i := 1; i < len(out); i++ {
		if out[i].Pointer < out[i-1].Pointer { // ten and more items of a list
			slices.SortFunc(out, func(a, b Assumed) int { return cmp.Compare(a.Pointer, b.Pointer) })
			break
		}
	}
	return out
}

// assumptions are the assumed defaults at and below one schema.
type assumptions struct {
	pointer string              // from the request, or from the item of a list that it is in
	members []memberAssumptions // of an object, by name
	items   *assumptions        // of a list
	most    int                 // of an object without lists
}

type memberAssumptions struct {
	name     string
	defaults []Assumed    // what is assumed when the member is not sent
	below    *assumptions // what is assumed inside one that is sent
}

func (a *assumptions) empty() bool { return a == nil || len(a.members) == 0 && a.items == nil }

// newAssumptions collects the assumed defaults below a schema.
func newAssumptions(s *Schema, pointer string) *assumptions {
	if s == nil {
		return nil
	}
	a := &assumptions{pointer: pointer}
	if below := newAssumptions(s.Items, ""); !below.empty() {
		a.items = below
	}
	for _, m := range slices.SortedFunc(slices.Values(s.Members), byName) {
		at := pointer + "/" + EscapePointer(m.Name)
		one := memberAssumptions{name: m.Name, below: newAssumptions(m.Schema, at)}
		if m.Schema.Default != nil {
			one.defaults = defaulted(m.Schema, m.Schema.Default, at)
		}
		if len(one.defaults) > 0 || !one.below.empty() {
			a.most += len(one.defaults)
			a.members = append(a.members, one)
		}
	}
	return a
}

// defaulted lists the assumed leaves of a default; a list is one leaf. An empty list or text is nothing assumed.
func defaulted(s *Schema, value any, pointer string) []Assumed {
	if object, ok := value.(map[string]any); ok {
		var out []Assumed
		for _, m := range slices.SortedFunc(slices.Values(s.Members), byName) {
			v, given := object[m.Name]
			if !given {
				v = m.Schema.Default
			}
			if v != nil {
				out = append(out, defaulted(m.Schema, v, pointer+"/"+EscapePointer(m.Name))...)
			}
		}
		return out
	}
	if list, ok := value.([]any); ok && len(list) == 0 || value == "" || s.Assumption == nil {
		return nil
	}
	return []Assumed{{Pointer: pointer, Value: value, Unit: s.Unit, Assumption: *s.Assumption}}
}

// missing adds what a value that was sent leaves to its defaults. The prefix
// leads to the item of a list that the value is in.
func (a *assumptions) missing(out []Assumed, sent any, prefix string) []Assumed {
	if a.empty() {
		return out
	}
	switch v := sent.(type) {
	case map[string]any:
		for _, m := range a.members {
			if inside, ok := v[m.name]; ok {
				out = m.below.missing(out, inside, prefix)
				continue
			}
			out = append(out, m.defaults...)
			for i := len(out) - len(m.defaults); i < len(out) && prefix != ""; i++ {
				out[i].Pointer = prefix + out[i].Pointer
			}
		}
	case []any:
		for i, item := range v {
			out = a.items.missing(out, item, prefix+a.pointer+"/"+strconv.Itoa(i))
		}
	}
	return out
}
