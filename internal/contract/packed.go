package contract

import (
	"errors"
	"fmt"
	"net/url"
	"strings"

	"saltwright/internal/calc/text"
	"saltwright/internal/packed"
)

// packedParameter is the parameter that holds what an operation packs.
const packedParameter = "plan"

// wholeRequest is the pointer of an operation that packs all of its request.
const wholeRequest = "#"

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
			query.Set(name, fmt.Sprint(v))
		}
	}
	return query, true
}
