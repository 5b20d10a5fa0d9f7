package contract

import (
	"fmt"
	"slices"
)

// NamedSpread is the spread of one member of a request, with what bounds it.
type NamedSpread struct {
	Spread
	Name, Unit       string
	Default          *float64
	Minimum, Maximum float64
}

// Target is a result that a study reports.
type Target struct{ Pointer, Unit string }

// spreads reads the x-spread of a request's members, in the order of their names.
func spreads(request *Schema) ([]NamedSpread, error) {
	var out []NamedSpread
	for _, m := range slices.SortedFunc(slices.Values(request.Members), byName) {
		s := m.Schema
		if s.Spread == nil {
			continue
		}
		if s.Minimum == nil || s.Maximum == nil {
			return nil, fmt.Errorf("%s has an x-spread but not both bounds", m.Name)
		}
		x := NamedSpread{Spread: *s.Spread, Name: m.Name, Unit: s.Unit, Minimum: *s.Minimum, Maximum: *s.Maximum}
		if d, ok := s.Default.(float64); ok {
			x.Default = &d
		}
		if x.Fixed == nil && x.Of == "" && !x.AboutAssumed && x.Expected == nil && x.Default == nil {
			return nil, fmt.Errorf("x-spread of %s has nothing to spread about", m.Name)
		}
		out = append(out, x)
	}
	return out, nil
}

// targets lists what is studied at and below a schema, by name, lists left out.
func targets(s *Schema, pointer string) []Target {
	if s == nil {
		return nil
	}
	var out []Target
	for _, m := range slices.SortedFunc(slices.Values(s.Members), byName) {
		at := pointer + "/" + EscapePointer(m.Name)
		if m.Schema.Studied {
			out = append(out, Target{at, m.Schema.Unit})
			continue
		}
		out = append(out, targets(m.Schema, at)...)
	}
	return out
}
