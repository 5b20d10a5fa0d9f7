package plan

import (
	"bytes"
	"context"
	"encoding/json"
	"maps"
	"reflect"

	"github.com/wI2L/jsondiff"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/plan"
	"saltwright/internal/calc/remedy"
	"saltwright/internal/contract"
)

// patchOperation is one operation of a JSON Patch (RFC 6902).
type patchOperation struct {
	Op    string `json:"op"`
	Path  string `json:"path"`
	Value *any   `json:"value,omitempty"` // nothing where something is removed
}

// planDocument is a plan as it was sent: with what the sender wrote and nothing else.
type planDocument struct {
	sent any // as JSON decodes it
	read any // the same with every default
}

func newPlanDocument(original []byte, read plan.Plan) (planDocument, error) {
	var d planDocument
	var err error
	if d.sent, err = decodeJSON(original); err != nil {
		return d, err
	}
	d.read, err = decoded(NewRequest(read))
	return d, err
}

// decodeJSON keeps numbers as they are written.
func decodeJSON(data []byte) (v any, err error) {
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	err = dec.Decode(&v)
	return v, err
}

// decoded returns a value as its JSON decodes.
func decoded(v any) (any, error) {
	raw, err := json.Marshal(v)
	if err != nil {
		return nil, err
	}
	return decodeJSON(raw)
}

// with returns the document as it was sent with what an edit changed in the plan.
func (d planDocument) with(edited plan.Plan) (any, error) {
	after, err := decoded(NewRequest(edited))
	if err != nil {
		return nil, err
	}
	return withDifference(d.sent, d.read, after), nil
}

// reread reads an edited plan as an operation reads it that is sent: what is audited is what the edited document says
// to the contract, so that the answer keeps its word.
func (d planDocument) reread(o *contract.Operation) remedy.Reread {
	return func(_ context.Context, edited plan.Plan) (plan.Plan, bool, error) {
		document, err := d.with(edited)
		if err != nil {
			return plan.Plan{}, false, err
		}
		raw, err := json.Marshal(document)
		if err != nil {
			return plan.Plan{}, false, err
		}
		again, err := o.ReadDocument(raw)
		if err != nil {
			return plan.Plan{}, false, nil // the contract refuses it
		}
		var q Request
		err = again.Into(&q)
		return q.Plan(), err == nil, err
	}
}

// withDifference returns what was sent with the difference of two values that are read from it: what
// is the same in both stays as it was sent, and left out where it was.
func withDifference(sent, before, after any) any {
	if reflect.DeepEqual(before, after) {
		return sent
	}
	switch a := after.(type) {
	case map[string]any:
		b, _ := before.(map[string]any)
		s, _ := sent.(map[string]any)
		out := map[string]any{}
		maps.Copy(out, s)
		for name := range b {
			if _, kept := a[name]; !kept {
				delete(out, name)
			}
		}
		for name, v := range a {
			if was, had := b[name]; !had || !reflect.DeepEqual(was, v) {
				out[name] = withDifference(s[name], was, v)
			}
		}
		return out
	case []any:
		b, _ := before.([]any)
		s, _ := sent.([]any)
		if len(a) < len(b) || len(s) != len(b) {
			return a
		}
		out := make([]any, len(a))
		for i, v := range a {
			if i < len(b) {
				v = withDifference(s[i], b[i], v)
			}
			out[i] = v
		}
		return out
	}
	return after
}

// patch returns the JSON Patch that makes one document of the one that was sent.
func (d planDocument) patch(to any) ([]patchOperation, error) {
	diff, err := jsondiff.Compare(d.sent, to)
	return envelope.Each(diff, func(o jsondiff.Operation) patchOperation {
		op := patchOperation{Op: o.Type, Path: o.Path}
		if o.Type != jsondiff.OperationRemove {
			op.Value = &o.Value
		}
		return op
	}), err
}
