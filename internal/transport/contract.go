package transport

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"

	"saltwright/api"
	"saltwright/internal/answer/envelope"
)

// contract is api/openapi.yaml made ready: the only source of paths, methods,
// types, bounds and defaults.
type contract struct {
	doc        *openapi3.T
	json       []byte
	operations map[string]*operation // by operationId
	byName     map[string]*operation // what a batch may run, by the name of the calculation
	byRoute    map[string]*operation // one of those at a path, as echo writes it
}

// operation is one operation of the contract with its prebuilt route.
type operation struct {
	id       string
	method   string
	path     string // as the contract writes it
	echoPath string
	route    *routers.Route
	model    string // x-model-version; empty for operations that calculate nothing
	twin     bool   // takes a body, and GET at the same path takes the same as a query
	body     *openapi3.SchemaRef
	result   *openapi3.SchemaRef // schema of result in the 200 answer, nil without one
	spreads  []spread            // of unsure members, for operations that take samples
	targets  []target            // results that are studied

	baseCost, costPer100 int // units of a quota: of the operation, and of 100 samples
}

var pathParameters = strings.NewReplacer("{", ":", "}", "")

func loadContract() (*contract, error) {
	doc, err := openapi3.NewLoader().LoadFromData(api.OpenAPI)
	if err != nil {
		return nil, fmt.Errorf("contract: %w", err)
	}
	if err := doc.Validate(context.Background()); err != nil {
		return nil, fmt.Errorf("contract: %w", err)
	}
	c := &contract{doc: doc, operations: map[string]*operation{}, byName: map[string]*operation{}, byRoute: map[string]*operation{}}
	if c.json, err = doc.MarshalJSON(); err != nil {
		return nil, fmt.Errorf("contract: %w", err)
	}
	for path, item := range doc.Paths.Map() {
		for method, op := range item.Operations() {
			if _, twice := c.operations[op.OperationID]; twice || op.OperationID == "" {
				return nil, fmt.Errorf("contract: %s %s: operationId %q is missing or given twice", method, path, op.OperationID)
			}
			o := newOperation(doc, path, method, item, op)
			if err := o.prepareStudy(); err != nil {
				return nil, err
			}
			if o.baseCost < 1 {
				return nil, fmt.Errorf("contract: %s has no x-cost of at least 1", op.OperationID)
			}
			c.operations[op.OperationID], c.byRoute[o.echoPath] = o, o
			if o.body != nil && o.model != "" {
				c.byName[strings.TrimPrefix(path, "/v1/")] = o
			}
		}
	}
	return c, nil
}

func newOperation(doc *openapi3.T, path, method string, item *openapi3.PathItem, op *openapi3.Operation) *operation {
	o := &operation{
		id: op.OperationID, method: method, path: path, echoPath: pathParameters.Replace(path),
		route: &routers.Route{Spec: doc, Path: path, PathItem: item, Method: method, Operation: op},
	}
	if v, ok := op.Extensions["x-model-version"].(string); ok {
		o.model = v
	}
	units := func(name string) int { v, _ := op.Extensions[name].(float64); return int(v) }
	o.baseCost, o.costPer100 = units("x-cost"), units("x-cost-per-100-samples")
	o.twin = method == http.MethodPost && item.Get != nil
	if op.RequestBody != nil {
		o.body = op.RequestBody.Value.Content.Get("application/json").Schema
	}
	if ok := op.Responses.Value("200"); ok != nil {
		if media := ok.Value.Content.Get("application/json"); media != nil && media.Schema != nil {
			o.result = property(media.Schema, "result")
		}
	}
	return o
}

// property returns the schema of a member, through allOf.
func property(s *openapi3.SchemaRef, name string) *openapi3.SchemaRef {
	if s == nil || s.Value == nil {
		return nil
	}
	if p, ok := s.Value.Properties[name]; ok {
		return p
	}
	for _, part := range s.Value.AllOf {
		if p := property(part, name); p != nil {
			return p
		}
	}
	return nil
}

// itemsOf returns the schema of an array's items, through allOf.
func itemsOf(s *openapi3.SchemaRef) *openapi3.SchemaRef {
	if s == nil || s.Value == nil {
		return nil
	}
	if s.Value.Items != nil {
		return s.Value.Items
	}
	for _, part := range s.Value.AllOf {
		if i := itemsOf(part); i != nil {
			return i
		}
	}
	return nil
}

// member returns the schema of what a JSON pointer, as a URI fragment, names in
// the request, or nil when it has no such member.
func (o *operation) member(pointer string) *openapi3.SchemaRef {
	ref := o.body
	for i, token := range strings.Split(strings.TrimPrefix(pointer, "#"), "/")[1:] {
		if o.body == nil && i == 0 {
			p := o.route.Operation.Parameters.GetByInAndName(openapi3.ParameterInQuery, token)
			if p == nil {
				return nil
			}
			ref = p.Schema
			continue
		}
		if _, err := strconv.Atoi(token); err == nil {
			ref = itemsOf(ref)
		} else {
			ref = property(ref, token)
		}
		if ref == nil {
			return nil
		}
	}
	return ref
}

