package contract

import (
	"cmp"
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

// prepareStudy reads x-spread and x-study, for an operation that takes samples.
func (o *Operation) prepareStudy() error {
	if o.Parameter(InQuery, "samples") == nil {
		return nil
	}
	for _, m := range o.Request.Members {
		s := m.Schema
		if s.Spread == nil {
			continue
		}
		if s.Minimum == nil || s.Maximum == nil {
			return fmt.Errorf("%s: %s has an x-spread but not both bounds", o.ID, m.Name)
		}
		x := NamedSpread{Spread: *s.Spread, Name: m.Name, Unit: s.Unit, Minimum: *s.Minimum, Maximum: *s.Maximum}
		if d, ok := s.Default.(float64); ok {
			x.Default = &d
		}
		if x.Fixed == nil && x.Of == "" && !x.AboutAssumed && x.Expected == nil && x.Default == nil {
			return fmt.Errorf("%s: x-spread of %s has nothing to spread about", o.ID, m.Name)
		}
		o.Spreads = append(o.Spreads, x)
	}
	slices.SortFunc(o.Spreads, func(a, b NamedSpread) int { return cmp.Compare(a.Name, b.Name) })
	o.Targets = targets(o.Result, "/result")
	if len(o.Spreads) == 0 || len(o.Targets) == 0 {
		return fmt.Errorf("%s takes samples but has no x-spread or no x-study", o.ID)
	}
	return nil
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
