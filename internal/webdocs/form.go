package webdocs

import (
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"saltwright/clients/reading"
	"saltwright/internal/contract"
	"saltwright/internal/unit"
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
	US                   bool // the labels beside the fields are in US units
	Errors               []fault
	unclear              map[string]string // why a field could not be read
}

// fault is one thing wrong with what was filled in.
type fault struct{ Target, Field, Name, Detail string }

// settings is the form's parameters that are not part of the question.
var settings = []string{"units", "samples", "seed"}

// labelled is the parameter that names the units of the labels beside which numbers were typed, so that a number
// without a unit keeps its meaning when the reader chooses other units. Without it they were the contract's units.
const labelled = "labelled"

const usUnits = "us"

// form makes the fields from the contract, with the values given.
func (x *calculator) form(values url.Values) *form {
	f := &form{Name: x.Name, Action: "/docs/calculators/" + x.Name + "/", Method: "get"}
	f.US = x.Flat && values.Get("units") == usUnits
	o := x.operation()
	for _, p := range o.Parameters {
		if p.Name == "units" {
			m := &contract.Member{Name: p.Name, Schema: withDescription(p.Schema, p.Description)}
			f.Units = x.field(m, values.Get(p.Name), false)
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
		value := values.Get(p.Name)
		if bareNumber.MatchString(value) {
			value = kept(value, m.Schema.Unit, values.Get(labelled) == usUnits, f.US)
		}
		one := x.field(m, value, f.US)
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

// bareNumber is a number without a unit.
var bareNumber = regexp.MustCompile(`^\s*[+−-]?[0-9][0-9.,]*\s*$`)

// kept is a number without a unit as it stands beside a label: with the unit of the label beside which it was typed
// where the label is now another one.
func kept(value, name string, wasUS, isUS bool) string {
	u := unit.Of(name)
	if wasUS == isUS || u.US == "" {
		return value
	}
	written := u.Metric
	if wasUS {
		written = u.US
	}
	return strings.TrimSpace(value) + " " + written
}

func (x *calculator) field(m *contract.Member, value string, us bool) field {
	f := field{
		ID: x.Name + "-" + m.Name, Name: m.Name, Unit: unitFor(m.Schema.Unit, us), Value: value, Required: m.Required,
		Range: rangeFor(m.Schema, us), Default: defaultFor(m.Schema, us),
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

// query is what was filled in as the API takes it, without what was left empty: each number in the contract's unit.
// What could not be read goes on as it is, to be refused, and unclear says why.
func (x *calculator) query(values url.Values) (asked url.Values, unclear map[string]string) {
	asked, unclear = url.Values{}, map[string]string{}
	for name, list := range values {
		for _, v := range list {
			v = strings.TrimSpace(v)
			m := x.post.Body.Member(name)
			if v == "" || name == labelled {
				continue
			}
			if m != nil && (m.Schema.Type == "number" || m.Schema.Type == "integer") {
				number, err := reading.Field(v, wanted(m, values.Get(labelled) == usUnits))
				if err == nil {
					v = strconv.FormatFloat(number, 'g', -1, 64)
				} else {
					unclear[name] = err.Error()
				}
			}
			asked.Add(name, v)
		}
	}
	return asked, unclear
}

func wanted(m *contract.Member, us bool) reading.Wanted {
	s := m.Schema
	salinity := strings.HasSuffix(m.Name, "_psu")
	return reading.Wanted{
		Unit: s.Unit, US: us, Salinity: salinity, Inclusive: !salinity && s.Maximum != nil && *s.Maximum <= 1,
	}
}

// blame writes to the fields why they could not be read, and a problem's violations, in the order of the fields.
func (f *form) blame(p problemDocument) {
	for name, why := range f.unclear {
		f.blameOne(name, fault{Name: name, Detail: sentence(why)})
	}
	for _, v := range p.Errors {
		if f.unclear[v.Parameter] != "" {
			continue
		}
		detail := v.Detail
		limit := contract.Schema{Minimum: v.Limit.Minimum, Maximum: v.Limit.Maximum, Unit: v.Unit}
		if bounds := rangeFor(&limit, f.US); bounds != "" { // in the units of the labels
			detail = "must be " + bounds
		}
		if v.Suggestion != "" {
			detail += "; did you mean " + v.Suggestion + "?"
		}
		one := fault{Name: v.Pointer, Detail: sentence(detail)}
		if v.Parameter != "" {
			one.Name = v.Parameter
		}
		f.blameOne(v.Parameter, one)
	}
	if len(f.Errors) == 0 {
		f.Errors = []fault{{Detail: p.Detail}}
	}
	slices.SortStableFunc(f.Errors, func(a, b fault) int { return f.place(a.Field) - f.place(b.Field) })
	if f.Document != nil {
		f.Document.Error = p.Title + "."
	}
}

// blameOne adds one fault and writes it to its field, if it has one.
func (f *form) blameOne(parameter string, one fault) {
	switch at, optional := f.named(parameter); {
	case at != nil:
		at.Error = one.Detail
		one.Target, one.Field, one.Name = at.ID, at.Name, at.Label
		f.Open = f.Open || optional
	case f.Document != nil:
		one.Target, one.Field = f.Document.ID, f.Document.Name
	}
	f.Errors = append(f.Errors, one)
}

// place is where a field stands in the form; what has no field comes last.
func (f *form) place(name string) int {
	for i, one := range slices.Concat(f.Needed, f.Optional, []field{f.Units}) {
		if one.Name == name {
			return i
		}
	}
	return len(f.Needed) + len(f.Optional) + 1
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