// validate checks a request against the contract, all violations at once. The
// filter leaves the defaults in the body. Those of a query are ours: it would
// parse and write the query anew for each of them.
func (o *operation) validate(ctx context.Context, req *http.Request, query url.Values, pathParams map[string]string) error {
	violations := o.checkQuery(query)
	input := &openapi3filter.RequestValidationInput{
		Request: req, PathParams: pathParams, QueryParams: query, Route: o.route,
		Options: &openapi3filter.Options{
			MultiError: true, AuthenticationFunc: openapi3filter.NoopAuthenticationFunc, RejectWhenRequestBodyNotSpecified: true,
			KeepValidatedValue: true, ExcludeRequestQueryParams: true,
			SchemaValidationOptions: []openapi3.SchemaValidationOption{openapi3.DisableSchemaErrorDetails()},
		},
	}
	var all openapi3.MultiError
	if err := openapi3filter.ValidateRequest(ctx, input); err != nil {
		all = append(all, err)
	}
	input.Options.SkipSettingDefaults = true
	for _, p := range o.route.Operation.Parameters {
		if p.Value.In != openapi3.ParameterInQuery || (!p.Value.Required && !query.Has(p.Value.Name)) {
			continue
		}
		if err := openapi3filter.ValidateParameter(ctx, input, p.Value); err != nil {
			all = append(all, err)
		}
	}
	if len(all) == 0 && len(violations) == 0 {
		return nil
	}
	var err error
	if len(all) > 0 {
		err = all
	}
	more, err := o.violations(err)
	if err != nil {
		return err
	}
	violations = append(violations, more...)
	if len(violations) == 0 {
		return nil
	}
	for _, v := range violations {
		if v.In == openapi3.ParameterInPath { // the path names nothing there is
			return &requestError{code: "not_found"}
		}
	}
	return invalid(violations...)
}

// checkQuery refuses what the filter lets through: unknown and repeated
// parameters, and spellings of true and false that JSON does not have.
func (o *operation) checkQuery(values url.Values) []envelope.Violation {
	var out []envelope.Violation
	known := func() []string {
		var names []string
		for _, p := range o.route.Operation.Parameters {
			if p.Value.In == openapi3.ParameterInQuery {
				names = append(names, p.Value.Name)
			}
		}
		return names
	}
	for name, v := range values {
		p := o.route.Operation.Parameters.GetByInAndName(openapi3.ParameterInQuery, name)
		switch {
		case p == nil:
			out = append(out, envelope.Violation{
				Code: envelope.CodeUnknownParam, In: "query", Parameter: clip(name), Detail: "is not a parameter of this operation", Unknown: name, Known: known,
			})
		case len(v) > 1:
			out = append(out, envelope.Violation{Code: envelope.CodeRepeated, In: "query", Parameter: name, Detail: "is given more than once; keep one"})
		case p.Schema.Value.Type.Is("boolean") && v[0] != "true" && v[0] != "false":
			out = append(out, envelope.Violation{Code: envelope.CodeType, In: "query", Parameter: name, Detail: "must be " + kindOf(p.Schema)})
		}
	}
	return out
}

// violations turns the filter's error into ours. It never formats a kin error:
// that dumps the schema and the value.
func (o *operation) violations(err error) ([]envelope.Violation, error) {
	switch e := err.(type) {
	case nil:
		return nil, nil
	case openapi3.MultiError:
		var all []envelope.Violation
		for _, one := range e {
			v, err := o.violations(one)
			if err != nil {
				return nil, err
			}
			all = append(all, v...)
		}
		return all, nil
	case *openapi3filter.RequestError:
		return o.requestViolations(e)
	}
	return nil, fmt.Errorf("contract filter: unexpected %T", err)
}

func (o *operation) requestViolations(e *openapi3filter.RequestError) ([]envelope.Violation, error) {
	at := spot{in: "body"}
	if e.Parameter != nil {
		at = spot{in: e.Parameter.In, parameter: e.Parameter.Name, schema: e.Parameter.Schema}
	} else {
		at.schema = o.body
	}
	switch inner := e.Err.(type) {
	case openapi3.MultiError, *openapi3.SchemaError:
		return schemaViolations(at, inner), nil
	case *openapi3filter.ParseError:
		return []envelope.Violation{at.violation(envelope.CodeType, "must be "+kindOf(at.schema))}, nil
	}
	switch {
	case errors.Is(e.Err, openapi3filter.ErrInvalidRequired):
		if e.Parameter == nil {
			return nil, malformed("The body is missing; send one JSON object.")
		}
		return []envelope.Violation{at.violation(envelope.CodeRequired, "is required")}, nil
	case errors.Is(e.Err, openapi3filter.ErrInvalidEmptyValue):
		return []envelope.Violation{at.violation(envelope.CodeType, "must not be empty")}, nil
	case strings.HasPrefix(e.Reason, "header Content-Type has unexpected value"):
		return nil, &requestError{code: "unsupported_media_type"}
	case e.Parameter == nil:
		return nil, malformed("The body could not be decoded.")
	}
	return []envelope.Violation{at.violation(envelope.CodeOther, "is not valid")}, nil
}

