package answer

import (
	"cmp"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/answer/words"
	"saltwright/internal/contract"
)

// texts writes the numbers of one type that the contract marks x-formatted, sorted by their place. It is made once for
// a type; nil where nothing is marked.
type texts struct {
	token  string // below what holds it, with a slash
	index  []int  // of the field
	sparse bool   // left out of the answer when it is zero
	unit   string // of a number

	number  bool
	members []*texts
	items   *texts
}

// newTexts holds a Go type against its schema.
func newTexts(t reflect.Type, s *contract.Schema, token string) *texts {
	if s == nil {
		return nil
	}
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	x := &texts{token: token}
	switch t.Kind() {
	case reflect.Struct:
		for _, f := range reflect.VisibleFields(t) {
			name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
			m := s.Member(name)
			if m == nil || f.Anonymous || !f.IsExported() {
				continue
			}
			if one := newTexts(f.Type, m.Schema, "/"+contract.EscapePointer(name)); one != nil {
				one.index, one.sparse = f.Index, options == "omitempty"
				x.members = append(x.members, one)
			}
		}
		slices.SortFunc(x.members, func(a, b *texts) int { return cmp.Compare(a.token, b.token) })
		if len(x.members) == 0 {
			return nil
		}
	case reflect.Slice:
		if x.items = newTexts(t.Elem(), s.Items, ""); x.items == nil {
			return nil
		}
	case reflect.Float64, reflect.Int:
		if !s.Formatted {
			return nil
		}
		x.number, x.unit = true, s.Unit
	default:
		return nil
	}
	return x
}

func (x *texts) of(v reflect.Value, u words.Units) []envelope.Formatted {
	out := []envelope.Formatted{}
	if x != nil {
		x.add(&out, v, x.token, u)
	}
	return out
}

func (x *texts) add(out *[]envelope.Formatted, v reflect.Value, at string, u words.Units) {
	for v.Kind() == reflect.Pointer {
		if v.IsNil() {
			return
		}
		v = v.Elem()
	}
	switch {
	case x.number && v.CanInt():
		*out = append(*out, envelope.Formatted{Pointer: at, Text: words.Text(float64(v.Int()), x.unit, u)})
	case x.number:
		*out = append(*out, envelope.Formatted{Pointer: at, Text: words.Text(v.Float(), x.unit, u)})
	case x.items != nil:
		for i := range v.Len() {
			x.items.add(out, v.Index(i), at+"/"+strconv.Itoa(i), u)
		}
	default:
		for _, m := range x.members {
			f := v.FieldByIndex(m.index)
			if m.sparse && f.IsZero() {
				continue
			}
			m.add(out, f, at+m.token, u)
		}
	}
}
