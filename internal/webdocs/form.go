package webdocs

import (
	"net/url"
	"regexp"
	"slices"
	"strings"

	"saltwright/internal/contract"
)

// field is one control of a form.
type field struct {
	ID, Name, Label, Hint, Range, Unit, Value, Error string
	Default                                          string // what is assumed where it is left empty
	Required, Text                                   bool   // Text: a keyboard with letters and signs
	Options                                          []option
}

type option struct {
	Value, Text string
	Selected    bool
}

// form is the fields of one calculator.
type form struct {
	Name, Action, Method string
	Needed, Optional     []field
	Open                 bool // an optional field needs a look
	Document             *field
	Units                field
	Errors               []fault
}

// fault is one thing wrong with what was filled in.
type fault struct{ Target, Field, Name, Detail string }

// settings is the form's parameters that are not part of the question.
var settings = []string{"units", "samples", "seed"}

// form makes the fields from the contract, with the values given.
func (x *calculator) form(values url.Values) *form {
	f := &form{Name: x.Name, Action: "/docs/calculators/" + x.Name + "/", Method: "get"}
	o := x.operation()
	for _, p := range o.Parameters {
		if p.Name == "units" {
			m := &contract.Member{Name: p.Name, Schema: withDescription(p.Schema, p.Description)}
			f.Units = x.field(m, values.Get(p.Name))
		}
	}
	if !x.Flat {
		f.Method = "post"
		f.Document = &field{ID: x.Name + "-body", Name: "body", Label: "The request, as JSON"}
		f.Document.Value = values.Get("body")
		return f
	}
	for _, p := range o.Parameters {
		if p.In != "query" || p.Name == "units" {
			continue
		}
		m := x.post.Body.Member(p.Name)
		if m == nil {
			m = &contract.Member{Name: p.Name, Required: p.Required, Schema: withDescription(p.Schema, p.Description)}
		}
		one := x.field(m, values.Get(p.Name))
		if one.Required {
			f.Needed = append(f.Needed, one)
		} else {
			f.Optional = append(f.Optional, one)
			f.Open = f.Open || one.Value != "" && !slices.Contains(settings, one.Name)
		}
	}
	return f
}

func withDescription(s *contract.Schema, description string) *contract.Schema {
	out := *s
	out.Description = description
	return &out
}

func (x *calculator) field(m *contract.Member, value string) field {
	f := field{
		ID: x.Name + "-" + m.Name, Name: m.Name, Unit: unitText(m.Schema.Unit), Value: value, Required: m.Required,
		Range: rangeText(m.Schema), Default: defaultText(m.Schema),
	}
	f.Label, f.Hint = label(m)
	choices := m.Schema.Enum
	if m.Schema.Type == "boolean" {
		choices = []string{"true", "false"}
	}
	if len(choices) > 0 {
		f.Range = ""
		if !m.Required {
			empty := "not stated"
			if f.Default != "" {
				empty = "not stated: " + f.Default
			}
			if slices.Contains(settings, m.Name) {
				empty = f.Default
			}
			f.Options = append(f.Options, option{"", empty, value == ""})
		}
		for _, c := range choices {
			if slices.Contains(settings, m.Name) && c == f.Default {
				continue
			}
			f.Options = append(f.Options, option{c, strings.ReplaceAll(c, "_", " "), c == value})
		}
		return f
	}
	// A decimal keypad may have no minus sign.
	f.Text = m.Schema.Type == "string" || m.Schema.Minimum != nil && *m.Schema.Minimum < 0
	return f
}

// decimalComma is a number with a decimal comma. 1,200 is none: it means two
// things, and goes on as it is, to be refused.
var decimalComma = regexp.MustCompile(`^\s*([+−-]?\d+),(\d{1,2}|\d{4,})\s*$|^\s*([+−-]?0+),(\d{3})\s*$`)

// query is what was filled in, without what was left empty and with points in place of decimal commas.
func (x *calculator) query(values url.Values) url.Values {
	out := url.Values{}
	for name, list := range values {
		for _, v := range list {
			if m := x.post.Body.Member(name); m == nil || m.Schema.Type != "string" {
				v = strings.Replace(strings.TrimSpace(decimalComma.ReplaceAllString(v, "$1$3.$2$4")), "−", "-", 1)
			}
			if v != "" {
				out.Add(name, v)
			}
		}
	}
	return out
}

// blame writes a problem's violations to the fields that they are about.
func (f *form) blame(p problemDocument) {
	for _, v := range p.Errors {
		detail := v.Detail
		if bounds := rangeText(&contract.Schema{Minimum: v.Limit.Minimum, Maximum: v.Limit.Maximum,
			Unit: v.Unit}); bounds != "" { // a field takes the contract's unit, whatever units texts are in
			detail = "must be " + bounds
		}
		if v.Suggestion != "" {
			detail += "; did you mean " + v.Suggestion + "?"
		}
		one := fault{Name: v.Pointer, Detail: sentence(detail)}
		if v.Parameter != "" {
			one.Name = v.Parameter
		}
		switch at, optional := f.named(v.Parameter); {
		case at != nil:
			at.Error = one.Detail
			one.Target, one.Field, one.Name = at.ID, at.Name, at.Label
			f.Open = f.Open || optional
		case f.Document != nil:
			one.Target, one.Field = f.Document.ID, f.Document.Name
		}
		f.Errors = append(f.Errors, one)
	}
	if len(f.Errors) == 0 {
		f.Errors = []fault{{Detail: p.Detail}}
	}
	if f.Document != nil {
		f.Document.Error = p.Title + "."
	}
}

// named returns the field of a parameter, and whether it is one of the optional ones.
func (f *form) named(name string) (at *field, optional bool) {
	if name == f.Units.Name && name != "" {
		return &f.Units, false
	}
	for i := range f.Needed {
		if f.Needed[i].Name == name {
			return &f.Needed[i], false
		}
	}
	for i := range f.Optional {
		if f.Optional[i].Name == name {
			return &f.Optional[i], true
		}
	}
	return nil, false
}
