package webdocs

import (
	"bytes"
	"encoding/json"
	"slices"
	"strconv"
	"strings"

	"saltwright/internal/contract"
)

// blame writes to the fields why they could not be read, and a problem's violations, in the order of the fields.
func (f *form) blame(x *calculator, p problemDocument) {
	for name, why := range f.unclear {
		one := fault{Name: x.placeOf(nil, name), Detail: sentence(why)}
		if at := f.named(name); at != nil {
			one.Detail = x.voice.Say("wrong_unreadable", "typed", at.Value, "why", strings.TrimSuffix(why, "."))
			if at.Range != "" {
				one.Detail += " " + x.voice.Say("wrong_takes", "range", at.Range)
			}
		}
		f.blameOne(name, one)
	}
	for _, v := range p.Errors {
		name := v.Parameter
		if f.Document == nil && name == "" {
			name = strings.TrimPrefix(v.Pointer, "#/")
		}
		if f.unclear[name] != "" {
			continue
		}
		f.blameOne(name, f.faultOf(x, v, name))
	}
	if len(f.Errors) == 0 {
		f.Errors = []fault{{Detail: x.inWords(p.Detail)}}
	}
	slices.SortStableFunc(f.Errors, func(a, b fault) int { return f.place(a.Field) - f.place(b.Field) })
	if f.Document != nil {
		f.Document.Error = p.Title + "."
	}
}

// faultOf says a violation in the words of the form: where, what was written, what it takes in the reader's unit.
func (f *form) faultOf(x *calculator, v violation, name string) fault {
	var document any
	if f.Document != nil {
		name = strings.TrimPrefix(v.Pointer, "#/")
		document, _ = decode([]byte(f.Document.Value)) // what is no JSON has no members to look for
	}
	one := fault{Name: x.placeOf(document, name)}
	typed, takes := writtenAt(document, name), ""
	field := f.named(name)
	if field != nil {
		typed, takes = field.Value, field.Range
	}
	limit := contract.Schema{Minimum: v.Limit.Minimum, Maximum: v.Limit.Maximum, Unit: v.Unit}
	m := memberAt(x.post.Body, name)
	if m != nil && takes == "" && len(m.Schema.Enum) == 0 {
		takes = rangeFor(x.voice, m.Schema, f.US)
	}
	if m != nil && (limit.Minimum != nil || limit.Maximum != nil) {
		if limit.Minimum == nil {
			limit.Minimum = m.Schema.Minimum
		}
		if limit.Maximum == nil {
			limit.Maximum = m.Schema.Maximum
		}
	}
	if bounds := rangeFor(x.voice, &limit, f.US); bounds != "" { // in the units of the labels
		takes = bounds
	}
	if list := x.choicesOf(field, name, v.Limit.Enum); len(list) > 0 {
		takes = x.voice.Say("range_one_of", "list", strings.Join(list, ", "))
	}
	switch {
	case v.Code == contract.CodeRequired && takes != "":
		one.Detail = x.voice.Say("wrong_empty_takes", "range", takes)
	case v.Code == contract.CodeRequired:
		one.Detail = x.voice.Say("wrong_empty")
	case (v.Code == contract.CodeRange || v.Code == contract.CodeNotAllowed) && takes != "" && typed != "":
		one.Detail = x.voice.Say("wrong_range", "typed", typed, "range", takes)
	default:
		one.Detail = sentence(x.inWords(v.Detail))
		if v.Suggestion != "" {
			one.Detail = sentence(x.voice.Say("did_you_mean", "detail", strings.TrimSuffix(one.Detail, "."),
				"suggestion", x.voice.Say("quoted", "name", x.placeOf(document, v.Suggestion))))
		}
		if typed != "" {
			one.Detail = x.voice.Say("wrong_otherwise", "typed", typed, "why", one.Detail)
		}
	}
	if line := lineOf(f.Document, name); line > 0 {
		one.Name = x.voice.Say("place_in_line", "place", one.Name, "line", line)
	}
	return one
}

