package contract

import (
	"encoding/json"
	"fmt"
	"reflect"
	"strings"
)

// Into fills a struct from the request: what was sent, and the contract's
// defaults for what was not. target is a pointer to a struct whose json names
// are exactly the members of the request; fields are float64, integers, bool,
// strings, slices, structs, embedded structs, json.RawMessage for members of any
// type, and pointers to these, which stay nil for what was neither sent nor has
// a default. Everything in target is replaced, and nothing in it is shared with
// other requests but json.RawMessage, which is part of Raw.
//
// Errors: a type that does not fit, which is a programmer's mistake; Fits finds
// it at start.
func (r *Request) Into(target any) error {
	v := reflect.ValueOf(target)
	if v.Kind() != reflect.Pointer || v.IsNil() {
		return fmt.Errorf("contract: %s: %T is no pointer to a struct", r.Operation.ID, target)
	}
	v = v.Elem()
	f, err := r.Operation.filler(v.Type())
	if err != nil {
		return err
	}
	f.fill(v, r.tree)
	return nil
}

// Fits tells whether requests of the operation can be read into a type, and
// makes the operation ready for it. Errors: what does not fit.
func (o *Operation) Fits(t reflect.Type) error {
	_, err := o.filler(t)
	return err
}

func (o *Operation) filler(t reflect.Type) (*filler, error) {
	if known, ok := o.fillers.Load(t); ok {
		return known.(*filler), nil
	}
	f, err := newFiller(t, o.Request)
	if err != nil {
		return nil, fmt.Errorf("contract: %s: %s: %w", o.ID, t, err)
	}
	o.fillers.Store(t, f)
	return f, nil
}

// filler sets a Go value from a checked one. blank is the value with every
// default, ready to be copied.
type filler struct {
	kind   reflect.Kind
	blank  reflect.Value
	fields map[string]*fieldFiller // of a struct, by member
	fresh  []*fieldFiller          // whose default holds memory, which requests must not share
	item   *filler                 // of a slice or pointer
}

type fieldFiller struct {
	*filler
	index []int
	name  string
	value any // the default, or nil
}

var rawMessage = reflect.TypeFor[json.RawMessage]()

func newFiller(t reflect.Type, s *Schema) (*filler, error) {
	f := &filler{kind: t.Kind(), blank: reflect.New(t).Elem()}
	if s == nil {
		return nil, fmt.Errorf("the operation takes nothing")
	}
	wanted := map[string]reflect.Kind{"number": reflect.Float64, "boolean": reflect.Bool, "string": reflect.String}
	var err error
	switch {
	case s.anything:
		if t != rawMessage {
			return nil, fmt.Errorf("a member of any type is a json.RawMessage, not %s", t)
		}
		f.kind = reflect.Invalid
		return f, nil
	case f.kind == reflect.Pointer:
		f.item, err = newFiller(t.Elem(), s)
		return f, err
	case s.Type == "array" && f.kind == reflect.Slice:
		f.item, err = newFiller(t.Elem(), s.Items)
		return f, err
	case s.Type == "object" && f.kind == reflect.Struct:
		return f, f.struc(t, s)
	case s.Type == "integer" && f.blank.CanInt(), wanted[s.Type] == f.kind && f.kind != reflect.Invalid:
		return f, nil
	}
	return nil, fmt.Errorf("%s holds no %s", t, s.Type)
}

// struc prepares a struct: every member of the schema has a field, and every field a member.
func (f *filler) struc(t reflect.Type, s *Schema) error {
	f.fields = map[string]*fieldFiller{}
	for _, field := range fieldsOf(t) {
		m := s.Member(field.name)
		if m == nil {
			return fmt.Errorf("the contract has no %s", field.name)
		}
		one, err := newFiller(t.FieldByIndex(field.index).Type, m.Schema)
		if err != nil {
			return fmt.Errorf("%s: %w", field.name, err)
		}
		at := &fieldFiller{filler: one, index: field.index, name: field.name, value: m.Schema.Default}
		f.fields[field.name] = at
		switch v := f.blank.FieldByIndex(field.index); {
		case at.value != nil:
			one.fill(v, at.value)
			if holdsMemory(v) {
				f.fresh = append(f.fresh, at)
			}
		case one.kind == reflect.Struct:
			v.Set(one.blank)
		}
	}
	for _, m := range s.Members {
		if f.fields[m.Name] == nil {
			return fmt.Errorf("%s of the contract has no field", m.Name)
		}
	}
	return nil
}

// holdsMemory tells whether a copy of a value shares what a change could reach.
func holdsMemory(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Slice:
		return v.Len() > 0
	case reflect.Pointer:
		return !v.IsNil()
	case reflect.Struct:
		for _, f := range v.Fields() {
			if holdsMemory(f) {
				return true
			}
		}
	}
	return false
}

// fill sets v, which is of the filler's type. The value has passed the contract.
func (f *filler) fill(v reflect.Value, value any) {
	switch f.kind {
	case reflect.Invalid:
		raw, ok := value.(json.RawMessage)
		if !ok {
			raw = marshal(value) // a default
		}
		v.SetBytes(raw)
	case reflect.Pointer:
		p := reflect.New(v.Type().Elem())
		f.item.fill(p.Elem(), value)
		v.Set(p)
	case reflect.Struct:
		f.fillStruct(v, value.(map[string]any))
	case reflect.Slice:
		items := value.([]any)
		list := reflect.MakeSlice(v.Type(), len(items), len(items))
		for i, item := range items {
			f.item.fill(list.Index(i), item)
		}
		v.Set(list)
	case reflect.Float64:
		v.SetFloat(value.(float64))
	case reflect.Bool:
		v.SetBool(value.(bool))
	case reflect.String:
		v.SetString(value.(string))
	default:
		v.SetInt(int64(value.(float64)))
	}
}

func (f *filler) fillStruct(v reflect.Value, members map[string]any) {
	v.Set(f.blank)
	for name, value := range members {
		one := f.fields[name]
		one.fill(v.FieldByIndex(one.index), value)
	}
	for _, one := range f.fresh {
		if _, sent := members[one.name]; !sent {
			one.fill(v.FieldByIndex(one.index), one.value)
		}
	}
}

// field is one JSON member of a struct.
type field struct {
	name     string
	index    []int
	optional bool // left out of an answer when empty
}

// fieldsOf lists the JSON members of a struct in their order, those of embedded structs too.
func fieldsOf(t reflect.Type) []field {
	var out []field
	for _, f := range reflect.VisibleFields(t) {
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if f.IsExported() && !f.Anonymous && name != "" && name != "-" {
			out = append(out, field{name, f.Index, options == "omitempty" || options == "omitzero"})
		}
	}
	return out
}
