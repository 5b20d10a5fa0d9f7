package envelope

import (
	"errors"
	"strings"

	"saltwright/internal/calc"
	"saltwright/internal/calc/text"
	"saltwright/internal/contract"
)

// Pointer turns a calculation's parameter path into a JSON pointer fragment:
// "sensors[2].place" becomes "#/sensors/2/place".
func Pointer(param string) string {
	r := strings.NewReplacer("[", "/", "]", "", ".", "/")
	return "#/" + r.Replace(param)
}

// Refused turns what a calculation refuses into violations of the request, or returns nil for a fault of ours.
func Refused(err error, asked *contract.Request) *contract.Invalid {
	violations := Violations(err)
	if len(violations) == 0 {
		return nil
	}
	for i := range violations {
		v := &violations[i]
		if asked.Operation.Member(v.Pointer) == nil { // named in words
			v.Said = text.Of("about_member",
				text.Params{"member": strings.TrimPrefix(v.Pointer, "#/"), "reason": v.Said})
			v.Pointer = "#"
		}
		*v = asked.Operation.Placed(*v)
	}
	return &contract.Invalid{Violations: violations}
}

// Violations lists the conflicts and range errors in an error, joined ones too, as violations of a body.
func Violations(err error) []contract.Violation {
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		var all []contract.Violation
		for _, e := range joined.Unwrap() {
			all = append(all, Violations(e)...)
		}
		return all
	}
	var conflict *calc.ConflictError
	var out *calc.RangeError
	switch {
	case errors.As(err, &conflict):
		var all []contract.Violation
		for _, param := range conflict.Params {
			all = append(all, contract.Violation{
				Code: contract.CodeConflict, In: contract.InBody, Pointer: Pointer(param), Said: conflict.Reason,
			})
		}
		return all
	case errors.As(err, &out):
		return []contract.Violation{{
			Code: contract.CodeRange, In: contract.InBody, Pointer: Pointer(out.Param), Unit: out.Unit,
			Said: text.Of("value_out_of_range", text.Params{
				"least": text.Amount{Value: out.Min, Unit: out.Unit},
				"most":  text.Amount{Value: out.Max, Unit: out.Unit}}),
			Limit: &contract.Bound{Minimum: &out.Min, Maximum: &out.Max},
		}}
	case errors.Is(err, calc.ErrNoSolution):
		return []contract.Violation{{
			Code: contract.CodeConflict, In: contract.InBody, Pointer: "#", Said: text.Of("no_solution", nil),
		}}
	}
	return nil
}