// choicesOf are the words that a member takes, as its field says them.
func (x *calculator) choicesOf(at *field, name string, allowed []string) []string {
	var out []string
	if at != nil && len(at.Options) > 0 {
		for _, o := range at.Options {
			if o.Value != "" {
				out = append(out, o.Text)
			}
		}
		return out
	}
	for _, word := range allowed {
		out = append(out, x.choice(name[strings.LastIndex(name, "/")+1:], word))
	}
	return out
}

// blameOne adds one fault and writes it to its field, if it has one.
func (f *form) blameOne(parameter string, one fault) {
	switch at := f.named(parameter); {
	case at != nil:
		at.Error = one.Detail
		one.Target, one.Field, one.Name = at.ID, at.Name, at.Label
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

// placeOf says where a path into a request leads: lists by the ids or numbers of their elements, members by their
// labels. A name that the contract has not is said as it was sent.
func (x *calculator) placeOf(document any, path string) string {
	if path == "" {
		return ""
	}
	s, value := x.post.Body, document
	var names []string
	for token := range strings.SplitSeq(path, "/") {
		if n, err := strconv.Atoi(token); err == nil && s != nil && s.Items != nil {
			list, _ := value.([]any)
			value = nil
			name := strconv.Itoa(n + 1)
			if n < len(list) {
				value = list[n]
				if o, ok := value.(object); ok && o.text("id") != "" {
					name = o.text("id")
				}
			}
			names[len(names)-1] += " " + name
			s = s.Items
			continue
		}
		var m *contract.Member
		if s != nil {
			m = s.Member(token)
		}
		if m == nil {
			names = append(names, token)
			break
		}
		name := x.labelOf(m)
		if m.Schema.Items != nil {
			name = titleOf(x.voice, token, several)
		}
		names = append(names, strings.TrimRight(name, "."))
		o, _ := value.(object)
		s, value = m.Schema, o.get(token)
	}
	return strings.Join(names, ", ")
}

// writtenAt is the plain value that a document has at a path; empty where it has none.
func writtenAt(document any, path string) string {
	for token := range strings.SplitSeq(path, "/") {
		switch v := document.(type) {
		case object:
			document = v.get(token)
		case []any:
			n, err := strconv.Atoi(token)
			if err != nil || n >= len(v) || n < 0 {
				return ""
			}
			document = v[n]
		default:
			return ""
		}
	}
	return asWritten(document)
}

// lineOf is the line of a document on which the value at a path begins, or the nearest one around it that there is; 0
// where there is no document to look into.
func lineOf(document *field, path string) int {
	if document == nil || path == "" {
		return 0
	}
	text := []byte(document.Value)
	at := offsetOf(text, strings.Split(path, "/"))
	if at < 0 {
		return 0
	}
	return 1 + bytes.Count(text[:at], []byte("\n"))
}

// offsetOf is where a document's value at a path ends its first token, or where the deepest one does that there is.
func offsetOf(text []byte, path []string) int {
	dec := json.NewDecoder(bytes.NewReader(text))
	best, depth := -1, -1
	var walk func(below int) error // below: how much of the path leads here; -1: none of it
	walk = func(below int) error {
		t, err := dec.Token()
		if err != nil {
			return err
		}
		if below > depth {
			best, depth = int(dec.InputOffset()), below
		}
		open, composite := t.(json.Delim)
		for n := 0; composite && dec.More(); n++ {
			key := strconv.Itoa(n)
			if open == '{' {
				name, err := dec.Token()
				if err != nil {
					return err
				}
				key, _ = name.(string)
			}
			inner := -1
			if below >= 0 && below < len(path) && path[below] == key {
				inner = below + 1
			}
			if err := walk(inner); err != nil {
				return err
			}
		}
		if composite {
			_, err = dec.Token()
		}
		return err
	}
	if err := walk(0); err != nil && best < 0 {
		return -1
	}
	return best
}
