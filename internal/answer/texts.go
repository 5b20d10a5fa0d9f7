package answer

import (
	"reflect"
	"strconv"
	"strings"
	"sync"

	"saltwright/internal/answer/envelope"
	"saltwright/internal/calc/text"
	"saltwright/internal/catalogue"
	"saltwright/internal/contract"
)

// speak sets how every text.Text in a value reads, the value being a pointer, and lists what they are made of.
func speak(to *catalogue.Speaker, value any, pointer string) []envelope.Text {
	var out []envelope.Text
	visitTexts(reflect.ValueOf(value).Elem(), pointer, func(at string, t *text.Text) {
		t.Speak(to.Say(*t))
		data := contract.ReasonOf(*t)
		out = append(out, envelope.Text{Pointer: at, Code: data.Code, Params: data.Params})
	})
	return out
}

// textField is a field of a struct that is or holds texts.
type textField struct {
	index int
	name  string // in JSON; empty for one that is embedded
}

// textFields caches the fields that hold texts, by type of struct; nil for a type that holds none.
var textFields sync.Map // reflect.Type -> []textField

var (
	textType  = reflect.TypeFor[text.Text]()
	noPointer = strings.NewReplacer("~", "~0", "/", "~1")
)

// textFieldsOf returns the fields of a struct that may lead to a text. What stands behind an interface is not looked
// at: it came from the request.
func textFieldsOf(t reflect.Type) []textField {
	if known, ok := textFields.Load(t); ok {
		return known.([]textField)
	}
	textFields.Store(t, []textField(nil)) // a type that holds itself ends here
	var out []textField
	for i := range t.NumField() {
		f := t.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if name == "-" || !f.IsExported() || name == "" && !f.Anonymous || !holdsTexts(f.Type) {
			continue
		}
		out = append(out, textField{i, name})
	}
	textFields.Store(t, out)
	return out
}

func holdsTexts(t reflect.Type) bool {
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice:
		return holdsTexts(t.Elem())
	case reflect.Struct:
		return t == textType || textFieldsOf(t) != nil
	}
	return false
}

func visitTexts(v reflect.Value, pointer string, visit func(pointer string, t *text.Text)) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			visitTexts(v.Elem(), pointer, visit)
		}
	case reflect.Slice:
		if holdsTexts(v.Type()) {
			for i := range v.Len() {
				visitTexts(v.Index(i), pointer+"/"+strconv.Itoa(i), visit)
			}
		}
	case reflect.Struct:
		if v.Type() == textType {
			if t := v.Addr().Interface().(*text.Text); !t.IsZero() {
				visit(pointer, t)
			}
			return
		}
		for _, f := range textFieldsOf(v.Type()) {
			at := pointer
			if f.name != "" {
				at += "/" + noPointer.Replace(f.name)
			}
			visitTexts(v.Field(f.index), at, visit)
		}
	}
}