// spot is where a violation is.
type spot struct {
	in, parameter string
	schema        *openapi3.SchemaRef
}

func (p spot) violation(code, detail string) envelope.Violation {
	v := envelope.Violation{Code: code, In: p.in, Parameter: p.parameter, Detail: detail}
	if p.parameter == "" {
		v.Pointer = "#"
	}
	return v
}

// schemaViolations walks the filter's tree of schema errors down to its leaves.
func schemaViolations(at spot, err error) []envelope.Violation {
	switch e := err.(type) {
	case openapi3.MultiError:
		var all []envelope.Violation
		for _, one := range e {
			all = append(all, schemaViolations(at, one)...)
		}
		return all
	case *openapi3.SchemaError:
		if e.Origin != nil && (e.SchemaField == "allOf" || e.SchemaField == "oneOf" || e.SchemaField == "anyOf") {
			if inner := schemaViolations(at, e.Origin); len(inner) > 0 {
				return inner
			}
		}
		return []envelope.Violation{leaf(at, e)}
	}
	return []envelope.Violation{at.violation(envelope.CodeOther, "is not valid")}
}

func leaf(at spot, e *openapi3.SchemaError) envelope.Violation {
	v := at.violation(envelope.CodeOther, "is not valid")
	tokens := e.JSONPointer()
	if e.SchemaField == "properties" { // an unknown member: its name is only in the reason
		if _, quoted, ok := strings.Cut(e.Reason, "property "); ok {
			if end := strings.LastIndex(quoted, " is unsupported"); end > 0 {
				if name, err := strconv.Unquote(quoted[:end]); err == nil {
					tokens, v.Unknown = append(tokens, name), name
				}
			}
		}
		v.Known = func() []string { return slices.Collect(maps.Keys(e.Schema.Properties)) }
	}
	if at.parameter == "" {
		v.Pointer = "#"
		for _, t := range tokens {
			v.Pointer += "/" + escapePointer(clip(t))
		}
	}
	s := e.Schema
	if unit, ok := s.Extensions["x-unit"].(string); ok {
		v.Unit = unit
	}
	set := func(code, detail string, l *envelope.Bound) { v.Code, v.Detail, v.Limit = code, detail, l }
	whole := func(n uint64) *int { i := int(n); return &i }
	switch e.SchemaField {
	case "required":
		set(envelope.CodeRequired, "is required", nil)
		v.Unit = ""
	case "properties":
		set(envelope.CodeUnknown, "is not a known member", nil)
	case "minimum":
		set(envelope.CodeRange, fmt.Sprintf("must be at least %g", *s.Min), &envelope.Bound{Minimum: s.Min})
	case "maximum":
		set(envelope.CodeRange, fmt.Sprintf("must be at most %g", *s.Max), &envelope.Bound{Maximum: s.Max})
	case "enum":
		allowed := texts(s.Enum)
		set(envelope.CodeNotAllowed, "must be one of "+strings.Join(allowed, ", "), &envelope.Bound{Enum: allowed})
	case "type", "format", "nullable":
		set(envelope.CodeType, "must be "+kindOf(&openapi3.SchemaRef{Value: s}), nil)
	case "maxLength":
		set(envelope.CodeLength, fmt.Sprintf("must have at most %d characters", *s.MaxLength), &envelope.Bound{MaxLength: whole(*s.MaxLength)})
	case "minLength":
		set(envelope.CodeLength, fmt.Sprintf("must have at least %d characters", s.MinLength), &envelope.Bound{MinLength: whole(s.MinLength)})
	case "pattern":
		set(envelope.CodePattern, "must match the pattern", &envelope.Bound{Pattern: &s.Pattern})
	case "maxItems":
		set(envelope.CodeItems, fmt.Sprintf("must have at most %d items", *s.MaxItems), &envelope.Bound{MaxItems: whole(*s.MaxItems)})
	case "minItems":
		set(envelope.CodeItems, fmt.Sprintf("must have at least %d items", s.MinItems), &envelope.Bound{MinItems: whole(s.MinItems)})
	}
	return v
}

func texts(values []any) []string {
	var list []string
	for _, v := range values {
		list = append(list, fmt.Sprint(v))
	}
	return list
}

// kindOf says in words what type a schema asks for.
func kindOf(s *openapi3.SchemaRef) string {
	if s == nil || s.Value == nil || s.Value.Type == nil {
		return "of another type"
	}
	switch {
	case s.Value.Type.Is("number"):
		return "a number"
	case s.Value.Type.Is("integer"):
		return "a whole number"
	case s.Value.Type.Is("boolean"):
		return "true or false"
	case s.Value.Type.Is("array"):
		return "a list"
	case s.Value.Type.Is("object"):
		return "an object"
	}
	return "a text"
}

// clip shortens a name that a caller made up before it is shown.
func clip(name string) string {
	const most = 60
	r := []rune(name)
	if len(r) <= most {
		return name
	}
	return string(r[:most]) + "…"
}
