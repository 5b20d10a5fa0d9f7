package contract

import (
	"errors"
	"strconv"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"

	"saltwright/internal/calc/text"
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
		place.Code, place.Said = CodeOther, text.Of("value_not_valid", nil)
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
	v.Code, v.Said, v.Unit = CodeOther, text.Of("value_not_valid", nil), textIn(s.Extensions, "x-unit")
	set := func(code string, said text.Text, l *Bound) { v.Code, v.Said, v.Limit = code, said, l }
	counted := func(said string, n uint64) (text.Text, *int) {
		whole := int(n) // #nosec G115 -- bounds of the contract
		return text.Of(said, text.Params{"count": whole}), &whole
	}
	switch e.SchemaField {
	case "required":
		set(CodeRequired, text.Of("value_required", nil), nil)
		v.Unit = ""
	case "properties":
		set(CodeUnknownMember, text.Of("member_not_known", nil), nil)
		if v.unknown = unknownMember(e.Reason); v.unknown != "" {
			tokens = append(tokens, v.unknown)
		}
		for name := range s.Properties {
			v.known = append(v.known, name)
		}
	case "minimum":
		least := text.Amount{Value: *s.Min, Unit: v.Unit}
		set(CodeRange, text.Of("value_too_small", text.Params{"least": least}), &Bound{Minimum: s.Min})
	case "maximum":
		most := text.Amount{Value: *s.Max, Unit: v.Unit}
		set(CodeRange, text.Of("value_too_large", text.Params{"most": most}), &Bound{Maximum: s.Max})
	case "enum":
		allowed := texts(s.Enum)
		set(CodeNotAllowed, text.Of("value_not_allowed", text.Params{"allowed": allowed}), &Bound{Enum: allowed})
	case "type", "format", "nullable":
		set(CodeType, wrongType(s), nil)
	case "maxLength":
		said, n := counted("string_too_long", *s.MaxLength)
		set(CodeLength, said, &Bound{MaxLength: n})
	case "minLength":
		said, n := counted("string_too_short", s.MinLength)
		set(CodeLength, said, &Bound{MinLength: n})
	case "pattern":
		set(CodePattern, text.Of("string_not_in_form", nil), &Bound{Pattern: &s.Pattern})
	case "maxItems":
		said, n := counted("list_too_long", *s.MaxItems)
		set(CodeCount, said, &Bound{MaxItems: n})
	case "minItems":
		said, n := counted("list_too_short", s.MinItems)
		set(CodeCount, said, &Bound{MinItems: n})
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

// wrongType says what type a schema asks for.
func wrongType(s *openapi3.Schema) text.Text {
	for s.Type == nil && len(s.AllOf) > 0 {
		s = s.AllOf[0].Value
	}
	if s.Type == nil {
		return text.Of("value_not_valid", nil)
	}
	return text.Of("value_of_wrong_type", text.Params{"type": s.Type.Slice()[0]})
}
