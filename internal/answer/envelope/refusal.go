package envelope

import (
	"errors"
	"fmt"
	"maps"
	"strings"

	"saltwright/internal/calc"
)

// pointerOf turns a calculation's parameter path into a JSON pointer fragment:
// "sensors[2].place" becomes "#/sensors/2/place".
func Pointer(param string) string {
	r := strings.NewReplacer("[", "/", "]", "", ".", "/")
	return "#/" + r.Replace(param)
}

// Violations lists the conflicts and range errors in an error, joined ones
// too. rename gives one or several names, divided by spaces, for a name of the calculation's.
func Violations(err error, rename map[string]string) []Violation {
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		var all []Violation
		for _, e := range joined.Unwrap() {
			all = append(all, Violations(e, rename)...)
		}
		return all
	}
	pointers := func(param string) (all []string) {
		if to, ok := rename[param]; ok {
			param = to
		}
		for _, name := range strings.Fields(param) {
			all = append(all, Pointer(name))
		}
		return all
	}
	var conflict *calc.ConflictError
	if errors.As(err, &conflict) {
		var all []Violation
		for _, p := range conflict.Params {
			for _, pointer := range pointers(p) {
				all = append(all, Violation{Code: CodeConflict, In: "body", Pointer: pointer, Detail: conflict.Reason})
			}
		}
		return all
	}
	var out *calc.RangeError
	if errors.As(err, &out) {
		var all []Violation
		for _, pointer := range pointers(out.Param) {
			all = append(all, Violation{
				Code: CodeRange, In: "body", Pointer: pointer, Unit: out.Unit,
				Detail: fmt.Sprintf("must lie within %g and %g", out.Min, out.Max),
				Limit:  &Bound{Minimum: &out.Min, Maximum: &out.Max}, Quantity: out.Param,
			})
		}
		return all
	}
	if errors.Is(err, calc.ErrNoSolution) {
		return []Violation{{Code: CodeConflict, In: "body", Pointer: "#", Detail: "these values together have no solution; move them towards usual ones"}}
	}
	return nil
}

// Within puts the place of a list's item before the names in a calculation's error.
func Within(err error, at string) error {
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		var all []error
		for _, e := range joined.Unwrap() {
			all = append(all, Within(e, at))
		}
		return errors.Join(all...)
	}
	var conflict *calc.ConflictError
	var out *calc.RangeError
	switch {
	case errors.As(err, &conflict):
		c := *conflict
		c.Params = nil
		for _, p := range conflict.Params {
			c.Params = append(c.Params, at+p)
		}
		return &c
	case errors.As(err, &out):
		r := *out
		r.Param = at + r.Param
		return &r
	}
	return err
}

// with returns a rename map with more in it.
func WithNames(base, more map[string]string) map[string]string {
	out := maps.Clone(base)
	maps.Copy(out, more)
	return out
}
