package contract

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/url"
	"strconv"
	"strings"

	"saltwright/internal/calc/text"
	"saltwright/internal/packed"
)

// Request is one request that keeps the contract. It is not changed afterwards.
type Request struct {
	Operation *Operation

	raw        []byte
	tree       any            // what was sent, without defaults
	parameters map[string]any // of a query beside the request itself
}

// Raw returns the body as it was sent, or nil for a query. Do not change it.
func (r *Request) Raw() []byte { return r.raw }

// Sent returns the members that were sent, without defaults, or nil where the
// request is no object: strings, bool, float64, []any and map[string]any; a
// member of any type is json.RawMessage. Do not change it.
func (r *Request) Sent() map[string]any {
	members, _ := r.tree.(map[string]any)
	return members
}

// Nearest returns a JSON pointer, as a URI fragment, where the body has what it names, and else that of the nearest
// member above it that the body has.
func (r *Request) Nearest(pointer string) string {
	at, value := "#", r.tree
	for _, token := range strings.Split(strings.TrimPrefix(pointer, "#"), "/")[1:] {
		switch v := value.(type) {
		case map[string]any:
			inside, ok := v[token]
			if !ok {
				return at
			}
			value = inside
		case []any:
			i, err := strconv.Atoi(token)
			if err != nil || i >= len(v) {
				return at
			}
			value = v[i]
		default:
			return at
		}
		at += "/" + token
	}
	return at
}

// Parameter returns a query parameter that is no member of the request, such as
// units: what was sent, or its default, or nil. Numbers are float64.
func (r *Request) Parameter(name string) any {
	if v, ok := r.parameters[name]; ok {
		return v
	}
	if p := r.Operation.Parameter(InQuery, name); p != nil {
		return p.Schema.Default
	}
	return nil
}

// Assumed lists what the defaults brought into the request, sorted by pointer.
func (r *Request) Assumed() []Assumed { return r.Operation.assumptions.of(r.tree) }

// Read reads a request from its body, which is ignored where the operation takes
// none, and its query, and checks both against the contract. It keeps the body:
// do not change it afterwards.
//
// Errors: *Malformed when body or query cannot be parsed; *Invalid with every
// violation, of body and query, otherwise.
func (o *Operation) Read(body []byte, query string) (*Request, error) {
	r := &Request{Operation: o}
	var found []Violation
	var err error
	if o.Body != nil {
		if r, found, err = o.document(body); err != nil {
			return nil, err
		}
	}
	if query != "" || o.Body == nil {
		more, err := r.readQuery(query)
		if err != nil {
			return nil, err
		}
		found = append(found, more...)
	}
	if len(found) > 0 {
		return nil, &Invalid{found}
	}
	return r, nil
}

// document reads a JSON document as the request and tells what is wrong with it.
func (o *Operation) document(raw []byte) (*Request, []Violation, error) {
	tree, err := parseJSON(raw, o.Request)
	if err != nil {
		return nil, nil, err
	}
	return &Request{Operation: o, raw: raw, tree: tree}, o.Request.check(tree, Violation{In: InBody}), nil
}

// ReadDocument reads a JSON document as a request of the operation, whichever way the operation takes its own. Errors:
// as of Read.
func (o *Operation) ReadDocument(raw []byte) (*Request, error) {
	r, found, err := o.document(raw)
	if err != nil {
		return nil, err
	}
	if len(found) > 0 {
		return nil, &Invalid{found}
	}
	return r, nil
}

func (r *Request) readQuery(query string) ([]Violation, error) {
	values, err := url.ParseQuery(query)
	if err != nil {
		return nil, &Malformed{Said: text.Of("query_not_valid", nil)}
	}
	o := r.Operation
	var found []Violation
	for name, v := range values {
		place := Violation{In: InQuery, Parameter: name}
		switch {
		case o.Parameter(InQuery, name) == nil:
			place.Code, place.Parameter = CodeUnknownParameter, clip(name)
			place.Said = text.Of("parameter_not_known", nil)
			place.unknown, place.known = name, o.parameterNames(InQuery)
			found = append(found, place)
		case len(v) > 1:
			place.Code, place.Said = CodeRepeated, text.Of("value_given_twice", nil)
			found = append(found, place)
		}
	}
	members := make(map[string]any, len(values))
	for _, p := range o.Parameters {
		if p.In != InQuery {
			continue
		}
		given := values[p.Name]
		switch {
		case len(given) == 0 && p.Required:
			found = append(found, Violation{Code: CodeRequired, In: InQuery, Parameter: p.Name,
				Said: text.Of("value_required", nil)})
		case len(given) == 1:
			v, wrong := p.read(given[0])
			if wrong != nil {
				found = append(found, wrong...)
			} else if p.packed {
				found = append(found, r.unpack(given[0], members)...)
			} else if p.member {
				members[p.Name] = v
			} else {
				if r.parameters == nil {
					r.parameters = map[string]any{}
				}
				r.parameters[p.Name] = v
			}
		}
	}
	if o.Body == nil && o.Packs != wholeRequest {
		r.tree = members
	}
	return found, nil
}

