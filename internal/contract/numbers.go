package contract

import (
	"cmp"
	"encoding"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
)

// Formatted walks results of one Go type for the numbers that the contract marks
// x-formatted. It is made once and safe for concurrent use.
type Formatted struct {
	kind reflect.Type
	step *step
}

// step is how to go on from one value. A number has a pointer, from the answer
// or from the item of a list that it is in.
type step struct {
	pointer string
	schema  *Schema
	fields  []fieldStep // of a struct, by name
	item    *step       // of a list
	number  bool
}

type fieldStep struct {
	*step
	index    []int
	optional bool // left out of the answer when empty
}

// Formatted makes ready the walk over results of a type. Errors: a type that
// does not fit the contract's result, which is a programmer's mistake.
func (o *Operation) Formatted(t reflect.Type) (*Formatted, error) {
	s, err := newStep(t, o.Result, "/result", false)
	if err != nil {
		return nil, fmt.Errorf("contract: %s: %s: %w", o.ID, t, err)
	}
	return &Formatted{t, s}, nil
}

// Walk calls visit for each number of a result that has a text: by name, with
// its pointer into the answer and its schema. The result must be
// of the type that the walk was made for.
func (f *Formatted) Walk(result any, visit func(pointer string, value float64, s *Schema)) {
	v := reflect.ValueOf(result)
	if v.Type() != f.kind {
		panic(fmt.Sprintf("contract: a walk over %s was given %s", f.kind, v.Type()))
	}
	if f.step != nil {
		f.step.walk(v, "", visit)
	}
}

var textMarshaler = reflect.TypeFor[encoding.TextMarshaler]()

// newStep returns how to walk values of a type; nil where there is nothing to visit.
func newStep(t reflect.Type, s *Schema, pointer string, list bool) (*step, error) {
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if s == nil {
		return nil, nil
	}
	out := &step{pointer: pointer, schema: s}
	if t.Implements(textMarshaler) {
		return nil, nil // a string in JSON
	}
	switch t.Kind() {
	case reflect.Struct:
		fields := fieldsOf(t)
		slices.SortFunc(fields, func(a, b field) int { return cmp.Compare(a.name, b.name) })
		for _, f := range fields {
			m := s.Member(f.name)
			if m == nil {
				return nil, fmt.Errorf("the contract has no %s", f.name)
			}
			next, err := newStep(t.FieldByIndex(f.index).Type, m.Schema, pointer+"/"+EscapePointer(f.name), false)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", f.name, err)
			}
			if next != nil {
				out.fields = append(out.fields, fieldStep{next, f.index, f.optional})
			}
		}
		if out.fields != nil {
			return out, nil
		}
	case reflect.Slice:
		item, err := newStep(t.Elem(), s.Items, "", s.Formatted)
		if out.item = item; item != nil || err != nil {
			return out, err
		}
	case reflect.Interface:
		if s.formats() {
			return nil, fmt.Errorf("%s is an interface, which does not say where its numbers with texts are", pointer)
		}
	case reflect.Float64, reflect.Int:
		if out.number = s.Formatted || list; out.number {
			return out, nil
		}
	}
	return nil, nil
}

// formats tells whether a schema holds a number marked x-formatted.
func (s *Schema) formats() bool {
	return s != nil && (s.Formatted || s.Items.formats() ||
		slices.ContainsFunc(s.Members, func(m *Member) bool { return m.Schema.formats() }))
}

func (p *step) walk(v reflect.Value, prefix string, visit func(pointer string, value float64, s *Schema)) {
	for v.Kind() == reflect.Pointer {
		if v.IsNil() {
			return
		}
		v = v.Elem()
	}
	switch {
	case p.number && v.CanFloat():
		visit(prefix+p.pointer, v.Float(), p.schema)
	case p.number:
		visit(prefix+p.pointer, float64(v.Int()), p.schema)
	case p.item != nil:
		for i := range v.Len() {
			p.item.walk(v.Index(i), prefix+p.pointer+"/"+strconv.Itoa(i), visit)
		}
	default:
		for _, f := range p.fields {
			if at := v.FieldByIndex(f.index); !f.optional || !at.IsZero() {
				f.walk(at, prefix, visit)
			}
		}
	}
}

// Numbers reads numbers of a Go value by their JSON pointers.
type Numbers struct{ paths [][]int }

// NumbersOf makes ready the reading of numbers from values of a struct type. A
// pointer leads from the struct through structs, "/needed_w" or
// "/backstop/band_low_c", by the names of their json tags. Errors: one that
// leads to no number, which is a programmer's mistake.
func NumbersOf(t reflect.Type, pointers ...string) (*Numbers, error) {
	out := &Numbers{}
	for _, pointer := range pointers {
		at, path := t, []int(nil)
		for _, name := range strings.Split(strings.TrimPrefix(pointer, "/"), "/") {
			for at.Kind() == reflect.Pointer {
				at = at.Elem()
			}
			i := -1
			var fields []field
			if at.Kind() == reflect.Struct {
				fields = fieldsOf(at)
				i = slices.IndexFunc(fields, func(f field) bool { return f.name == name })
			}
			if i < 0 {
				return nil, fmt.Errorf("contract: %s has no %s", t, pointer)
			}
			path, at = append(path, fields[i].index...), at.FieldByIndex(fields[i].index).Type
		}
		for at.Kind() == reflect.Pointer {
			at = at.Elem()
		}
		if at.Kind() != reflect.Float64 && at.Kind() != reflect.Int {
			return nil, fmt.Errorf("contract: %s of %s is no number", pointer, t)
		}
		out.paths = append(out.paths, path)
	}
	return out, nil
}

// Read returns the numbers in the order of the pointers; one below a nil pointer counts as 0.
func (n *Numbers) Read(value any) []float64 {
	out := make([]float64, len(n.paths))
	for i, path := range n.paths {
		if v := follow(reflect.ValueOf(value), path); v.IsValid() && v.CanFloat() {
			out[i] = v.Float()
		} else if v.IsValid() {
			out[i] = float64(v.Int())
		}
	}
	return out
}

// Write sets the numbers, in the order of the pointers, in what target points to.
// A pointer to a number is set to a new one.
func (n *Numbers) Write(target any, numbers []float64) {
	for i, path := range n.paths {
		v := reflect.ValueOf(target).Elem()
		for _, index := range path {
			v = reflect.Indirect(v).Field(index)
		}
		if v.Kind() == reflect.Pointer {
			v.Set(reflect.New(v.Type().Elem()))
			v = v.Elem()
		}
		if v.CanFloat() {
			v.SetFloat(numbers[i])
		} else {
			v.SetInt(int64(numbers[i]))
		}
	}
}

// follow goes down the fields of a struct, and below pointers; invalid below nil.
func follow(v reflect.Value, path []int) reflect.Value {
	for _, index := range path {
		if v = reflect.Indirect(v); !v.IsValid() {
			return v
		}
		v = v.Field(index)
	}
	return reflect.Indirect(v)
}
