package envelope

import (
	"errors"
	"slices"
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
	violations := violationsOf(err, asked)
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

// Sent returns, of pointers into a request, those to what was sent, and where none of it was, the members nearest above
// them that were. Members of the request itself, without one inside another, stay: a form shows them all the same.
func Sent(pointers []string, asked *contract.Request) []string {
	inside := func(p string) bool { return strings.Count(p, "/") > 1 }
	if asked.Operation.Body == nil || !slices.ContainsFunc(pointers, inside) {
		return pointers
	}
	var sent, above []string
	for _, p := range pointers {
		if near := asked.Nearest(p); near == p {
			sent = append(sent, p)
		} else if !slices.Contains(above, near) {
			above = append(above, near)
		}
	}
	if len(sent) > 0 {
		return sent
	}
	return above
}

// violationsOf lists the conflicts and range errors in an error, joined ones too, as violations of a request.
func violationsOf(err error, asked *contract.Request) []contract.Violation {
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		var all []contract.Violation
		for _, e := range joined.Unwrap() {
			all = append(all, violationsOf(e, asked)...)
		}
		return all
	}
	var conflict *calc.ConflictError
	var out *calc.RangeError
	switch {
	case errors.As(err, &conflict):
		var all []contract.Violation
		for _, pointer := range Sent(Each(conflict.Params, Pointer), asked) {
			all = append(all, contract.Violation{
				Code: contract.CodeConflict, In: contract.InBody, Pointer: pointer, Said: conflict.Reason,
			})
		}
		return all
	case errors.As(err, &out):
		return []contract.Violation{{
			Code: contract.CodeRange, In: contract.InBody, Unit: out.Unit,
			Pointer: Sent([]string{Pointer(out.Param)}, asked)[0],
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
