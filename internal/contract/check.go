package contract

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
)

// checkOptions collect every violation and keep schema and value out of errors:
// written out, those of a hostile body take gigabytes. Defaults are not the
// checker's: they are valid since Load, and Into knows them.
var checkOptions = []openapi3.SchemaValidationOption{openapi3.MultiErrors(), openapi3.DisableSchemaErrorDetails()}

// check returns everything that is wrong with a value that stands at a place.
func (s *Schema) check(value any, place Violation) []Violation {
	return violations(s.checker.VisitJSON(value, checkOptions...), place)
}

// violations walks the tree of schema errors down to its leaves. What a part of
// allOf refuses is wrapped, with the leaves below it.
func violations(err error, place Violation) []Violation {
	var schemaError *openapi3.SchemaError
	var several openapi3.MultiError
	switch e := err.(type) {
	case nil:
		return nil
	case openapi3.MultiError:
		several = e
	case *openapi3.SchemaError:
		schemaError = e
		if e.SchemaField == "allOf" && !errors.As(e.Origin, &several) {
			several = nil
		}
	}
	if several != nil {
		var all []Violation
		for _, one := range several {
			all = append(all, violations(one, place)...)
		}
		return all
	}
	if schemaError == nil {
		place.Code, place.Detail = CodeOther, "is not valid"
		if place.Parameter == "" {
			place.Pointer = "#"
		}
		return []Violation{place}
	}
	return []Violation{leaf(schemaError, place)}
}

// leaf says in our words what one schema error means.
func leaf(e *openapi3.SchemaError, v Violation) Violation {
	tokens := e.JSONPointer()
	s := e.Schema
	v.Code, v.Detail, v.Unit = CodeOther, "is not valid", textIn(s.Extensions, "x-unit")
	set := func(code, detail string, l *Bound) { v.Code, v.Detail, v.Limit = code, detail, l }
	whole := func(n uint64) *int { i := int(n); return &i } // #nosec G115 -- bounds of the contract
	switch e.SchemaField {
	case "required":
		set(CodeRequired, "is required", nil)
		v.Unit = ""
	case "properties":
		set(CodeUnknownMember, "is not a known member", nil)
		if v.unknown = unknownMember(e.Reason); v.unknown != "" {
			tokens = append(tokens, v.unknown)
		}
		for name := range s.Properties {
			v.known = append(v.known, name)
		}
	case "minimum":
		set(CodeRange, fmt.Sprintf("must be at least %g", *s.Min), &Bound{Minimum: s.Min})
	case "maximum":
		set(CodeRange, fmt.Sprintf("must be at most %g", *s.Max), &Bound{Maximum: s.Max})
	case "enum":
		allowed := texts(s.Enum)
		set(CodeNotAllowed, "must be one of "+strings.Join(allowed, ", "), &Bound{Enum: allowed})
	case "type", "format", "nullable":
		set(CodeType, "must be "+kindOf(s), nil)
	case "maxLength":
		n := whole(*s.MaxLength)
		set(CodeLength, fmt.Sprintf("must have at most %d characters", *n), &Bound{MaxLength: n})
	case "minLength":
		n := whole(s.MinLength)
		set(CodeLength, fmt.Sprintf("must have at least %d characters", *n), &Bound{MinLength: n})
	case "pattern":
		set(CodePattern, "must match the pattern", &Bound{Pattern: &s.Pattern})
	case "maxItems":
		set(CodeCount, fmt.Sprintf("must have at most %d items", *s.MaxItems), &Bound{MaxItems: whole(*s.MaxItems)})
	case "minItems":
		set(CodeCount, fmt.Sprintf("must have at least %d items", s.MinItems), &Bound{MinItems: whole(s.MinItems)})
	}
	if v.Parameter == "" {
		v.Pointer = "#"
		for _, t := range tokens {
			v.Pointer += "/" + EscapePointer(clip(t))
		}
	}
	return v
}

// unknownMember returns the name in the reason of an unknown member: it stands nowhere else.
func unknownMember(reason string) string {
	_, quoted, _ := strings.Cut(reason, "property ")
	if end := strings.LastIndex(quoted, " is unsupported"); end > 0 {
		if name, err := strconv.Unquote(quoted[:end]); err == nil {
			return name
		}
	}
	return ""
}

// kindOf says in words what type a schema asks for.
func kindOf(s *openapi3.Schema) string {
	for s.Type == nil && len(s.AllOf) > 0 {
		s = s.AllOf[0].Value
	}
	if s.Type == nil {
		return "of another type"
	}
	return kinds[s.Type.Slice()[0]]
}

var kinds = map[string]string{
	"number": "a number", "integer": "a whole number", "boolean": "true or false", "array": "a list",
	"object": "an object", "string": "a string",
}
