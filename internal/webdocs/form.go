package webdocs

import (
	"net/url"
	"regexp"
	"slices"
	"strings"

	"saltwright/internal/contract"
	"saltwright/internal/phrase"
	"saltwright/internal/unit"
)

// field is one control of a form.
type field struct {
	ID, Name, Label, Hint, Range, Unit, Value, Error string
	Default                                          string // what is assumed where it is left empty
	Ghost, Why, Source                               string // what the answer assumed, on what ground, from which work
	Form                                             string // the id of the form, of a field that stands outside it
	Required, Text                                   bool   // Text: a keyboard with letters and signs
	Clock                                            bool   // a time of day
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
	leading              []string // the names of the optional fields that are shown unfolded
	Document             *field
	Units                field
	US                   bool // the labels beside the fields are in US units
	Errors               []fault
	voice                *phrase.Voice
	unclear              map[string]string // why a field could not be read
}

// fault is one thing wrong with what was filled in.
type fault struct{ Target, Field, Name, Detail string }

// settings is the form's parameters that are not part of the question.
var settings = []string{"units", "samples", "seed"}

// form makes the fields from the contract, with the values given.
func (x *calculator) form(values url.Values) *form {
	f := &form{voice: x.voice, Name: x.Name, Action: "/docs/calculators/" + x.Name + "/", Method: "get"}
	f.US = x.asksByFields() && values.Get("units") == usUnits
	f.leading = x.hand.assumed
	o := x.operation()
	for _, p := range o.Parameters {
		if p.Name == "units" {
			m := &contract.Member{Name: p.Name, Schema: withDescription(p.Schema, p.Description)}
			f.Units = x.field(m, values.Get(p.Name), false)
			f.Units.Label, f.Units.Hint = x.voice.Say("units"), x.voice.Say("units_hint")
		}
	}
	if !x.asksByFields() {
		f.Method = "post"
		f.Document = x.documentField(values.Get("body"))
		return f
	}
	for _, m := range x.asked() {
		value := values.Get(m.Name)
		if bareNumber.MatchString(value) {
			value = kept(value, m.Schema.Unit, values.Get(labelled) == usUnits, f.US)
		}
		one := x.field(m, value, f.US)
		if one.Required || !slices.Contains(f.leading, one.Name) && slices.Contains(x.hand.short, one.Name) {
			f.Needed = append(f.Needed, one)
		} else {
			one.Form = x.Name + "-form"
			f.Optional = append(f.Optional, one)
		}
	}
	return f
}

func (x *calculator) documentField(value string) *field {
	return &field{ID: x.Name + "-body", Name: "body", Label: x.voice.Say("document_label"), Value: value}
}

// unasked are parameters that a page sets by itself.
var unasked = []string{"units", "include", languageParameter}

// asked are what the form has fields for.
func (x *calculator) asked() []*contract.Member {
	if !x.Flat {
		return x.members()
	}
	var out []*contract.Member
	for _, p := range x.get.Parameters {
		if p.In != "query" || slices.Contains(unasked, p.Name) {
			continue
		}
		m := x.post.Body.Member(p.Name)
		if m == nil {
			m = &contract.Member{Name: p.Name, Required: p.Required, Schema: withDescription(p.Schema, p.Description)}
		}
		out = append(out, m)
	}
	return out
}

// Lead are the optional fields that many people know better than what is assumed, and whatever was filled in or needs a
// look; Rest are the others.
func (f *form) Lead() []field { return f.some(true) }
func (f *form) Rest() []field { return f.some(false) }

func (f *form) some(lead bool) []field {
	var out []field
	for _, one := range f.Optional {
		filled := one.Error != "" || one.Value != "" && !slices.Contains(settings, one.Name)
		if lead == (filled || slices.Contains(f.leading, one.Name)) {
			out = append(out, one)
		}
	}
	if lead { // in the order of the list, what else was filled in behind it
		place := func(name string) int {
			if i := slices.Index(f.leading, name); i >= 0 {
				return i
			}
			return len(f.leading)
		}
		slices.SortStableFunc(out, func(a, b field) int { return place(a.Name) - place(b.Name) })
	}
	return out
}

// assume shows in the fields what the answer assumed, and returns the assumptions that have no field.
func (f *form) assume(all []assumed) []assumed {
	var rest []assumed
	for _, a := range all {
		at := f.named(strings.TrimPrefix(a.Pointer, "#/"))
		if at == nil || at.Value != "" {
			rest = append(rest, a)
			continue
		}
		if at.Ghost, at.Why = a.Value, a.Why; a.Source != "CommonPractice" {
			at.Source = a.Source
		}
		if a.Note != "" {
			at.Why += ": " + a.Note
		}
		if len(at.Options) > 0 && at.Options[0].Value == "" {
			at.Options[0].Text = f.voice.Say("assumed_option", "value", words(a.Value))
		}
	}
	return rest
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
	unitName := m.Schema.Unit
	if m.Schema.Items != nil {
		unitName = m.Schema.Items.Unit
	}
	f := field{
		ID: x.Name + "-" + strings.ReplaceAll(m.Name, "/", "-"), Name: m.Name, Unit: unitFor(unitName, us),
		Value: value, Required: m.Required,
		Range: rangeFor(x.voice, m.Schema, us), Default: defaultFor(x.voice, m.Schema, us),
	}
	f.Label, f.Hint = label(x.voice, m, unitName)
	f.Label, f.Hint = x.inWords(f.Label), x.inWords(f.Hint)
	if code := "asks_" + m.Name[strings.LastIndex(m.Name, "/")+1:]; x.post != nil && x.voice.Has(code) {
		f.Label = x.voice.Say(code)
		f.Hint = x.inWords(sentence(x.voice.Contract(m.Schema.Description)))
	}
	choices := m.Schema.Enum
	if m.Schema.Type == "boolean" {
		choices = []string{"true", "false"}
	}
	if len(choices) > 0 {
		f.Range = ""
		if !m.Required {
			empty := x.voice.Say("not_stated")
			if f.Default != "" {
				empty = x.voice.Say("not_stated_default", "value", f.Default)
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
			f.Options = append(f.Options, option{c, x.choice(m.Name, c), c == value})
		}
		return f
	}
	f.Clock = m.Schema.Type == "string" && strings.HasSuffix(m.Name, "_at")
	f.Text = true // people write units, and a decimal keypad has no letters and no minus sign
	pure := unitText(unitName) == "" && m.Schema.Minimum != nil && *m.Schema.Minimum >= 0
	if m.Schema.Type == "integer" || pure {
		f.Text = false
	}
	return f
}

// named returns the field of a parameter, or nil.
func (f *form) named(name string) *field {
	if name == f.Units.Name && name != "" {
		return &f.Units
	}
	for _, list := range [][]field{f.Needed, f.Optional} {
		for i := range list {
			if list[i].Name == name {
				return &list[i]
			}
		}
	}
	return nil
}