// unpack reads what a link carries into the request, or into a member of it, and returns what is wrong with it.
func (r *Request) unpack(written string, members map[string]any) []Violation {
	wrong := func(said text.Text) []Violation {
		return []Violation{{Code: CodeSyntax, In: InQuery, Parameter: packedParameter, Said: said}}
	}
	document, err := packed.Unpack(written)
	if errors.Is(err, packed.ErrTooLarge) {
		return wrong(text.Of("packed_too_large", text.Params{"most": float64(packed.MostBytes >> 10)}))
	}
	if err != nil {
		return wrong(text.Of("packed_damaged", nil))
	}
	o := r.Operation
	s := o.Member(o.Packs)
	tree, err := parseJSON(document, s)
	var malformed *Malformed
	if errors.As(err, &malformed) {
		return wrong(text.Of("packed_holds_no_document", text.Params{"reason": malformed.Said}))
	}
	found := s.check(tree, Violation{In: InBody})
	for i := range found {
		found[i].In, found[i].Parameter = InQuery, packedParameter
	}
	if o.Packs == wholeRequest {
		r.raw, r.tree = document, tree
	} else {
		members[strings.TrimPrefix(o.Packs, "#/")] = tree
	}
	return found
}

// Placed puts a violation of the request where it was sent: a query has parameters where a body has pointers, and a
// packed document is named by its parameter and the pointer into it.
func (o *Operation) Placed(v Violation) Violation {
	if o.Body != nil {
		return v
	}
	v.In = InQuery
	if inside, ok := strings.CutPrefix(v.Pointer, o.Packs); o.Packs != "" && ok {
		v.Parameter, v.Pointer = packedParameter, "#"+inside
		return v
	}
	v.Parameter, v.Pointer = strings.TrimPrefix(strings.TrimPrefix(v.Pointer, "#"), "/"), ""
	return v
}

// Address returns what to add to a query so that GET asks the same, and whether there is such a GET and it can say it.
func (r *Request) Address() (url.Values, bool) {
	o := r.Operation
	query := url.Values{}
	if !o.HasQueryTwin {
		return query, false
	}
	pack := func(document []byte) bool {
		written, err := packed.Pack(document)
		query.Set(packedParameter, written)
		return err == nil
	}
	if o.Packs == wholeRequest {
		return query, pack(r.raw)
	}
	for name, v := range r.Sent() {
		switch {
		case "#/"+name == o.Packs:
			if !pack(marshal(v)) {
				return query, false
			}
		case o.Packs != "" && o.Request.Member(name).Schema.Type == "array":
			return query, false // lists stay with POST
		default:
			query.Set(name, inQuery(v))
		}
	}
	return query, true
}

// inQuery writes a value as the contract's parameters take it: lists divided by commas.
func inQuery(value any) string {
	list, ok := value.([]any)
	if !ok {
		return fmt.Sprint(value)
	}
	items := make([]string, len(list))
	for i, item := range list {
		items[i] = fmt.Sprint(item)
	}
	return strings.Join(items, ",")
}

// read turns the text of a parameter into its value and checks it.
func (p *Parameter) read(written string) (any, []Violation) {
	place := Violation{In: p.In, Parameter: p.Name}
	v, ok := p.Schema.parse(written)
	if !ok {
		place.Code, place.Said = CodeType, wrongType(p.Schema.checker)
		if written == "" {
			place.Said = text.Of("value_empty", nil)
		}
		return nil, []Violation{place}
	}
	return v, p.Schema.check(v, place)
}

// parse reads a text as a value of the schema's type, spelt as JSON spells it.
func (s *Schema) parse(written string) (any, bool) {
	switch s.Type {
	case "number":
		if strings.Trim(written, "+-.0123456789eE") != "" {
			return nil, false // ParseFloat takes NaN, infinities and hexadecimal digits
		}
		f, err := strconv.ParseFloat(written, 64)
		return f + 0, err == nil // -0 + 0 is 0
	case "integer":
		i, err := strconv.ParseInt(written, 10, 64)
		return float64(i), err == nil
	case "boolean":
		return written == "true", written == "true" || written == "false"
	case "array": // form style without explode: commas between the items
		var list []any
		for _, part := range strings.Split(written, ",") {
			v, ok := s.Items.parse(part)
			if !ok {
				return nil, false
			}
			list = append(list, v)
		}
		return list, true
	}
	return written, true
}

// ReadPath checks the parameters of a path, by name. Errors: *Invalid.
func (o *Operation) ReadPath(values map[string]string) error {
	var found []Violation
	for _, p := range o.Parameters {
		if p.In == InPath {
			_, wrong := p.read(values[p.Name])
			found = append(found, wrong...)
		}
	}
	if len(found) > 0 {
		return &Invalid{found}
	}
	return nil
}

// Member returns the schema of what a JSON pointer, as a URI fragment, names in
// the request, or nil when the request has no such member.
func (o *Operation) Member(pointer string) *Schema {
	s := o.Request
	for _, token := range strings.Split(strings.TrimPrefix(pointer, "#"), "/")[1:] {
		if s == nil {
			return nil
		}
		if s.Items != nil {
			if _, err := strconv.Atoi(token); err != nil {
				return nil
			}
			s = s.Items
			continue
		}
		m := s.Member(token)
		if m == nil {
			return nil
		}
		s = m.Schema
	}
	return s
}

// marshal writes a value that came from JSON.
func marshal(v any) json.RawMessage {
	data, err := json.Marshal(v)
	if err != nil {
		panic(err) // it came from JSON
	}
	return data
}
