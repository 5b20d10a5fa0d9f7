package envelope

import (
	"errors"
	"fmt"
	"strings"

	"saltwright/internal/calc"
	"saltwright/internal/catalogue"
	"saltwright/internal/contract"
)

// Pointer turns a calculation's parameter path into a JSON pointer fragment:
// "sensors[2].place" becomes "#/sensors/2/place".
func Pointer(param string) string {
	r := strings.NewReplacer("[", "/", "]", "", ".", "/")
	return "#/" + r.Replace(param)
}

// SpeakerOf returns who speaks in the units that an answer's texts were asked in.
func SpeakerOf(asked *contract.Request) *catalogue.Speaker {
	u, _ := asked.Parameter("units").(string)
	return catalogue.For(catalogue.Units(u))
}

// Refused turns what a calculation refuses into violations of the request, or returns nil for a fault of ours.
func Refused(err error, asked *contract.Request) *contract.Invalid {
	violations := Violations(err, SpeakerOf(asked))
	if len(violations) == 0 {
		return nil
	}
	for i := range violations {
		v := &violations[i]
		if asked.Operation.Member(v.Pointer) == nil { // named in words
			v.Detail = fmt.Sprintf("%s %s", strings.TrimPrefix(v.Pointer, "#/"), v.Detail)
			v.Pointer = "#"
		}
		if asked.Operation.Body == nil { // a query has parameters where a body has pointers
			v.In, v.Parameter, v.Pointer = contract.InQuery,
				strings.TrimPrefix(strings.TrimPrefix(v.Pointer, "#"), "/"), ""
		}
	}
	return &contract.Invalid{Violations: violations}
}

// Violations lists the conflicts and range errors in an error, joined ones too, as violations of a body.
func Violations(err error, speaker *catalogue.Speaker) []contract.Violation {
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		var all []contract.Violation
		for _, e := range joined.Unwrap() {
			all = append(all, Violations(e, speaker)...)
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
				Code: contract.CodeConflict, In: contract.InBody, Pointer: Pointer(param),
				Detail: speaker.Say(conflict.Reason),
			})
		}
		return all
	case errors.As(err, &out):
		return []contract.Violation{{
			Code: contract.CodeRange, In: contract.InBody, Pointer: Pointer(out.Param), Unit: out.Unit,
			Detail: fmt.Sprintf("must lie within %g and %g", out.Min, out.Max),
			Limit:  &contract.Bound{Minimum: &out.Min, Maximum: &out.Max},
		}}
	case errors.Is(err, calc.ErrNoSolution):
		return []contract.Violation{{
			Code: contract.CodeConflict, In: contract.InBody, Pointer: "#",
			Detail: "these values together have no solution; move them towards usual ones",
		}}
	}
	return nil
}
